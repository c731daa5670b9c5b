"""Random projects, whole and damaged, one and several in a row: a sound holder or a clear error.

Each case is named by its seed. ``pytest -n 0 -m '' tests/properties --seeds 1000:2000 --minutes 60``
tries others than those of every day, for an hour.
"""

import random
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from mesh_readers import check_sound_for_all
from random_projects import random_project

from cradle.errors import GeometryError, InputError
from cradle.geometry.mesh import TriMesh, component_count, edge_statistics, volume_mm3
from cradle.noun import record
from cradle.pipeline import make
from cradle.project.reader import project_from_text
from cradle.report.summary import summary_of

SEEDS = (42, 48, 51, 54, 61, 69)
FURTHER_SEEDS = (40, 44, 47, 57, 62, 72)
ROWS = (54, 57, 61)
FURTHER_ROWS = (40, 47, 48, 62)
DAMAGED = range(300)
_KEPT = 16
"""So much is kept of each kind, for all tests of their seed."""


@record
class Made:
    """What tests ask of a made holder: the holder itself, with all that it came from, would fill the memory."""

    mesh: TriMesh
    gaps_mm: tuple[tuple[float, float], ...]
    pockets: int
    between_mm: float


def kept_of(made):
    """The gap each thing has, and the one that was wanted."""
    return Made(
        mesh=made.holder.mesh,
        gaps_mm=tuple((held.gap.least_mm, held.wanted.least_mm) for held in made.things),
        pockets=summary_of(made)["pockets"],
        between_mm=made.wall.between_mm,
    )


def pytest_generate_tests(metafunc):
    asked = metafunc.config.getoption("seeds")
    daily = {"seed": SEEDS, "row_seed": ROWS, "damaged_seed": DAMAGED}
    further = {"seed": FURTHER_SEEDS, "row_seed": FURTHER_ROWS, "damaged_seed": ()}
    for name in daily.keys() & set(metafunc.fixturenames):
        known = [*daily[name], *(pytest.param(seed, marks=pytest.mark.further) for seed in further[name])]
        metafunc.parametrize(name, known if asked is None else asked)


@lru_cache(maxsize=_KEPT)
def holder_of(seed):
    """What a random project comes to; None for an error of the kinds a user can meet."""
    try:
        return kept_of(make(project_from_text(random_project(seed), file=Path("holder.toml"))))
    except (InputError, GeometryError):  # anything else is our own fault
        return None


def test_a_random_project_ends_in_a_sound_holder_or_a_clear_error(seed):
    result = holder_of(seed)
    if result is None:
        return
    mesh = result.mesh
    assert edge_statistics(mesh).closed
    assert component_count(mesh) == 1
    assert volume_mm3(mesh) > 0
    assert all(gap >= wanted - 0.005 for gap, wanted in result.gaps_mm)


@lru_cache(maxsize=_KEPT)
def row_of(seed):
    """What a row of random things comes to; None for an error of the kinds a user can meet."""
    with TemporaryDirectory() as folder:
        Path(folder, "other.toml").write_text(random_project(seed + 1))
        text = (
            random_project(seed)
            + f'[row]\ncount = {1 + seed % 3}\nthings = ["other.toml"]\ngap = {seed % 7 + 2}\n'
        )
        try:
            return kept_of(make(project_from_text(text, file=Path(folder, "holder.toml"))))
        except (InputError, GeometryError):
            return None


@pytest.mark.slow
def test_random_things_in_a_row_end_in_a_sound_holder_or_a_clear_error(row_seed):
    result = row_of(row_seed)
    if result is None:
        return
    assert edge_statistics(result.mesh).closed
    assert component_count(result.mesh) == 1
    assert result.pockets == 2 + row_seed % 3
    assert result.between_mm >= row_seed % 7 + 2 - 0.005
    assert all(gap >= wanted - 0.005 for gap, wanted in result.gaps_mm)


def test_a_random_holder_is_sound_for_four_other_readers(seed):
    result = holder_of(seed)
    if result is not None:
        check_sound_for_all(result.mesh)


def test_a_random_row_is_sound_for_four_other_readers(row_seed):
    result = row_of(row_seed)
    if result is not None:
        check_sound_for_all(result.mesh)


def test_some_random_rows_can_be_made():
    assert any(row_of(seed) is not None for seed in ROWS)


def test_most_random_projects_can_be_made():
    assert sum(holder_of(seed) is not None for seed in SEEDS[:4]) >= 2


def test_a_damaged_project_ends_in_a_project_or_an_input_error(damaged_seed):
    rng = random.Random(damaged_seed)
    text = list(random_project(damaged_seed))
    for _ in range(rng.randint(1, 6)):
        place = rng.randrange(len(text))
        text[place] = rng.choice(
            ["", "\n", '"', "[", "]", "=", "-", "9", "e", "\x00", text[rng.randrange(len(text))]]
        )
    try:
        project = project_from_text("".join(text), file=Path("holder.toml"))
    except InputError:
        return
    assert len(project.sections) >= 2
