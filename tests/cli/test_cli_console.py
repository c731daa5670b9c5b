"""How findings are printed, and the exit code that follows from them."""

from pathlib import Path

import pytest
from rich.console import Console

from cradle.cli.console import exit_code, new_console, print_findings, print_written, say
from cradle.finding import Finding, Severity


def finding(severity, message="the wall is thin", where="block.wall"):
    return Finding(code="c", severity=severity, message=message, where=where)


@pytest.mark.parametrize(
    ("severities", "code"),
    [([], 0), ([Severity.NOTE, Severity.WARN], 0), ([Severity.NOTE, Severity.FAIL], 1)],
)
def test_only_what_must_not_be_printed_gives_1(severities, code):
    assert exit_code([finding(severity) for severity in severities]) == code


def test_the_worst_stands_first_and_each_once(capsys):
    rows = [finding(s) for s in (Severity.NOTE, Severity.WARN, Severity.FAIL, Severity.WARN)]
    print_findings(new_console(), rows)
    lines = capsys.readouterr().out.splitlines()
    assert [line.partition(":")[0] for line in lines] == ["do not print", "warning", "note"]
    assert lines[0] == "do not print: block.wall: the wall is thin"


def test_files_of_one_folder_are_told_in_one_line(capsys):
    print_written(new_console(), [Path("out/a.stl"), Path("out/b.pdf"), Path("t.csv"), Path("far/c d.svg")])
    assert capsys.readouterr().out.splitlines() == [
        "wrote into out: a.stl, b.pdf",
        "wrote t.csv",
        "wrote far/c d.svg",
    ]
    print_written(new_console(), [Path("a.svg"), Path("b.png")])
    assert capsys.readouterr().out == "wrote into this folder: a.svg, b.png\n"


def test_of_several_holders_only_what_does_not_concern_all_is_named(capsys):
    both, one = finding(Severity.WARN, "both"), finding(Severity.WARN, "one")
    print_findings(new_console(), [both, one], [both], names=["tight", "loose"])
    assert capsys.readouterr().out.splitlines() == [
        "warning: block.wall: both",
        "warning: tight: block.wall: one",
    ]


def test_where_there_is_no_terminal_lines_are_whole_and_brackets_are_words(capsys):
    words = "a [bold] word " * 30
    say(new_console(), words.strip(), head="note: ")
    assert capsys.readouterr().out == f"note: {words.strip()}\n"
    say(Console(width=40, force_terminal=True, color_system=None), words.strip(), head="note: ")
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 40
    assert " ".join(line.strip() for line in lines) == f"note: {words.strip()}"
