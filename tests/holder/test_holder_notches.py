"""Notches, measured on what they cut."""

import numpy as np
import pytest
from test_holder_face import face

from cradle.errors import HolderError
from cradle.geometry.solid import box_mm, volume_mm3
from cradle.holder.holes import FINGER_DEPTH_MM, finger_notches, notch
from cradle.project.opening import FINGER_MM, FingerSpec, NotchSpec, Through


def size(cut):
    low, high = box_mm(cut)
    return high - low


@pytest.mark.parametrize(("corner", "missing"), [(0.0, 0.0), (3.0, 3.0), (None, 6.0)])
def test_a_notch_is_a_rectangle_less_its_two_lower_corners(corner, missing):
    """Two corners of radius r leave out (2 − π/2) r²; without a stated one the bottom is a half circle."""
    spec = NotchSpec(through=Through.FRONT, width_mm=12, depth_mm=10, corner_mm=corner)
    made = notch(spec, face=face(Through.FRONT))
    (cut,) = made.cuts
    wide, deep, tall = size(cut)
    assert wide == pytest.approx(12)
    assert tall == pytest.approx(11)  # and a mm above the rim
    assert volume_mm3(cut) / deep == pytest.approx(12 * 11 - (2 - np.pi / 2) * missing**2, rel=2e-3)
    assert dict(made.sizes) == {"width": 12, "depth": 10}


@pytest.mark.parametrize("through", [Through.FRONT, Through.LEFT])
def test_it_goes_from_the_pocket_through_the_wall(through):
    (cut,) = notch(NotchSpec(through=through, width_mm=8, depth_mm=9), face=face(through)).cuts
    low, high = box_mm(cut)
    axis, wall, pocket = (1, 17.0, 12.0) if through is Through.FRONT else (0, 25.0, 20.0)
    assert low[axis] < -wall
    assert high[axis] > -pocket


def test_a_place_stands_for_the_depth():
    made = notch(NotchSpec(through=Through.FRONT, width_mm=8, at_mm=(5.0, 22.0)), face=face(Through.FRONT))
    low, high = box_mm(made.cuts[0])
    assert low[2] == pytest.approx(22)
    assert (low[0] + high[0]) / 2 == pytest.approx(5)
    with pytest.raises(HolderError, match="not below the rim"):
        notch(
            NotchSpec(through=Through.FRONT, width_mm=8, at_mm=(0.0, 35.0)),
            face=face(Through.FRONT),
        )


def test_finger_notches_are_two_alike_in_opposite_walls():
    made = finger_notches(FingerSpec(through=Through.LEFT), face=face(Through.LEFT))
    one, other = made.cuts
    assert volume_mm3(one) == pytest.approx(volume_mm3(other))
    assert size(one)[1] == pytest.approx(FINGER_MM)
    assert size(one)[2] == pytest.approx(FINGER_DEPTH_MM + 1)
    assert box_mm(one)[0][0] < -25 < 25 < box_mm(other)[1][0]
    assert box_mm(one)[1][0] <= 0 <= box_mm(other)[0][0]


@pytest.mark.parametrize("through", [Through.LEFT, Through.RIGHT])
def test_a_cut_stops_in_the_pocket_before_what_a_thing_with_two_horns_reaches_round(through):
    """Between the horns, 8 mm wide each, the block stands: a notch beside them opens the wall alone, here and opposite."""
    horns = np.array([[-20, -12], [-12, -12], [-12, 0], [12, 0], [12, -12], [20, -12], [20, 12], [-20, 12]])
    for made in (
        notch(NotchSpec(through=through, width_mm=10, at_mm=(2.0, 15.0)), face=face(through, hollow=horns)),
        finger_notches(
            FingerSpec(through=through, width_mm=10, at_mm=(2.0, 15.0)), face=face(through, hollow=horns)
        ),
    ):
        for cut in made.cuts:
            low, high = box_mm(cut)
            near, far = sorted((abs(low[0]), abs(high[0])))
            assert 12.0 <= near < 20.0
            assert far > 25.0


def test_a_cut_in_a_plain_pocket_begins_in_its_middle_as_ever():
    (cut,) = notch(NotchSpec(through=Through.LEFT, width_mm=10, depth_mm=9), face=face(Through.LEFT)).cuts
    assert box_mm(cut)[1][0] == pytest.approx(0.0)
