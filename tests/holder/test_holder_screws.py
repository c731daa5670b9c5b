"""Screws: the sizes of the standards, and the cone under a countersunk head."""

import numpy as np
import pytest
from test_holder_face import face

from cradle.errors import HolderError
from cradle.geometry.solid import volume_mm3
from cradle.holder.screws import countersink, screw_hole
from cradle.project.fasteners import screw_of
from cradle.project.opening import CountersunkSpec, ScrewSpec, Through


def test_measures_given_go_before_the_table_s():
    # ISO 273 medium series: M4 passes through 4.5 mm
    assert screw_of(ScrewSpec(through=Through.FLOOR, screw="M4")).hole_mm == 4.5
    assert screw_of(ScrewSpec(through=Through.FLOOR, screw="M4", diameter_mm=5.0)).hole_mm == 5.0
    wood = screw_of(CountersunkSpec(through=Through.FLOOR, diameter_mm=3.0, head_mm=7.0))
    assert (wood.hole_mm, wood.sunk_head_mm) == (3.0, 7.0)


def test_the_countersink_is_a_cone_of_90_degrees():
    """Frustum π h/3 (R² + R r + r²) of height R − r, and a cylinder over it for the head."""
    one = face(Through.FLOOR)
    made = countersink(one, np.zeros(2), hole_mm=4.0, head_mm=9.0, low_mm=-5.0, seat_mm=0.0)
    cone = np.pi * 2.5 / 3 * (4.5**2 + 4.5 * 2 + 2**2)
    assert volume_mm3(made) == pytest.approx(cone + np.pi * 4.5**2 * 5, rel=4e-3)


def test_a_plain_hole_goes_through_the_floor_and_is_driven_from_the_pocket():
    made = screw_hole(ScrewSpec(through=Through.FLOOR, screw="M4"), face=face(Through.FLOOR))
    (cut,) = made.cuts
    assert volume_mm3(cut) > np.pi * 2.25**2 * 6
    assert made.driver.towards == pytest.approx([0, 0, 1])
    assert made.driver.head_at_mm[:2] == pytest.approx([0, 0])
    assert dict(made.sizes)["hole diameter"] == 4.5


def test_a_head_that_leaves_too_little_under_it_is_refused_with_what_to_do():
    spec = CountersunkSpec(through=Through.FRONT, diameter_mm=3.0, head_mm=12.0)
    with pytest.raises(HolderError, match=r"0\.5 mm of the wall would be left.*0\.7 mm thicker"):
        screw_hole(spec, face=face(Through.FRONT))
