"""Several things side by side in one block, against plane geometry and readers nobody here wrote."""

import json

import numpy as np
import pytest
import trimesh
from sampling import withdrawal_overlap_mm3

from cradle.cli.main import main
from cradle.errors import HolderError, InputError, ProjectError
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.solid import cut_regions, solid, transformed
from cradle.holder.standing import Load, standing, tip_angle
from cradle.pipeline import make, model_row
from cradle.pipeline.holder_attempt import holder_attempt
from cradle.pipeline.pocket_attempt import first_attempt
from cradle.project.reader import project_from_text, read_project
from cradle.report.summary import summary_of

BARE = "corner = 0\nchamfer = 0\nlead_in = 0\n"


def tin(width, depth=None, *, name="tin", clearance=0.4, extra=""):
    """A straight tin, standing."""
    flat = f'measured = {{ form = "ellipse", width = {width}, depth = {depth or width} }}'
    return f"""
[object]
name = "{name}"
mass = 100
[[section]]
name = "low"
height = 0.0
{flat}
[[section]]
name = "high"
height = 60.0
{flat}
[fit]
clearance = {clearance}
{extra}
"""


@pytest.fixture
def written(tmp_path):
    def write(text, name="holder.toml"):
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
        return file

    return write


def made_of(written, text):
    return make(read_project(written(text)))


def middles(made):
    return [pocket.x_offset_mm for held in made.things for pocket in held.pockets]


def cut_of(written, text):
    """The holder alone, at its first attempt and not judged: for what its form tells."""
    row = model_row(read_project(written(text)))
    return holder_attempt(row, [first_attempt(model, clearance_mm=None) for model in row.things])


def places(attempt):
    return [pocket.x_offset_mm for pocket in attempt.placed]


@pytest.fixture(scope="module")
def three(tmp_path_factory):
    file = tmp_path_factory.mktemp("three") / "holder.toml"
    block = f"[block]\nheight = 30\nwall = 4\nfloor = 5\n{BARE}"
    file.write_text(tin(30, extra=f"{block}[row]\ncount = 3\ngap = 6\n"))
    return make(read_project(file))


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
    first, second, third = middles(made)
    assert second - first == pytest.approx(30.8 + 5, abs=0.03)
    assert third - second == pytest.approx(30.8 / 2 + 5 + 45.2 / 2, abs=0.03)
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


def test_calipers_are_told_which_pocket_is_meant(pair_made):
    by_name = {c.name: c.length_mm for c in pair_made.inspection}
    assert by_name["pocket depth below the rim, flat tin"] == pytest.approx(30.6, abs=0.01)
    assert by_name["pocket depth below the rim, tin, each of 2"] == pytest.approx(30.4, abs=0.01)
    assert by_name["wall between pockets 1 and 2"] == pytest.approx(5.0, abs=0.02)
    assert by_name["wall between pockets 2 and 3"] == pytest.approx(5.0, abs=0.02)
    assert "wall, left" in by_name
    assert "wall, right" in by_name
    # the flat tin's pocket is the deeper one by the difference of the clearances
    assert by_name["floor, tin, each of 2"] - by_name["floor, flat tin"] == pytest.approx(0.2, abs=0.01)


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


def test_pieces_are_those_of_the_project_s_own_thing(pair, tmp_path, capsys):
    assert main(["pieces", str(pair), "-o", str(tmp_path)]) == 0
    told = capsys.readouterr().out
    assert "its test pieces come from its own project, other/flat.toml" in told


# ---------------------------------------------------------------- openings


def drains(made, z=1.0):
    level = cut_regions(made.holder.solid, np.array([z]))[0]
    return sorted(float(np.mean(ring.coords.xy[0])) for ring in level.interiors)


def test_each_pocket_has_its_drain(three, written):
    row = "[block]\nheight = 30\n[row]\ncount = 3\n"
    every = cut_of(written, tin(30, extra=f'{row}[[opening]]\nkind = "drain"\ndiameter = 6\n'))
    assert drains(every) == pytest.approx(places(every), abs=0.05)
    one = cut_of(written, tin(30, extra=f'{row}[[opening]]\nkind = "drain"\ndiameter = 6\npocket = 2\n'))
    assert drains(one) == pytest.approx(places(one)[1:2], abs=0.05)


def test_places_count_from_the_thing_s_own_frame(written):
    hole = '[[opening]]\nkind = "round"\nat = [4.0, -3.0]\ndiameter = 6\n'
    made = cut_of(written, tin(30, extra=f"[block]\nheight = 30\n[row]\ncount = 2\n{hole}"))
    assert drains(made) == pytest.approx([m + 4 for m in places(made)], abs=0.05)


