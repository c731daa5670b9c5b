"""How a row stands, and what stands in the way of its things."""

import numpy as np
import pytest
from tins import cut_of, made_of, places, tin

from cradle.holder.standing import Load, standing, tip_angle
from cradle.report.summary import summary_of


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


@pytest.mark.slow
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


@pytest.mark.slow
def test_a_tall_thing_two_places_off_is_seen_on_the_way_out(written):
    # the low one between them is passed over; the tall one behind it is not
    low = tin(30, name="low").replace("height = 60.0", "height = 24.0")
    written(low, "low.toml")
    written(tin(30, name="tall").replace("height = 60.0", "height = 160.0"), "tall.toml")
    row = '[block]\nheight = 20\n[row]\nthings = ["low.toml", "tall.toml"]\ngap = 12\n'
    text = tin(30, extra=f"lift_out = [0.5, 0, 1]\n{row}").replace("height = 60.0", "height = 24.0")
    found = [f.message for f in made_of(written, text).findings if f.code == "neighbour-in-the-way"]
    assert any("pocket 1 runs into the one in pocket 3" in message for message in found)


@pytest.mark.slow
def test_a_long_row_that_the_bed_does_not_take_fails(written):
    made = made_of(written, tin(30, extra="[row]\ncount = 10\n"))
    assert [f.code for f in made.findings if f.severity == "fail"] == ["bed"]


def test_a_holder_that_fits_the_bed_askew_may_be_printed(written):
    made = made_of(
        written, tin(30, extra="[printer]\nbed = [105, 105, 100]\n[block]\nwall = 4\n[row]\ncount = 3\n")
    )
    assert max(summary_of(made)["size_mm"][:2]) > 105
    assert [f.code for f in made.findings if f.code.startswith("bed")] == ["bed-turned"]
