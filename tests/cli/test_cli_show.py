"""Tables of what was made."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console
from tub import TUB

from cradle.cli.console import print_findings
from cradle.cli.show import show_check, show_make
from cradle.finding import About, Finding, Severity
from cradle.pipeline import build, model_row
from cradle.project.reader import read_project
from cradle.report.doubts import doubts_about
from cradle.report.summary import summary_of

VERDICT = re.compile(
    r"(Print it|Measure more first|Print test pieces first|Decide for yourself): chance of fit (more than )?\d+ %$"
)


def readings(shown):
    """The rows of caliper readings, by name."""
    rows = [
        [cell.strip() for cell in line.strip("│").split("│")] for line in shown.splitlines() if "│" in line
    ]
    start = next(n for n, row in enumerate(rows) if row[0] == "calipers should read, mm")
    return {row[0]: row[1:] for row in rows[start + 1 :]}


@pytest.fixture(scope="module")
def holders(tmp_path_factory):
    """The tub's holder with each of four clearances, by its mm per side."""
    file = tmp_path_factory.mktemp("tub") / "holder.toml"
    file.write_text(TUB, encoding="utf-8")
    row = model_row(read_project(file))
    return {clearance: build(row, clearance_mm=clearance) for clearance in (0.2, 0.3, 0.4, 0.5)}


@pytest.fixture
def shown(capsys):
    def show(*mades):
        show_make(mades, written=[Path("tub-holder.stl")], code=0, as_json=False, displaced=None)
        return capsys.readouterr().out

    return show


@pytest.mark.slow
@pytest.mark.parametrize("lacking", [0.2, 0.4])
def test_readings_of_compared_holders_are_paired_by_name(holders, shown, lacking):
    whole = readings(shown(holders[0.2], holders[0.4]))
    cut_away = replace(
        holders[lacking], inspection=tuple(c for c in holders[lacking].inspection if c.name != "wall, left")
    )
    both = holders | {lacking: cut_away}
    rows = readings(shown(both[0.2], both[0.4]))
    wall = rows.pop("wall, left")
    there = whole.pop("wall, left")
    assert "-" not in there
    assert wall == [("-" if c == lacking else value) for c, value in zip((0.2, 0.4), there, strict=True)]
    assert rows == whole
    assert len(whole) > 5


def test_a_clearance_that_is_least_at_the_rim_reads_the_same_wherever_it_is_told(tmp_path, shown):
    file = tmp_path / "holder.toml"
    between = TUB.replace("height = 0.0", "height = 0.0\nclearance = 0.7").replace(
        "height = 50.0", "height = 50.0\nclearance = 0.3"
    )
    file.write_text(between.replace("height = 25 ", "height = 24 "), encoding="utf-8")
    made = build(model_row(read_project(file)))
    assert made.asked_words == "0.51"  # 0.7 less 0.4 times 24 of 50, by hand 0.508
    assert made.clearance_words == "0.51 mm clearance per side, up to 0.70 mm in places"
    table = shown(made)
    assert "0.51 mm per side ┃" in table
    (triangles,) = re.findall(r"triangles +│ +(\d+) ", table)
    assert int(triangles) == summary_of(made)["triangles"]


def test_a_clearance_of_three_decimals_is_told_as_it_was_asked(tmp_path, shown):
    file = tmp_path / "holder.toml"
    file.write_text(TUB, encoding="utf-8")
    made = build(model_row(read_project(file)), clearance_mm=0.126)
    told = shown(made)
    assert "0.126 mm per side ┃" in told
    (low,) = [f.message for f in made.findings if f.code == "chance-low"]
    assert "with 0.126 mm per side;" in low