def test_a_hole_in_the_left_wall_is_in_the_first_pocket_only(written):
    hole = '[[opening]]\nkind = "round"\nthrough = "left"\ndiameter = 6\n'
    made = cut_of(written, tin(30, extra=f"[block]\nheight = 30\n[row]\ncount = 2\n{hole}"))
    assert [opening.where for opening in made.holder.openings] == ["opening[1], pocket 1"]


def test_a_label_stands_once_in_the_middle_or_before_its_pocket(written):
    label = '[[opening]]\nkind = "label"\nthrough = "front"\ntext = "A"\nheight = 6\n'
    row = "[block]\nheight = 30\n[row]\ncount = 3\n"
    once = cut_of(written, tin(30, extra=row + label))
    assert len(once.holder.openings) == 1
    second = cut_of(written, tin(30, extra=f"{row}{label}pocket = 3\n"))
    for made, middle in ((once, places(once)[1]), (second, places(second)[2])):
        x0, _, _, x1, _, _ = made.holder.openings[0].cuts[0].bounding_box()
        assert (x0 + x1) / 2 == pytest.approx(middle, abs=0.2)


@pytest.mark.parametrize(
    ("extra", "told"),
    [
        ('[[opening]]\nkind = "drain"\ndiameter = 6\npocket = 3\n', "there are 2 pockets"),
        ('[[opening]]\nkind = "finger"\nthrough = "left"\n', "beside a thing in a row stands its neighbour"),
        (
            '[[opening]]\nkind = "round"\nthrough = "right"\ndiameter = 6\npocket = 1\n',
            "behind the right wall lies pocket 2",
        ),
        ('[[opening]]\nkind = "feet"\ndiameter = 6\ndepth = 1\npocket = 1\n', "feet stand under the block"),
    ],
)
def test_openings_that_no_pocket_has(written, extra, told):
    text = tin(30, extra=f"[row]\ncount = 2\n{extra}")
    with pytest.raises(ProjectError) as caught:
        read_project(written(text))
    assert told in str(caught.value)


# ---------------------------------------------------------------- mistakes


def test_a_row_has_no_more_than_it_can(written):
    with pytest.raises(ProjectError, match=r"row.count: found 25, allowed is 1 to 24"):
        read_project(written(tin(30, extra="[row]\ncount = 25\n")))
    named = ", ".join(f'"{k}.toml"' for k in range(13))
    with pytest.raises(ProjectError, match="12"):
        read_project(written(tin(30, extra=f"[row]\nthings = [{named}]\n")))


def test_too_little_between_pockets_is_told_before_any_work(written):
    row = model_row(read_project(written(tin(30, extra="[block]\nlead_in = 2\n[row]\ncount = 2\n"))))
    from cradle.pipeline import build

    with pytest.raises(HolderError, match=r"row.gap: 3 mm between pockets .* leaves a ridge of -1 mm"):
        build(row)


def test_a_thing_that_is_not_there(written, capsys):
    file = written(tin(30, extra='[row]\nthings = ["gone.toml"]\n'))
    assert main(["make", str(file)]) == 2
    assert "row.things[1]" in capsys.readouterr().err


def test_a_project_is_not_beside_itself(written):
    file = written(tin(30, extra='[row]\nthings = ["holder.toml"]\n'))
    with pytest.raises(InputError, match=r"row.things\[1\]: found the project's own file; .* row.count"):
        model_row(read_project(file))


def test_a_mistake_in_another_file_names_that_file(written):
    written(tin(-3), "bad.toml")
    file = written(tin(30, extra='[row]\nthings = ["bad.toml"]\n'))
    with pytest.raises(ProjectError, match=r"bad.toml: line \d+: section\[1\].measured.width"):
        model_row(read_project(file))


def test_the_same_file_named_twice_is_read_once(written):
    written(tin(20, name="small"), "small.toml")
    file = written(tin(30, extra='[row]\nthings = ["small.toml", "./small.toml"]\n'))
    row = model_row(read_project(file))
    assert row.order == (0, 1, 1)
    assert len(row.things) == 2


def test_things_of_one_name_are_told_apart(written):
    written(tin(20), "small.toml")
    row = model_row(read_project(written(tin(30, extra='[row]\nthings = ["small.toml"]\n'))))
    assert len(set(row.labels)) == 2
    assert row.slugs == ("tin", "tin-2")


# ---------------------------------------------------------------- standing, neighbours


