"""Several things side by side in one block, against plane geometry and readers nobody here wrote."""

import json
import os
import re

import numpy as np
import pytest
import trimesh
from sampling import withdrawal_overlap_mm3
from tins import BARE, made_of, middles, tin

from cradle.cli.main import main
from cradle.drawing.holder_views import holder_views
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.solid import cut_regions, solid, transformed
from cradle.pipeline import make
from cradle.pocket.budget import FINEST
from cradle.project.reader import read_project
from cradle.report.recommendation import Advised, pieces_to_try, recommend, recommendation
from cradle.report.summary import summary_of


def test_alike_things_stand_a_pocket_and_a_gap_apart(three):
    # a pocket is the thing and its clearance on both sides, between two of them the gap is left
    assert middles(three) == pytest.approx([0.0, 36.8, 73.6], abs=0.08)
    assert summary_of(three)["pockets"] == 3
    assert summary_of(three)["wall_between_mm"] == pytest.approx(6.0, abs=0.01)
    width, depth, height = np.ptp(bounds_mm(three.holder.mesh), axis=0)
    assert width == pytest.approx(3 * 30.8 + 2 * 6 + 2 * 4, abs=0.12)
    assert depth == pytest.approx(30.8 + 2 * 4, abs=0.06)
    assert height == pytest.approx(30 + 0.4 + 5, abs=0.06)


def test_the_volume_is_the_box_less_three_cylinders(three):
    # cylinders of radius r + c; the rounded lower edge of a pocket leaves c^2 (1 - pi/4) of a square
    radius, c = 15.4, 0.4
    edge = (1 - np.pi / 4) * c * c * 2 * np.pi * radius
    pocket = np.pi * radius**2 * 30.4 - edge
    box = (3 * 30.8 + 20) * (30.8 + 8) * 35.4
    mesh = trimesh.Trimesh(three.holder.mesh.vertices_mm, three.holder.mesh.faces, process=False)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(box - 3 * pocket, rel=0.003)


def test_every_one_keeps_its_clearance_and_comes_out(three):
    (held,) = three.things
    body = solid(held.model.body.mesh, where="body")
    holder = trimesh.Trimesh(three.holder.mesh.vertices_mm, three.holder.mesh.faces, process=False)
    wall = trimesh.proximity.ProximityQuery(holder)
    for place in held.places(three.holder):
        ring = held.model.body.rings_mm[0]
        low = np.column_stack([ring, np.full(len(ring), 12.0)]) @ place[:3, :3].T + place[:3, 3]
        _, away, _ = wall.on_surface(low[::40])
        assert away.min() >= 0.4 - 0.005  # by trimesh's own search for the nearest triangle
        out = held.pocket.direction
        seated = transformed(body, place)
        assert withdrawal_overlap_mm3(three.holder, seated, direction=out, steps=8, stroke_mm=40.0) == 0.0
    assert held.gap.least_mm >= 0.4 - 0.005


@pytest.mark.slow
def test_one_of_a_row_is_no_row(written):
    plain = made_of(written, tin(30))
    row = made_of(written, tin(30, extra="[row]\ncount = 1\n"))
    assert np.array_equal(plain.holder.mesh.vertices_mm, row.holder.mesh.vertices_mm)
    assert summary_of(row) == summary_of(plain)
    assert summary_of(plain)["wall_between_mm"] is None
    assert len(summary_of(plain)["things"]) == 1


def test_the_gap_is_the_wall_where_none_is_given(written):
    made = made_of(written, tin(30, extra=f"[block]\nwall = 5\n{BARE}[row]\ncount = 2\n"))
    assert made.wall.between_mm == pytest.approx(5.0, abs=0.01)


def test_the_wall_between_leaning_things_is_measured_in_the_block_only(written):
    # above the rim a cone that leans forward goes on widening; what is there is no wall
    cone = tin(30, extra=f"[block]\nheight = 30\nlean = -6\n{BARE}[row]\ncount = 2\ngap = 8\n").replace(
        'height = 60.0\nmeasured = { form = "ellipse", width = 30, depth = 30 }',
        'height = 60.0\nmeasured = { form = "ellipse", width = 46, depth = 46 }',
    )
    made = made_of(written, cone)
    first, second = middles(made)
    left, right = (pocket.level_at(30.0).bounds for pocket in made.own.pockets)
    assert made.wall.between_mm == pytest.approx(right[0] - left[2], abs=0.05)
    assert second - first == pytest.approx(46 + 8, abs=1.0)
    assert made.wall.between_mm > 8.0


