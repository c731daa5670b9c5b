"""Tables of what was made."""

import re
from dataclasses import replace

import pytest

import cradle.pipeline as pipeline
from cradle.cli.main import main

BOX = """
[object]
name = "Box"
mass = 100
height = 60
[[section]]
name = "low"
height = 0.0
measured = {form = "rectangle", width = 30, depth = 20, corner = 4}
[[section]]
name = "high"
height = 50.0
measured = {form = "rectangle", width = 36, depth = 24, corner = 5}
[block]
height = 25
"""


def readings(shown):
    """The rows of caliper readings, by name."""
    rows = [
        [cell.strip() for cell in line.strip("│").split("│")] for line in shown.splitlines() if "│" in line
    ]
    return {row[0]: row[1:] for row in rows if row[0].startswith("calipers: ")}


@pytest.mark.parametrize("lacking", [0.2, 0.4])
def test_readings_of_compared_holders_are_paired_by_name(tmp_path, monkeypatch, capsys, lacking):
    file = tmp_path / "holder.toml"
    file.write_text(BOX, encoding="utf-8")
    assert main(["make", str(file), "-o", str(tmp_path), "--clearance", "0.2", "--clearance", "0.4"]) == 0
    whole = readings(capsys.readouterr().out)
    real = pipeline.build

    def without_a_wall(row, *, clearance_mm, on_step):
        """As a holder is whose left wall is cut away."""
        made = real(row, clearance_mm=clearance_mm, on_step=on_step)
        if clearance_mm != lacking:
            return made
        return replace(made, inspection=tuple(c for c in made.inspection if c.name != "wall, left"))

    monkeypatch.setattr(pipeline, "build", without_a_wall)
    assert main(["make", str(file), "-o", str(tmp_path), "--clearance", "0.2", "--clearance", "0.4"]) == 0
    shown = readings(capsys.readouterr().out)
    wall = shown.pop("calipers: wall, left, mm")
    there = whole.pop("calipers: wall, left, mm")
    assert "-" not in there
    assert wall == [("-" if c == lacking else value) for c, value in zip((0.2, 0.4), there, strict=True)]
    assert shown == whole
    assert len(whole) > 5


def test_the_verdict_stands_first_then_what_to_do_then_the_figures(tmp_path, capsys):
    file = tmp_path / "holder.toml"
    file.write_text(BOX, encoding="utf-8")
    assert main(["make", str(file), "-o", str(tmp_path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert re.match(r"(Print it|Print test pieces first): chance of fit (more than )?\d+ %$", lines[0])
    steps = next(n for n, line in enumerate(lines) if line.startswith("1. "))
    figures = next(n for n, line in enumerate(lines) if "least gap, mm per side" in line)
    written = next(n for n, line in enumerate(lines) if line.startswith("wrote "))
    assert 0 < steps < figures < written
    assert main(["make", str(file), "-o", str(tmp_path), "--clearance", "0.2", "--clearance", "0.4"]) == 0
    first, second = capsys.readouterr().out.splitlines()[:2]
    assert first.startswith("0.20 mm per side: ")
    assert second.startswith("0.40 mm per side: ")