def test_the_worst_standing_is_with_one_end_of_the_row_empty():
    foot = np.array([[-60.0, -60.0], [60.0, -60.0], [60.0, 60.0], [-60.0, 60.0]])
    left, right = (Load(centre_mm=np.array([x, 0.0, 80.0]), mass_g=400.0) for x in (-40.0, 40.0))
    both = standing(foot, holder_centre_mm=np.array([0, 0, 10.0]), holder_g=60.0, loads=[left, right])
    # by hand, printed at a quarter of its mass and one thing in: atan(margin / height) of the joint centre
    centre = (np.array([0, 0, 10.0]) * 15 + left.centre_mm * 400) / 415
    assert both.without == 1
    assert both.tip_angle_deg == pytest.approx(tip_angle(foot, centre).tip_angle_deg)
    assert both.tip_angle_deg == pytest.approx(
        np.degrees(np.arctan2(60.0 - 40 * 400 / 415, centre[2])), abs=1e-9
    )


def test_a_way_out_that_leads_aside_runs_into_the_neighbour(written):
    codes = {}
    for gap in (5, 60):
        text = tin(30, extra=f"lift_out = [0.4, 0, 1]\n[block]\nheight = 30\n[row]\ncount = 2\ngap = {gap}\n")
        codes[gap] = {f.code for f in made_of(written, text).findings}
    assert "neighbour-in-the-way" in codes[5]
    assert "neighbour-in-the-way" not in codes[60]


def test_things_wider_above_the_block_do_not_meet(written):
    text = tin(30, extra="[block]\nheight = 20\n[row]\ncount = 2\ngap = 4\n").replace(
        'height = 60.0\nmeasured = { form = "ellipse", width = 30, depth = 30 }',
        'height = 60.0\nmeasured = { form = "ellipse", width = 70, depth = 30 }',
    )
    first, second = places(cut_of(written, text))
    assert second - first >= 70 + 4 - 1e-6


def test_a_long_row_that_the_bed_does_not_take_fails(written):
    made = made_of(written, tin(30, extra="[row]\ncount = 10\n"))
    assert [f.code for f in made.findings if f.severity == "fail"] == ["bed"]


def test_a_row_reads_back_as_it_was_written(tmp_path):
    from cradle.project.writer import project_to_text

    file = tmp_path / "holder.toml"
    project = project_from_text(
        tin(30, extra='[row]\ncount = 2\nthings = ["a.toml", "b.toml"]\ngap = 7.5\n'), file=file
    )
    assert project.row.things == ("a.toml", "b.toml")
    assert project_from_text(project_to_text(project), file=file) == project


def test_a_tall_thing_two_places_off_is_seen_on_the_way_out(written):
    # the low one between them is passed over; the tall one behind it is not
    low = tin(30, name="low").replace("height = 60.0", "height = 24.0")
    written(low, "low.toml")
    written(tin(30, name="tall").replace("height = 60.0", "height = 160.0"), "tall.toml")
    row = '[block]\nheight = 20\n[row]\nthings = ["low.toml", "tall.toml"]\ngap = 12\n'
    text = tin(30, extra=f"lift_out = [0.5, 0, 1]\n{row}").replace("height = 60.0", "height = 24.0")
    found = [f.message for f in made_of(written, text).findings if f.code == "neighbour-in-the-way"]
    assert any("pocket 1 runs into the one in pocket 3" in message for message in found)


def test_the_way_out_is_told_in_the_thing_s_own_frame(written):
    made = made_of(written, tin(30, extra="lift_out = [0, 0.1, 1]\n[block]\nheight = 20\nlean = 15\n"))
    told = np.array(summary_of(made)["insertion"])
    assert told == pytest.approx(np.array([0, 0.1, 1]) / np.hypot(1, 0.1), abs=1e-6)


def test_a_clearance_that_the_inside_error_eats_up_is_told(written):
    text = tin(30, clearance=0.1, extra="[printer]\ninside_error = -0.2\n")
    with pytest.raises(InputError, match=r"printer.inside_error: a clearance of 0.1 mm .* leaves -0.1 mm"):
        made_of(written, text)


def test_a_thin_plate_is_told_once_for_the_whole_row(written):
    written(tin(30, name="other"), "other.toml")
    plate = '[plate]\nwidth = 140\nthickness = 2.9\nhole = "plain"\nscrew = "M3"\n'
    made = made_of(
        written, tin(30, extra=f'[block]\nwall = 6\nheight = 30\n{plate}[row]\nthings = ["other.toml"]\n')
    )
    assert [f.message for f in made.findings if f.code == "plate-thin"] == ["the wall plate is 2.9 mm thick"]


