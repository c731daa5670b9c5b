"""Nothing from outside changes what is written, and nothing is written outside."""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
from daily import rest_further

from cradle.files.isolation import without_settings

PROJECT = """
[object]
name = "Tub"
[block]
height = 40
[fit]
clearance = 0.4
[[section]]
height = 0
[section.measured]
form = "ellipse"
width = 30
depth = 20
[[section]]
height = 50
[section.measured]
form = "ellipse"
width = 36
depth = 24
"""


SCRIPT = """
import sys
from cradle.cli.main import run
for line in {}:
    sys.argv[1:] = line
    try:
        run()
    except SystemExit as end:
        if end.code:
            raise
"""


def made(folder, *, where=None, setting=None, arguments=()):
    """What ``make`` and ``sheet`` write for the project in a folder of their own, by name: a sum of each file."""
    (folder / "holder.toml").write_text(PROJECT)
    own = {k: v for k, v in os.environ.items() if not k.startswith(("EZDXF", "RL_", "SOURCE_DATE"))}
    line = ["make", str(folder / "holder.toml"), "-o", str(folder / "out")]
    sheet = ["sheet", "-o", str(folder / "out" / "sheet.pdf")]
    script = SCRIPT.format([line, sheet])
    done = subprocess.run(
        [sys.executable, *arguments, "-c", script],
        check=False,
        capture_output=True,
        cwd=where or folder,
        env=own | (setting or {}),
    )
    assert (done.returncode, done.stderr) == (0, b"")
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted((folder / "out").iterdir())}


@pytest.fixture(scope="module")
def usual(tmp_path_factory):
    return made(tmp_path_factory.mktemp("usual"))


@pytest.fixture
def home(tmp_path):
    """A home full of traps: settings that break what reads them, and code that breaks what runs it."""
    home = tmp_path / "home"
    for place in (".config/ezdxf", ".cache/ezdxf"):
        (home / place).mkdir(parents=True)
    (home / ".config/ezdxf/ezdxf.ini").write_text("garbage")
    (home / ".cache/ezdxf/font_manager_cache.json").write_text("[]")
    for name in (".reportlab_mods", ".reportlab_settings", "reportlab_mods.py", "reportlab_settings.py"):
        (home / name).write_text("raise SystemExit(70)")
    return home


def everything(folder):
    return {p: p.stat().st_mtime_ns for p in Path(folder).rglob("*")}


@pytest.mark.slow
def test_settings_at_home_are_not_read_and_nothing_is_left_there(tmp_path, usual, home):
    before = everything(home)
    folder = tmp_path / "project"
    folder.mkdir()
    homes = {name: str(home) for name in ("HOME", "USERPROFILE")}
    assert made(folder, setting=homes | {"PYTHONPATH": f"{os.getcwd()}:{home}"}) == usual
    assert everything(home) == before


@pytest.mark.slow
@pytest.mark.parametrize(
    "content",
    rest_further([b"garbage", b"\xff\xfe[\0", b"[core]\nWRITE_FIXED_META_DATA_FOR_TESTING = x\n"], daily=[2]),
)
def test_settings_in_the_folder_one_stands_in_are_not_read(tmp_path, usual, content):
    (tmp_path / "ezdxf.ini").write_bytes(content)
    assert made(tmp_path) == usual


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names")
def test_a_pipe_in_place_of_settings_is_not_waited_for(tmp_path, usual):
    os.mkfifo(tmp_path / "ezdxf.ini")
    assert made(tmp_path) == usual


@pytest.mark.further
@pytest.mark.parametrize(
    "setting",
    [
        {"SOURCE_DATE_EPOCH": "86400"},
        {"RL_pageCompression": "0", "RL_invariant": "0"},
        {"EZDXF_CONFIG_FILE": "/dev/zero", "EZDXF_DISABLE_C_EXT": "1"},
        {"PYTHONHASHSEED": "7"},
        {"PYTHONHASHSEED": "123456"},
        {"TZ": "Pacific/Kiritimati"},
        {"LC_ALL": "C"},
        {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"LC_ALL": "de_DE.UTF-8", "LANG": "tr_TR.UTF-8"},
        {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        {"OPENBLAS_NUM_THREADS": "8", "OMP_NUM_THREADS": "8"},
        {"COLUMNS": "20"},
    ],
    ids=lambda setting: " ".join(setting),
)
def test_no_variable_changes_a_byte(tmp_path, usual, setting):
    assert made(tmp_path, setting=setting) == usual


@pytest.mark.slow
def test_another_folder_and_an_optimising_interpreter_change_no_byte(tmp_path, usual):
    folder = tmp_path / "a folder with blanks" / "grün"
    folder.mkdir(parents=True)
    assert made(folder, where=tmp_path, arguments=["-OO"]) == usual


def test_settings_come_back_after_the_block(monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "5")
    before = dict(os.environ)
    with without_settings():
        assert "SOURCE_DATE_EPOCH" not in os.environ
        assert os.environ["HOME"] != before.get("HOME")
    assert dict(os.environ) == before
