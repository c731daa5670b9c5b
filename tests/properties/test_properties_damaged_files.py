"""Damaged drawings, lists of points, pictures and trials: each is read or refused with a clear error, and nothing else.

Each case is named by its file and seed. ``pytest -n 0 tests/properties/test_properties_damaged_files.py --seeds 1:2000 --minutes 60`` tries
others than those of every day, for an hour.
"""

from functools import partial

import pytest
from daily import rest_further
from damaged_files import damaged, sound_files

from cradle.capture.outline_reader import read_outline
from cradle.errors import CradleError, InputError, attempted
from cradle.geometry.region_measures import are_simple
from cradle.geometry.ring import signed_area, size
from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, SectionSpec
from cradle.project.trial_log import read_trials

DRAWINGS = ("belly.svg", "broad.dxf", "top.csv", "ring.json")
PICTURES = (".png", ".jpg", ".tif", ".bmp", ".webp", ".gif")


def pytest_generate_tests(metafunc):
    if "seed" in metafunc.fixturenames:
        every = rest_further(range(1, 16), daily=range(5))
        metafunc.parametrize("seed", metafunc.config.getoption("seeds") or every)


def read(name, folder, *, half=False):
    """What the file says: the points of an outline, or the trials."""
    if name == "trials.toml":
        return read_trials(folder)
    picture = name.endswith(PICTURES)
    source = PictureSource(file=name, dpi=100.0) if picture else DrawingSource(path=name)
    return read_outline(
        SectionSpec(name="a", height_mm=1.0, half=half, source=source), folder=folder
    ).points_mm


@pytest.mark.parametrize("name", sound_files())
def test_the_files_are_sound_before_they_are_damaged(tmp_path, name):
    (tmp_path / name).write_bytes(sound_files()[name])
    assert len(read(name, tmp_path)) >= 2


def outcome(name, seed, folder):
    """What a damaged file says, or the error that refuses it; both are sound, and any other error is our own fault and is raised."""
    (folder / name).write_bytes(damaged(name, seed))
    found = attempted(partial(read, name, folder, half=name in DRAWINGS and seed % 3 == 0))
    if not isinstance(found, InputError):
        assert name == "trials.toml" or is_outline(found)
        return found
    assert name in str(found)
    if name.endswith((*PICTURES, ".dxf")):
        cause = first_cause(found)
        assert isinstance(cause, CradleError) or not str(cause) or str(cause) not in str(found)
    return found


def is_outline(points):
    """Whether points enclose something of a size that is read, and do not cross themselves."""
    return are_simple([points])[0] and signed_area(points) > 0 and 1.0 <= max(size(points)) <= 2000.0


def first_cause(error):
    """Where it all began, in whosever words."""
    return error if error.__cause__ is None else first_cause(error.__cause__)


@pytest.mark.parametrize("name", sound_files())
def test_a_damaged_file_is_read_or_refused_in_clear_words(tmp_path, name, seed):
    outcome(name, seed, tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("name", DRAWINGS)
@pytest.mark.filterwarnings("ignore::RuntimeWarning")
def test_so_is_each_of_very_many_drawings_and_some_are_read(tmp_path, name):
    refused = [isinstance(outcome(name, seed, tmp_path), InputError) for seed in range(10_000, 11_200)]
    assert 24 < sum(refused) < 1176