def test_alike_things_named_by_one_file_are_told_by_their_pockets(written):
    written(tin(20, name="small"), "small.toml")
    made = made_of(written, tin(30, extra='[row]\nthings = ["small.toml", "small.toml"]\n'))
    (found,) = [f for f in made.findings if f.code == "taken-as-alike"]
    assert found.message == "small: the 2 things in pockets 2 and 3 are taken to be alike"


# ---------------------------------------------------------------- what makers ran into


def test_a_stated_height_counts_for_standing(written):
    cup = "\n".join(
        f'[[section]]\nheight = {z}\nmeasured = {{ form = "ellipse", width = {w}, depth = {d} }}'
        for z, w, d in ((2, 30, 24), (20, 40, 32), (40, 46, 36))
    )
    tall = f"[object]\nmass = 2000\nheight = 400\n{cup}\n[block]\nheight = 30\n"
    given = tall.replace("height = 400", "height = 400\nbalance = [0, 0, 200]", 1)
    short = tall.replace("height = 400\n", "", 1)
    angles = [summary_of(made_of(written, text))["tip_angle_deg"] for text in (tall, given, short)]
    assert angles[0] == pytest.approx(angles[1], abs=1.0)  # a straight thing balances half way up
    assert angles[2] > 3 * angles[0]


def test_another_thing_s_own_block_is_not_looked_at(written):
    high = tin(20, name="high", extra="[block]\nheight = 1\nwall = -3\n").replace(
        "height = 0.0", "height = 40.0"
    )
    written(high, "high.toml")
    row = '[row]\nthings = ["high.toml"]\n'
    made = made_of(written, tin(30, extra=f"[block]\nheight = 50\n{row}"))
    assert summary_of(made)["pockets"] == 2
    with pytest.raises(
        ProjectError, match=r"high.toml: block.height: 30.0 mm is not above the lowest section"
    ):
        made_of(written, tin(30, extra=f"[block]\nheight = 30\n{row}"))


def test_keyholes_of_a_row_count_from_the_block_s_middle(written):
    hole = '[[opening]]\nkind = "keyhole"\nthrough = "back"\nscrew = "M4"\nat = [{}, 22.0]\n'
    pair = hole.format(-30) + hole.format(30)
    made = cut_of(written, tin(30, extra=f"[block]\nheight = 30\nwall = 8\n{pair}[row]\ncount = 3\n"))
    middle = places(made)[1]
    found = []
    for opening in made.holder.openings:
        x0, _, _, x1, _, _ = opening.cuts[0].bounding_box()
        found.append((x0 + x1) / 2 - middle)
    assert found == pytest.approx([-30, 30], abs=0.05)


def test_a_holder_that_fits_the_bed_askew_may_be_printed(written):
    made = made_of(
        written, tin(30, extra="[printer]\nbed = [105, 105, 100]\n[block]\nwall = 4\n[row]\ncount = 3\n")
    )
    assert max(summary_of(made)["size_mm"][:2]) > 105
    assert [f.code for f in made.findings if f.code.startswith("bed")] == ["bed-turned"]


def test_the_floor_left_over_a_recess_is_the_thinnest(written):
    magnet = '[[opening]]\nkind = "magnet"\ndiameter = 10\ndepth = 3\n'
    made = made_of(written, tin(30, extra=f"[block]\nheight = 30\nfloor = 4\n{magnet}"))
    assert summary_of(made)["floor_least_mm"] == pytest.approx(0.8, abs=0.02)
    (near,) = [f for f in made.findings if f.code == "recess-near-pocket"]
    assert "0.1 mm thicker" in near.advice


def test_a_drain_wider_than_its_pocket_is_told_so(written):
    drain = '[[opening]]\nkind = "drain"\ndiameter = 9\n'
    with pytest.raises(HolderError, match="is wider than the pocket above it; make it smaller"):
        made_of(written, tin(6, extra=f"[block]\nheight = 30\n{drain}"))


def test_a_thing_that_ends_below_the_rim_is_told_and_not_judged_above_its_end(written):
    low = (
        "[object]\nmass = 5\nheight = 10\n[[section]]\nheight = 0.5\n"
        'measured = { form = "ellipse", width = 20, depth = 20 }\n[[section]]\nheight = 8\n'
        'measured = { form = "ellipse", width = 24, depth = 24 }\n[fit]\nclearance = 0.6\n[block]\nheight = 30\n[spread]\nbetween = 0.05\n'
    )
    made = made_of(written, low)
    assert "thing-below-rim" in {f.code for f in made.findings}
    assert made.own.model.learned.model.places.heights_mm.max() <= 10
    assert summary_of(made)["chance_of_fit"] > 0.8
