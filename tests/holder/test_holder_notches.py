"""Notches, measured on what they cut."""

import numpy as np
import pytest
from test_holder_face import face

from cradle.geometry.solid import box_mm, volume_mm3
from cradle.holder.holes import finger_notches, notch
from cradle.project.opening import FingerSpec, NotchSpec, Through


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