FLAT = tin(44, 20, name="flat tin", clearance=0.6)


BESIDE_FLAT = tin(30, extra='[block]\nheight = 30\n[row]\ncount = 2\ngap = 5\nthings = ["other/flat.toml"]\n')


@pytest.fixture
def pair(written):
    written(FLAT, "other/flat.toml")
    return written(BESIDE_FLAT)


@pytest.fixture(scope="module")
def pair_made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pair")
    (folder / "other").mkdir()
    (folder / "other" / "flat.toml").write_text(FLAT, encoding="utf-8")
    (folder / "holder.toml").write_text(BESIDE_FLAT, encoding="utf-8")
    return make(read_project(folder / "holder.toml"))


def test_different_things_each_have_their_own_pocket(pair_made):
    made = pair_made
    assert [held.label for held in made.things] == ["tin", "flat tin"]
    assert [held.numbers for held in made.things] == [(1, 2), (3,)]
    advised = [str(f) for f in made.findings if f.advice and "flat tin: " in f.told]
    assert advised
    assert all(text.count("flat tin: ") == 1 for text in advised)  # named once, not before the advice again
    first, second, third = middles(made)
    assert second - first == pytest.approx(30.8 + 5, abs=0.05)
    assert third - second == pytest.approx(30.8 / 2 + 5 + 45.2 / 2, abs=0.05)
    half_way = made.holder.lift_mm + 15.0
    area = sum(
        r.area for r in cut_regions(made.holder.cavity.solid, np.array([half_way - made.holder.lift_mm]))
    )
    assert area == pytest.approx(2 * np.pi * 15.4**2 + np.pi * 22.6 * 10.6, rel=0.005)
    asked = [row["clearance_asked_mm"] for row in summary_of(made)["things"]]
    assert asked == [0.4, 0.6]
    assert all(
        row["clearance_least_mm"] >= row["clearance_asked_mm"] - 0.005 for row in summary_of(made)["things"]
    )
    chances = [row["chance_of_fit"] for row in summary_of(made)["things"]]
    assert summary_of(made)["chance_of_fit"] == pytest.approx(chances[0] * chances[1], abs=2e-4)


@pytest.mark.first_daily
@pytest.mark.parametrize(("height", "named"), [(10.0, False), (12.0, True)])
def test_heights_on_a_cut_name_the_things_only_where_not_all_are_measured_there(written, height, named):
    written(FLAT.replace("height = 0.0", f"height = {height}"), "other/flat.toml")
    made = made_of(written, BESIDE_FLAT.replace("height = 0.0", "height = 10.0"))
    _, front, *_ = holder_views(made.holder, made.things)
    assert len(front.heights) == 1 + named
    assert [bool(height.of) for height in front.heights] == [named] * len(front.heights)


def test_what_reads_the_same_of_several_things_is_told_once_with_all_their_names(pair_made):
    said = [
        str(finding).replace("flat tin: ", "").replace("tin and ", "").replace("tin: ", "")
        for finding in pair_made.findings
    ]
    assert len(set(said)) == len(said)
    assert any(f.told.startswith("tin and flat tin: the printer's inside error") for f in pair_made.findings)


def test_with_the_least_clearance_all_things_go_in_with_the_chance_asked_for(written):
    auto = '"auto"'
    alone = made_of(written, tin(44, 20, name="flat tin", clearance=auto))
    written(tin(44, 20, name="flat tin", clearance=auto), "other/flat.toml")
    made = made_of(written, tin(30, clearance=auto, extra='[row]\ncount = 2\nthings = ["other/flat.toml"]\n'))
    assert 0.95 <= made.chance < 0.97
    assert min(thing.assessment.chance.chance for thing in made.things) >= np.sqrt(0.95)
    assert made.things[1].clearance.least_mm > alone.own.clearance.least_mm
    assert recommendation(made).advised is Advised.PRINT


def test_the_test_pieces_named_are_cut_by_the_commands_named(pair_made):
    told = " ".join(recommend([], chance=0.5, goal=0.95, pieces=pieces_to_try(pair_made, folder="")).actions)
    assert "“cradle pieces holder.toml”" in told
    own, other = pieces_to_try(pair_made, folder="")
    assert f"--clearance {own.clearance_mm:g} --seen" in told
    assert other.clearance_mm in other.clearances_mm  # beside the other things it may ask for more than alone
    asked = " ".join(f"--clearance {clearance:g}" for clearance in other.clearances_mm)
    assert f"“cradle pieces {other.project_file} {asked}”" in told


