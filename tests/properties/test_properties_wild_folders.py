"""Whole project folders, usual and extreme: sound holders or clear errors, and no key that none of them has.

Each case is named by its seed; things whose sections are unlike, wide below and hard to lift out, and files as many
programs write them, have seeds of their own. ``pytest -n 0 -m '' tests/properties --seeds 1000:2000 --minutes 60``
tries others than those of every day, for an hour.
"""

import re
import tomllib
from dataclasses import replace
from pathlib import PurePath
from types import SimpleNamespace

import ezdxf
import manifold3d
import numpy as np
import pytest
import wild_scales
from mesh_readers import check_sound_for_all
from wild_crossing import crossing_folder
from wild_folders import wild_folder
from wild_varied import varied_folder
from wild_writing import schema, table_name

from cradle.errors import CradleError, GeometryError, InputError
from cradle.geometry.mesh import component_count
from cradle.geometry.region_measures import are_simple
from cradle.geometry.rounding import single_precision
from cradle.geometry.slivers import thicknesses
from cradle.names import section_words
from cradle.pipeline import build, cut_pieces, model_row
from cradle.pipeline.output_files import fit_piece_files, made_files
from cradle.project.picture import PICTURE_ENDINGS
from cradle.project.reader import read_project
from cradle.project.section import DRAWING_ENDINGS, Hollows
from cradle.project.trial_log import own_trials, read_row_trials, read_trials

DAILY = (1004, 1008, 1020, 1023, 1053, 1117)
"""Wild folders that can be made: every form of block, a plate, views, a row of one thing and one of two, a lean, a slanted way out."""
FURTHER = {
    wild_folder: tuple(seed for seed in (1007, *range(1016, 1040)) if seed not in DAILY),
    crossing_folder: (0, 2, 4, 8, 9, 12, 13),
    varied_folder: tuple(range(12)),
}
MANY = 600
FOREIGN = re.compile(
    "|".join(("kernel", "Exception", *(name for name in dir(manifold3d.Error) if name[0] != "_")))
)
"""A clear error says what to do about it, and not in the words of a library."""


def pytest_generate_tests(metafunc):
    if "seed" in metafunc.fixturenames:
        asked = metafunc.config.getoption("seeds")
        daily = [] if asked else [(wild_folder, seed, ()) for seed in DAILY]
        further = [(of, seed, pytest.mark.further) for of in FURTHER for seed in FURTHER[of]]
        others = [(of, seed, ()) for of in FURTHER for seed in asked or ()] or further
        metafunc.parametrize(
            ("folder_of", "seed"),
            [
                pytest.param(of, seed, marks=marks, id=f"{of.__name__.removesuffix('_folder')}-{seed}")
                for of, seed, marks in (*daily, *others)
            ],
        )


def put(files, folder):
    """The folder's project file, all files written."""
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder / "holder.toml"


@pytest.mark.first_daily
def test_a_wild_folder_ends_in_sound_files_or_a_clear_error(folder_of, seed, tmp_path):
    try:
        project = read_project(put(folder_of(seed), tmp_path))
        row = model_row(project, trials=read_row_trials(project))
        made = build(row)
        files = made_files(row, [made], on_step=lambda step: None)
    except (InputError, GeometryError) as error:
        assert not FOREIGN.search(str(error))  # noqa: PT017 - either way out is right
        assert folder_of is not wild_folder or seed not in DAILY
        return
    mesh = made.holder.mesh
    assert component_count(mesh) == 1
    assert [len(held.pockets) for held in made.things] == [row.order.count(n) for n in range(len(row.things))]
    assert made.wall.between_mm is None or made.wall.between_mm >= row.gap_mm - 0.005
    assert "summary.json" in files
    check_sound_for_all(mesh)
    written = single_precision(mesh)
    assert thicknesses(written.vertices_mm, written.faces).min() > 0
    for held in made.things:
        assert held.gap.least_mm >= held.wanted.least_mm - 0.005


