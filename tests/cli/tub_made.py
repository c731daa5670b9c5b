"""The commands before a tub: as processes of their own, and in this one."""

import subprocess
import sys

from cradle.cli.main import main

NAMES = [
    "tub-holder.stl",
    "tub-holder.3mf",
    "tub-body.stl",
    "tub-sections.dxf",
    "tub-sections.svg",
    "fit-report.html",
    "tub-workshop.pdf",
    "tub-drawing.dxf",
    "tub-drawing.svg",
    "summary.json",
]


def cradle_command(*arguments, **options):
    return subprocess.run(
        [sys.executable, "-m", "cradle", *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
        **options,
    )


def contents(folder):
    return {file.name: file.read_bytes() for file in folder.iterdir()}


def failing(*arguments, capsys):
    """Exit code and error lines of a command that prints nothing else."""
    code = main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    lines = err.splitlines()
    assert lines
    assert all(line.startswith("cradle: ") for line in lines)
    return code, lines