def test_on_another_drive_a_project_is_named_with_that(pair_made, monkeypatch):
    """Windows knows no way from one drive to another: the holder was an internal error once it was made."""

    def no_way(*_):
        raise ValueError("path is on mount 'D:', start on mount 'C:'")

    assert pair_made.project_files == ("holder.toml", os.path.join("other", "flat.toml"))
    monkeypatch.setattr(os.path, "relpath", no_way)
    assert pair_made.project_files == ("holder.toml", str(pair_made.things[1].model.project.file))


def test_calipers_are_told_which_pocket_is_meant(pair_made):
    by_name = {c.name: c.length_mm for c in pair_made.inspection}
    assert by_name["pocket depth below the rim, flat tin"] == pytest.approx(30.6, abs=2 * FINEST.margin_mm)
    assert by_name["pocket depth below the rim, tin, each of 2"] == pytest.approx(
        30.4, abs=2 * FINEST.margin_mm
    )
    assert by_name["wall between pockets 1 and 2"] == pytest.approx(5.0, abs=0.02)
    assert by_name["wall between pockets 2 and 3"] == pytest.approx(5.0, abs=0.02)
    assert "wall, left" in by_name
    assert "wall, right" in by_name
    # the flat tin's pocket is the deeper one by the difference of the clearances
    assert by_name["floor, tin, each of 2"] - by_name["floor, flat tin"] == pytest.approx(0.2, abs=0.01)


def test_no_wall_is_told_between_pockets_that_lie_one_behind_the_other(written):
    """A line past the second pocket had run on to the outside of the block, and was told as the wall between it and the next."""
    behind = tin(20, name="behind").replace(
        '[[section]]\nname = "high"', '[[section]]\nshift = [0, 60]\nname = "high"'
    )
    written(behind, "behind.toml")
    made = made_of(written, tin(30, extra='[row]\nthings = ["behind.toml"]\n'))
    walls = {c.name: c.length_mm for c in made.inspection if c.name.startswith("wall")}
    across = next(c.length_mm for c in made.inspection if c.name == "outside width")
    assert {"wall, left", "wall, right"} <= walls.keys()
    assert walls.get("wall between pockets 1 and 2", 0.0) < across / 4


@pytest.mark.slow
def test_the_files_of_every_thing_are_written(pair, tmp_path, capsys):
    assert main(["make", str(pair), "-o", str(tmp_path / "out"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    names = sorted(p.name for p in (tmp_path / "out").iterdir())
    for name in ("tin-holder.stl", "tin-body.stl", "flat-tin-body.stl", "flat-tin-sections.dxf"):
        assert name in names
    assert len(told["files"]) == len(names)
    page = (tmp_path / "out/fit-report.html").read_text()
    assert "Holder for: 2 × tin and flat tin" in page
    assert "cut C–C, from the right" in page
    summary = json.loads((tmp_path / "out/summary.json").read_text())
    read = trimesh.load(tmp_path / "out/tin-holder.stl")
    assert read.is_watertight
    places = [place for row in summary["things"] for place in row["places"]]
    assert [place["pocket"] for place in places] == [1, 2, 3]
    for place in places:  # the middle of each thing lies in a hollow of the file
        x, y, z = (np.array(place["holder_from_object"]) @ [0.0, 0.0, 20.0, 1.0])[:3]
        assert not read.contains([[x, y, z]])[0]
        assert read.contains([[x, y, 1.0]])[0]


def test_check_shows_every_thing(pair, capsys):
    assert main(["check", str(pair), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [(t["name"], t["pockets"]) for t in told["things"]] == [("tin", 2), ("flat tin", 1)]


@pytest.mark.slow
def test_pieces_are_those_of_the_project_s_own_thing(pair, tmp_path, capsys):
    assert main(["pieces", str(pair), "-o", str(tmp_path)]) == 0
    told = capsys.readouterr().out
    (other,) = re.findall("test pieces of another thing in the row: “cradle pieces (.*)”", told)
    assert os.path.samefile(other, pair.parent / "other" / "flat.toml")
