"""How fast things widen downwards at their lowest section, on bodies whose sides are known."""

import numpy as np
import pytest
from bodies import lofted, section
from stacked import UP, circle

from cradle.fit.places import places_on
from cradle.fit.splay import splays

LOWEST_MM = 4.0


def found(radii, *, heights=(LOWEST_MM, 14.0, 30.0)):
    body = lofted([section(z, circle(r)) for z, r in zip(heights, radii, strict=True)], low=0.0)
    places = places_on(
        body, section_heights_mm=heights, stand_from_thing=np.eye(4), top_mm=30.0, direction=UP
    )
    below = places.z_mm < LOWEST_MM
    assert below.sum() > 40
    return splays(places, body=body, lowest_mm=LOWEST_MM), below


def test_a_cone_that_widens_downwards_splays_by_its_slope_below_its_lowest_section_alone():
    """Its radius gains 5 mm over 10 mm of height."""
    splay, below = found((30.0, 25.0, 17.0))
    assert splay[below] == pytest.approx(0.5, abs=0.01)
    assert (splay[~below] == 0).all()


@pytest.mark.parametrize("radii", [(20.0, 20.0, 20.0), (20.0, 25.0, 33.0)])
def test_what_stands_upright_or_narrows_downwards_does_not(radii):
    splay, _ = found(radii)
    assert splay == pytest.approx(0.0, abs=1e-3)


def test_of_an_outline_shifted_aside_one_side_splays():
    """Stepping 2 mm to the left over 10 mm of height, a round thing stands out on its right below."""
    low = circle(20.0)
    body = lofted(
        [section(LOWEST_MM, low), section(14.0, low - [2.0, 0.0]), section(24.0, low - [4.0, 0.0])], low=0.0
    )
    places = places_on(
        body,
        section_heights_mm=[LOWEST_MM, 14.0, 24.0],
        stand_from_thing=np.eye(4),
        top_mm=24.0,
        direction=UP,
    )
    splay = splays(places, body=body, lowest_mm=LOWEST_MM)
    below = places.z_mm < LOWEST_MM
    towards = places.normals[below, 0]
    assert splay[below][towards > 0.95] == pytest.approx(0.2, abs=0.02)
    assert splay[below][towards < -0.1] == pytest.approx(0.0, abs=1e-6)
