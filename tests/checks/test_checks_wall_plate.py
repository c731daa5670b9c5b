"""What is said of a wall plate, from the project file to the findings."""

import re
from pathlib import Path

import pytest

from cradle.errors import HolderError
from cradle.finding import Severity
from cradle.pipeline import make
from cradle.project.reader import project_from_text
from cradle.report.summary import summary_of

TEXT = """\
[object]
mass = 200
height = {tall}
[[section]]
height = 0
measured = {{ form = "rectangle", width = 40, depth = 24 }}
[[section]]
height = 20
measured = {{ form = "rectangle", width = 40, depth = 24 }}
[[section]]
height = 50
measured = {{ form = "rectangle", width = 40, depth = {depth} }}
[loft]
between = "straight"
[fit]
clearance = 0.35
[block]
wall = {wall}
height = 30
{plate}
"""


def made(plate, *, depth=24, tall=50, wall=7):
    text = TEXT.format(plate=plate, depth=depth, tall=tall, wall=wall)
    return make(project_from_text(text, file=Path("holder.toml")))


def codes(result):
    return {f.code: f for f in result.findings}


@pytest.fixture(scope="module")
def low():
    return made("[plate]\nwidth = 100\nscrew = 'M4'\nthickness = 4")


@pytest.mark.slow
def test_what_hangs_on_a_wall_is_not_judged_by_how_it_stands(low):
    found = codes(low)
    assert found["fixed-to-wall"].severity is Severity.NOTE
    assert "not judged" in found["fixed-to-wall"].message
    assert "tips" not in found
    assert summary_of(low)["fixed_to_wall"] is True
    assert any(c.startswith("Wall plate:") for c in summary_of(low)["cautions"])
    free = made("tip_angle = 45")
    assert "tips" in codes(free)
    assert "fixed-to-wall" not in codes(free)
    assert summary_of(free)["fixed_to_wall"] is False


def test_a_low_plate_is_sound_and_keeps_the_gap(low):
    assert summary_of(low)["mesh_closed"]
    assert low.own.gap.least_mm >= 0.35 - 0.005
    assert summary_of(low)["size_mm"][0] == pytest.approx(100)
    assert not {"plate-thin", "plate-beside-unmeasured", "bed"} & set(codes(low))


def test_a_thin_plate_and_one_too_wide_for_the_bed_are_told():
    found = codes(made("[plate]\nwidth = 320\nscrew = 'M4'\nhole = 'plain'\nthickness = 2"))
    assert found["plate-thin"].severity is Severity.WARN
    assert found["plate-thin"].measured == 2
    assert found["bed"].severity is Severity.FAIL


@pytest.mark.slow
def test_a_plate_beside_what_nobody_measured_is_told():
    plate = "[plate]\nwidth = 54\nheight = {}\nscrew = 'M4'\n"
    found = codes(made(plate.format(90)))
    # 4 mm of floor and 0.35 mm of clearance: the highest section lies 54.35 mm above the bed
    assert "36 mm above what is known of the thing" in found["plate-beside-unmeasured"].message
    assert "plate-beside-unmeasured" not in codes(made(plate.format(54)))


@pytest.mark.slow
def test_a_thing_that_would_meet_the_plate_is_refused():
    plate = "[plate]\nwidth = 56\nheight = 54\nscrew = 'M4'\nthickness = 6"
    assert made(plate, depth=24).holder.plate is not None
    # half of 24 mm, and at the plate's top 29.65 of 30 mm of the way to half of 28: 13.98 mm; the pocket goes out to
    # 12 + 2/3 + 0.35 at the rim, the plate's front lies 7 - 6 mm behind that
    with pytest.raises(
        HolderError, match=r"plate: above the rim the thing comes within 0.\d mm of the plate; 0.35"
    ):
        made(plate, depth=28)
    with pytest.raises(
        HolderError, match=r"runs \d.\d mm into the plate; .* make block\.wall \d\.\d mm thicker"
    ):
        made(plate, depth=34)


def test_what_profiles_show_of_a_thing_above_its_sections_counts_beside_the_plate(tmp_path):
    def with_backs(rear, plate):
        for side, first, last in (("front", -12, -12), ("back", 12, rear)):
            (tmp_path / f"{side}.csv").write_text(f"height,y\n0,{first}\n50,{first}\n90,{last}\n")
        text = TEXT.format(
            tall=95, wall=7, plate=f"{plate}[side]\nfront = 'front.csv'\nback = 'back.csv'\n", depth=24
        )
        return make(project_from_text(text, file=tmp_path / "holder.toml"))

    plate = "[plate]\nwidth = 56\nheight = 84\nscrew = 'M4'\n"
    assert "plate-beside-unmeasured" not in codes(with_backs(12, plate))
    assert "plate-beside-unmeasured" not in codes(with_backs(30, plate.replace("84", "54")))
    with pytest.raises(HolderError, match=r"above the rim the thing runs \d+.\d mm into the plate"):
        with_backs(30, plate)


PLATE = "[plate]\nwidth = 100\nscrew = 'M4'\n"
SCREW = "[[opening]]\nkind = 'countersunk'\nthrough = '{}'\nscrew = 'M4'\n"


@pytest.mark.first_daily
@pytest.mark.parametrize("fixed", [PLATE, SCREW.format("back")])
@pytest.mark.parametrize(
    ("lean", "tall", "told"),
    [
        # the block's back is 3 to 7 mm behind the thing, whose top of 140 mm leans 36 mm further back than its rim
        (20, 140, "the thing reaches .* into the wall .*, if it goes straight on above its highest section"),
        (35, 50, "the thing reaches .* into the wall that the holder is fixed to(;|$)"),
        (20, 50, "on its way out the thing runs .* into the wall"),
        (0, 140, ""),
        (-20, 140, ""),
    ],
)
def test_a_thing_that_reaches_into_the_wall_is_told(fixed, lean, tall, told):
    """A thing that leans back reached 36 mm into the wall behind its plate, and nothing was said."""
    made_so = made(f"lean = {lean}\n{fixed}", tall=tall)
    found = codes(made_so).get("thing-into-wall")
    assert bool(found) == bool(told)
    if found:
        assert re.search(told, found.message)
        assert found.severity is Severity.WARN


@pytest.mark.slow
def test_the_wall_that_is_advised_is_thick_enough():
    found = codes(made(f"lean = 20\n{PLATE}"))["thing-into-wall"]
    thicker = float(re.search(r"the walls (\S+) mm thicker", found.advice)[1])
    furthest = max(
        float(mm) for mm in re.findall(r"(\S+) mm into", found.message)
    )  # what the advice is for is told
    assert thicker == pytest.approx(furthest, abs=0.11)
    for wall, told in ((7 + thicker, False), (7 + thicker - 0.2, True)):
        assert ("thing-into-wall" in codes(made(f"lean = 20\n{PLATE}", wall=wall))) == told


def test_only_the_side_that_is_fixed_counts():
    assert "thing-into-wall" in codes(made(f"lean = 20\n{SCREW.format('back')}"))
    assert "thing-into-wall" not in codes(made(f"lean = 20\n{SCREW.format('left')}"))
