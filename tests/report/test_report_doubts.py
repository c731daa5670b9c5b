"""Findings are told apart by their codes: each code looked for is one that some finding has."""

import re
from pathlib import Path

import pytest

import cradle
from cradle.pipeline.fit_pieces import _NOT_CUT
from cradle.report.printing import _OVERHANGS

SOURCES = {path: path.read_text(encoding="utf-8") for path in Path(cradle.__file__).parent.rglob("*.py")}
COMPARED = {code for text in SOURCES.values() for code in re.findall(r'\.code [!=]= "([a-z-]+)"', text)}
LOOKED_FOR = COMPARED | _OVERHANGS | _NOT_CUT
SORTING = re.compile(r'frozenset\(\s*\{[^}]*\}|\.code [!=]= "[a-z-]+"')


@pytest.mark.parametrize("code", sorted(LOOKED_FOR))
def test_a_code_that_is_looked_for_is_some_findings(code):
    assert any(f'"{code}"' in SORTING.sub("", text) for text in SOURCES.values())
