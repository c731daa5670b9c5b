"""Write the ocarina's project once more, with its pictures in place of the drawings.

    python examples/demo_from_pictures.py [folder]

Everything else stays as in holder.toml beside it; see render_demo_pictures.py for the pictures.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

PICTURES = {
    "low": 'file = "pictures/low.jpg"          # the whole template beside a ruler',
    "belly": 'file = "pictures/belly-front.jpg"  # two papers cut to fit the front and the back\n'
    'shape = "cut_out"\nback_file = "pictures/belly-back.jpg"',
    "broad": 'file = "pictures/broad.jpg"',
    "top": 'file = "pictures/top-sheet.jpg"    # pencil line on the capture sheet, by phone\n'
    'shape = "line"\nedge = "middle"',
}
"""What takes the place of each section's drawing."""


def project(text: str) -> str:
    """The project's text with pictures in place of drawings."""
    parts = re.split(r"(?m)^(?=\[\[section\]\]|\[side\])", text)
    for number, part in enumerate(parts):
        name = re.search(r'(?m)^name = "([^"]+)"', part)
        if part.startswith("[[section]]") and name:
            kept = re.sub(r"(?m)^(outline|half) = .*\n", "", part).rstrip()
            parts[number] = f"{kept}\n\n[section.picture]\n{PICTURES[name[1]]}\n\n"
    first, rest = "".join(parts).split("\n", 1)
    return f"{first}\n# The same as holder.toml, but traced from pictures.\n{rest}"


def main(folder: Path) -> None:
    """Write from-pictures.toml into the ocarina's folder."""
    text = (folder / "holder.toml").read_text(encoding="utf-8")
    (folder / "from-pictures.toml").write_text(project(text), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parents[1] / "demo_data/ocarina")
