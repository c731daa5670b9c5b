"""Damaged drawings, lists of points, pictures and trials: each is read or refused with a clear error, and nothing else.

Each case is named by its file and seed. ``pytest -n 0 tests/properties/test_properties_damaged_files.py --seeds 1:2000 --minutes 60`` tries
others than those of every day, for an hour.
"""

import pytest
from daily import rest_further
from damaged_files import damaged, sound_files

from cradle.capture.outline_reader import read_outline
from cradle.errors import CradleError, InternalError
from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, SectionSpec
from cradle.project.trial_log import read_trials

DAILY = range(1, 6)
SLOW = range(6, 16)
PICTURES = (".png", ".jpg", ".tif", ".bmp", ".webp", ".gif")


def pytest_generate_tests(metafunc):
    if "seed" in metafunc.fixturenames:
        every = rest_further((*DAILY, *SLOW), daily=range(len(DAILY)))
        metafunc.parametrize("seed", metafunc.config.getoption("seeds") or every)


def read(name, folder):
    """What the file says: the points of an outline, or the trials."""
    if name == "trials.toml":
        return read_trials(folder)
    picture = name.endswith(PICTURES)
    source = PictureSource(file=name, dpi=100.0) if picture else DrawingSource(path=name)
    return read_outline(SectionSpec(name="a", height_mm=1.0, source=source), folder=folder).points_mm


@pytest.mark.parametrize("name", sound_files())
def test_the_files_are_sound_before_they_are_damaged(tmp_path, name):
    (tmp_path / name).write_bytes(sound_files()[name])
    assert len(read(name, tmp_path)) >= 2


def refusal(name, folder):
    """The error that a user meets; None where the file can be read. Anything else is our own fault and is raised."""
    try:
        read(name, folder)
    except InternalError:
        raise
    except CradleError as error:
        return error
    return None


@pytest.mark.parametrize("name", sound_files())
def test_a_damaged_file_is_read_or_refused_in_clear_words(tmp_path, name, seed):
    (tmp_path / name).write_bytes(damaged(name, seed))
    error = refusal(name, tmp_path)
    assert error is None or (error.exit_code == 2 and name in str(error))
    if error is not None and name.endswith((*PICTURES, ".dxf")):
        cause = first_cause(error)
        assert isinstance(cause, CradleError) or not str(cause) or str(cause) not in str(error)


def first_cause(error):
    """Where it all began, in whosever words."""
    return error if error.__cause__ is None else first_cause(error.__cause__)
