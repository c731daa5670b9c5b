"""What is said of a wall plate, from the project file to the findings."""

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
wall = 7
height = 30
{plate}
"""


def made(plate, *, depth=24):
    return make(project_from_text(TEXT.format(plate=plate, depth=depth), file=Path("holder.toml")))


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
        text = TEXT.format(plate=f"{plate}[side]\nfront = 'front.csv'\nback = 'back.csv'\n", depth=24)
        return make(project_from_text(text, file=tmp_path / "holder.toml"))

    plate = "[plate]\nwidth = 56\nheight = 84\nscrew = 'M4'\n"
    assert "plate-beside-unmeasured" not in codes(with_backs(12, plate))
    assert "plate-beside-unmeasured" not in codes(with_backs(30, plate.replace("84", "54")))
    with pytest.raises(HolderError, match=r"above the rim the thing runs \d+.\d mm into the plate"):
        with_backs(30, plate)
