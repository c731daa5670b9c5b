import random
from pathlib import Path

import pytest
from random_projects import random_project

from cradle.errors import GeometryError, InputError
from cradle.geometry.mesh import component_count, edge_statistics, volume_mm3
from cradle.pipeline import make
from cradle.project.reader import project_from_text

SEEDS = (40, 42, 44, 47, 48, 51, 54, 57, 61, 62, 69, 72)
made = []
rows = []


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_project_ends_in_a_sound_holder_or_a_clear_error(seed):
    try:
        result = make(project_from_text(random_project(seed), file=Path("holder.toml")))
    except (InputError, GeometryError):  # anything else is our own fault
        return
    made.append(seed)
    mesh = result.holder.mesh
    assert edge_statistics(mesh).closed
    assert component_count(mesh) == 1
    assert volume_mm3(mesh) > 0
    assert result.own.gap.least_mm >= result.own.clearance.least_mm - 0.005


@pytest.mark.parametrize("seed", SEEDS[::3])
def test_random_things_in_a_row_end_in_a_sound_holder_or_a_clear_error(seed, tmp_path):
    other = random_project(seed + 1)
    (tmp_path / "other.toml").write_text(other)
    text = (
        random_project(seed)
        + f'[row]\ncount = {1 + seed % 3}\nthings = ["other.toml"]\ngap = {seed % 7 + 2}\n'
    )
    try:
        result = make(project_from_text(text, file=tmp_path / "holder.toml"))
    except (InputError, GeometryError):
        return
    rows.append(seed)
    assert edge_statistics(result.holder.mesh).closed
    assert component_count(result.holder.mesh) == 1
    assert result.summary["pockets"] == 2 + seed % 3
    assert result.wall.between_mm >= seed % 7 + 2 - 0.005
    for held in result.things:
        assert held.gap.least_mm >= held.wanted.least_mm - 0.005


def test_some_random_rows_can_be_made():
    assert len(rows) >= 2


def test_most_random_projects_can_be_made():
    assert len(made) >= len(SEEDS) / 2


@pytest.mark.parametrize("seed", range(300))
def test_a_damaged_project_ends_in_a_project_or_an_input_error(seed):
    rng = random.Random(seed)
    text = list(random_project(seed))
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
