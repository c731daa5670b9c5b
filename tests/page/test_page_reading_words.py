"""The step Stack has words of its own for readings that are there, and for those whose names are no words."""

import re
from pathlib import Path

import cradle.page
from cradle.sections.posterior import ReadingKind

STACK = Path(cradle.page.__file__).parent / "web" / "steps" / "stack.js"
PLAIN = {"width", "depth", "girth", "height", "scale"}
"""What reads as it is called."""


def test_every_reading_has_words_and_no_words_are_left_over():
    text = STACK.read_text(encoding="utf-8")
    tables = re.findall(r"const (?:READINGS|OF_ALL) = \{(.*?)\n\};", text, re.DOTALL)
    named = set(re.findall(r'^  "?([a-z ]+?)"?: "', "\n".join(tables), re.MULTILINE))
    kinds = {str(kind) for kind in ReadingKind}
    assert len(tables) == 2
    assert named <= kinds
    assert kinds - named <= PLAIN
