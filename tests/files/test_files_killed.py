"""A process killed at random moments while it writes one whole set of files after another."""

import itertools
import os
import random
import signal
import time

import pytest
from daily import rest_further

from cradle.files.journal import restore_what_was_left
from cradle.files.writing import write_all

NAMES = (
    "holder.stl",
    "holder.3mf",
    "body.stl",
    "sections.dxf",
    "workshop.pdf",
    "report.html",
    "summary.json",
)
SETS = 4
"""The last kills come when so many sets could have been written."""


def write_set(folder, number):
    data = f"{number} ".encode() * 4000
    write_all({folder / name: data for name in NAMES})


def write_until_killed(folder, *, first, after_s):
    """Sets from the first on in a process of its own, which is killed some time after it began the first."""
    said, telling = os.pipe()
    child = os.fork()
    if child == 0:
        os.write(telling, b"!")
        for number in itertools.count(first):
            write_set(folder, number)
    os.read(said, 1)
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
    os.close(said)
    os.close(telling)


def numbers_in(folder):
    return {(folder / name).read_bytes().split(b" ", 1)[0] for name in NAMES}


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.parametrize("kills", rest_further([10, 200], daily=[0]))
def test_kills_at_random_moments_never_leave_a_mixture_of_two_sets(tmp_path, kills):
    chance, last, mended = random.Random(kills), 0, 0
    begin = time.monotonic()
    write_set(tmp_path, last)
    longest_s = SETS * (time.monotonic() - begin)  # however busy the machine is
    tried = 0
    while tried < kills or ((mended <= tried / 10 or not last) and tried < 8 * kills):
        if tried and tried % kills == 0:
            longest_s *= 2  # the machine has become busier: the moments were before those of writing
        write_until_killed(tmp_path, first=last + 1, after_s=chance.uniform(0, longest_s))
        hidden = [file for file in tmp_path.iterdir() if file.name.startswith(".")]
        restore_what_was_left(tmp_path)  # as the next run does first
        (number,) = numbers_in(tmp_path)
        assert int(number) >= last
        last, mended, tried = int(number), mended + bool(hidden), tried + 1
    assert last > 0
    assert mended > tried / 10  # else the moments were not those of writing
    write_set(tmp_path, last + 1)
    assert sorted(file.name for file in tmp_path.iterdir()) == sorted(NAMES)
