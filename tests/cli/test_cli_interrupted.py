"""Ctrl-C while the program is loaded, and while pictures are traced in processes of their own."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cradle.files import side_by_side

PROJECT = Path(__file__).parents[2] / "demo_data/ocarina/from-pictures.toml"
RUN = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever started the tests may ignore it
from cradle.cli.entry import run
run()
"""

LOADING = """
import signal, sys, time
signal.signal(signal.SIGINT, signal.default_int_handler)
class Slow:
    def find_spec(self, name, path, target=None):
        if name == "cradle.cli.main":
            print("loading", flush=True)
            time.sleep(60)
sys.meta_path.insert(0, Slow())
from cradle.cli.entry import run
run()
"""


def processes_of(group):
    """The numbers of a group's processes that have not ended."""
    found = []
    for state in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = state.read_text().rpartition(")")[2].split()
        except OSError:  # ended meanwhile
            continue
        if int(fields[2]) == group and fields[0] != "Z":
            found.append(int(state.parent.name))
    return found


def waited_for(what, *, most_s=30):
    end = time.monotonic() + most_s
    while not what():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_ctrl_c_is_told_in_one_line_while_the_program_is_still_loaded():
    """It showed the lines of the code that was being loaded."""
    command = [sys.executable, "-c", LOADING, "--version"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as run:
        assert run.stdout.readline() == "loading\n"
        run.send_signal(signal.SIGINT)
        _, told = run.communicate(timeout=30)
    assert run.returncode == 130
    assert told == "\ncradle: interrupted; nothing was written\n"


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="sees processes in /proc")
@pytest.mark.skipif(side_by_side._cores() < 2, reason="needs two cores")
@pytest.mark.parametrize("after_s", [0.0, 0.1, 0.5], ids=["as they start", "as they load", "as they trace"])
def test_ctrl_c_ends_all_that_was_started_and_says_so_in_one_line(after_s, tmp_path):
    command = [sys.executable, "-c", RUN, "make", str(PROJECT), "-o", str(tmp_path)]
    with subprocess.Popen(
        command, start_new_session=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as run:
        # itself, one that sees to what processes share, and one that traces
        waited_for(lambda: len(processes_of(run.pid)) >= 3)
        time.sleep(after_s)
        os.killpg(run.pid, signal.SIGINT)
        _, told = run.communicate(timeout=30)
        assert run.returncode == 130
        assert told.split("\n") == ["", "cradle: interrupted; nothing was written", ""]
        waited_for(lambda: not processes_of(run.pid))
    assert not any(tmp_path.iterdir())