@pytest.mark.first_daily
def test_test_pieces_of_a_wild_folder_can_be_written_or_not_with_a_clear_error(folder_of, seed, tmp_path):
    try:
        project = read_project(put(folder_of(seed), tmp_path))
        trials = own_trials(read_trials(project.folder), project.file)
        pieces = cut_pieces(project, trials=trials, clearances_mm=(), heights_mm=())
        files = fit_piece_files(project, pieces)
    except (InputError, GeometryError) as error:
        assert not FOREIGN.search(str(error))  # noqa: PT017 - either way out is right
        return
    assert any(name.endswith("-test-pieces-1.stl") for name in files) is bool(pieces.pieces)
    if not pieces.pieces:
        idle = "".join(finding.message for finding in pieces.findings if finding.code == "piece-idle")
        untold = [one.name for one in project.sections if section_words(one.name) not in idle]
        tried = {trial.section for trial in trials} | {trial.height_mm for trial in trials}
        settled = [one.name for one in project.sections if {one.name, one.height_mm} & tried]
        assert not untold or (set(untold) <= set(settled) and "those noted tell how it would go" in idle)


def test_columns_of_things_whose_sections_are_unlike_cross_and_their_bodies_do_not(tmp_path):
    project = read_project(put(crossing_folder(17), tmp_path))
    project = replace(project, loft=replace(project.loft, hollows=Hollows.FOLLOWED))
    thing = model_row(project, trials=read_row_trials(project)).things[0]
    between = np.linspace(thing.body.heights_mm[0], thing.body.heights_mm[-1], 200)
    assert "sections-unlike" in {finding.code for finding in thing.body.findings}
    assert are_simple(thing.body.rings_at(between)).all()


BLANK = SimpleNamespace(image=np.zeros((8, 8, 3), dtype=np.uint8), dpi=None)
ENDINGS = {*DRAWING_ENDINGS, *PICTURE_ENDINGS} - {".heic", ".heif"}
"""Of files that no test can write without a library more those are left out."""


@pytest.fixture
def blank(monkeypatch):
    """Pictures and DXF files that show nothing, where no test looks at what they show."""
    for painter in ("render_scan", "render_photo"):
        monkeypatch.setattr(wild_scales, painter, lambda *_, **__: BLANK)
    monkeypatch.setattr(ezdxf.document.Drawing, "write", lambda *_, **__: None)


@pytest.mark.slow
def test_every_key_and_every_word_and_every_kind_of_file_is_drawn_by_some_seed(blank):
    missing = {
        (table, key, word)
        for table, keys in schema().items()
        for key, words in keys.items()
        for word in (words or (None,))
    }
    endings = set(ENDINGS)

    def look(name, content):
        if isinstance(content, list):
            for one in content:
                look(name, one)
        elif isinstance(content, dict):
            table = table_name(name, content.get("kind"))
            for key, inner in content.items():
                if isinstance(inner, dict) or (
                    isinstance(inner, list) and isinstance([*inner, None][0], dict)
                ):
                    look(f"{name}.{key}".lstrip("."), inner)
                for value in inner if isinstance(inner, list) else [inner]:
                    missing.discard((table, key, None))
                    if isinstance(value, str | bool):
                        missing.discard((table, key, value))
                        endings.discard(PurePath(str(value)).suffix)

    for seed in range(MANY):
        for name, data in (
            wild_folder(seed) | {f"varied/{n}": d for n, d in varied_folder(seed).items()}
        ).items():
            if name.endswith(".toml"):
                look("", tomllib.loads(data.decode("utf-8-sig")))
        if not (missing or endings):
            return
    assert (missing, endings) == (set(), set())


@pytest.mark.parametrize("folder_of", [wild_folder, varied_folder])
def test_most_wild_folders_are_read_as_projects(folder_of, blank, tmp_path):
    read = 0
    for seed in range(40):
        folder = tmp_path / str(seed)
        folder.mkdir()
        try:
            read += bool(read_project(put(folder_of(seed), folder)))
        except CradleError as error:
            assert error.exit_code == 2  # noqa: PT017 - either way out is right
    assert read > 25