def test_what_to_do_stands_last_after_the_verdict_the_files_and_the_figures(holders, shown):
    lines = shown(holders[0.3]).splitlines()
    verdict = next(n for n, line in enumerate(lines) if VERDICT.match(line))
    steps = next(n for n, line in enumerate(lines) if line.startswith("1. "))
    figures = next(n for n, line in enumerate(lines) if "least gap, mm per side" in line)
    written = next(n for n, line in enumerate(lines) if line.startswith("wrote "))
    assert figures < written < verdict < steps
    assert all(line.startswith(f"{n}. ") for n, line in enumerate(lines[steps:], start=1))
    verdicts = [line for line in shown(holders[0.2], holders[0.4]).splitlines() if ": chance of fit " in line]
    assert [line[:18] for line in verdicts[:2]] == ["0.20 mm per side: ", "0.40 mm per side: "]
    *_, last = shown(holders[0.2], holders[0.4]).splitlines()
    assert last.startswith("next: choose one, write its clearance under [fit], such as clearance = 0.20, ")


def test_what_to_do_after_a_check_stands_last_and_can_be_typed(holders, capsys, monkeypatch):
    made = holders[0.5]
    file = made.project.file
    monkeypatch.chdir(file.parent.parent)
    row = model_row(made.project)
    bad = replace(made, findings=(Finding(code="c", severity=Severity.FAIL, message="no", advice="mend it"),))
    enough = replace(made.project, fit=replace(made.project.fit, chance=1e-4))
    good = replace(made, findings=(), project=enough)
    for one, says in ((bad, "Then run “cradle check "), (good, "Make the holder: “cradle make ")):
        show_check(row, one, code=0, as_json=False)
        *_, last = capsys.readouterr().out.splitlines()
        assert says in last
        assert Path(last.partition(says)[2].partition("”")[0]).samefile(file)


def test_notes_stand_above_what_is_to_be_done_something_about(holders, capsys):
    made = holders[0.3]
    mixed = tuple(
        Finding(code=code, severity=severity, message="words")
        for code, severity in (("a", Severity.WARN), ("b", Severity.NOTE))
    )
    show_check(model_row(made.project), replace(made, findings=mixed), code=0, as_json=False)
    heads = [line.partition(":")[0] for line in capsys.readouterr().out.splitlines()]
    assert heads.index("note") < heads.index("warning")


def test_doubts_stand_in_the_order_of_the_report(holders, shown):
    abouts = (About.LOOKS, About.FIT, About.MEASURED, About.HOLD)
    warned = tuple(
        Finding(code=about, severity=Severity.WARN, message=f"of {about}", about=about) for about in abouts
    )
    lines = shown(replace(holders[0.3], findings=warned)).splitlines()
    told = [line.removeprefix("warning: of ") for line in lines if line.startswith("warning: ")]
    assert told == ["hold", "fit", "measured", "looks"]
    assert told == [doubt.finding.code for doubt in doubts_about(replace(holders[0.3], findings=warned))]


def test_on_a_terminal_words_wrap_between_words_and_further_lines_are_indented(monkeypatch, capsys):
    console = Console(width=40, force_terminal=True, color_system=None)
    finding = Finding(
        code="a", severity=Severity.WARN, message="the quick brown fox jumps over the lazy dog [and] back"
    )
    print_findings(console, [finding])
    lines = capsys.readouterr().out.splitlines()
    assert lines == ["warning: the quick brown fox jumps over", "   the lazy dog [and] back"]


def test_tables_fit_eighty_columns(holders, shown):
    rows = [line for line in shown(*holders.values()).splitlines() if line[:1] in "│┃┏└"]
    assert max(len(line) for line in rows) <= 80


def test_the_commands_told_can_be_typed_where_the_command_was_run(shown, tmp_path, monkeypatch):
    file = tmp_path / "tub" / "holder.toml"
    file.parent.mkdir()
    file.write_text(f"{TUB}\n[spread]\nbetween = 0.02\n", encoding="utf-8")  # test pieces tell the rest
    monkeypatch.chdir(tmp_path)
    made = build(model_row(read_project(file)), clearance_mm=0.2)
    told = re.findall(r"“cradle (?:pieces|trial|make) ([^ ”]+)", shown(made))
    assert len(told) >= 3
    assert all(Path(name).samefile(file) for name in told)
