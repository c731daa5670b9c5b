"""Tables of what was made."""

import re
from dataclasses import replace

import pytest
from rich.console import Console

import cradle.pipeline as pipeline
from cradle.cli.console import print_findings
from cradle.cli.main import main
from cradle.finding import Finding, Severity

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
    start = next(n for n, row in enumerate(rows) if row[0] == "calipers should read, mm")
    return {row[0]: row[1:] for row in rows[start + 1 :]}


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
    wall = shown.pop("wall, left")
    there = whole.pop("wall, left")
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


def test_on_a_terminal_words_wrap_between_words_and_further_lines_are_indented(monkeypatch, capsys):
    console = Console(width=40, force_terminal=True, color_system=None)
    finding = Finding(
        code="a", severity=Severity.WARN, message="the quick brown fox jumps over the lazy dog [and] back"
    )
    print_findings(console, [finding])
    lines = capsys.readouterr().out.splitlines()
    assert lines == ["warning: the quick brown fox jumps over", "   the lazy dog [and] back"]


def test_tables_fit_eighty_columns(tmp_path, capsys, monkeypatch):
    file = tmp_path / "holder.toml"
    file.write_text(BOX, encoding="utf-8")
    given = [word for c in ("0.2", "0.3", "0.4", "0.5") for word in ("--clearance", c)]
    assert main(["make", str(file), "-o", str(tmp_path), *given]) == 0
    assert max(len(line) for line in capsys.readouterr().out.splitlines() if line[:1] in "│┃┏└") <= 80
