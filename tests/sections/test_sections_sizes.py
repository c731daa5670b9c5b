"""What side profiles tell of a section: its width and depth, and how far they may bulge between their points."""

import numpy as np
import pytest
from section_shapes import spec
from stacked import ellipse

from cradle.geometry.arrays import frozen
from cradle.project.fit import SpreadSpec
from cradle.sections.laid import Laid
from cradle.sections.posterior import ReadingKind
from cradle.sections.profiles import Profiles
from cradle.sections.reading_spreads import PROFILE_MM
from cradle.sections.readings import side_profiles
from cradle.sections.sizes import sizes_of


def laid_at(height_mm):
    return Laid(
        spec=spec(height_mm=height_mm),
        ring=ellipse(30.0, 20.0),
        middle_mm=np.zeros(2),
        settled_rad=0.1,
        lines=(),
        exact=False,
    )


@pytest.mark.parametrize(("height_mm", "seen"), [(10.0, 60.0), (19.5, None), (20.5, None), (30.0, 90.0)])
def test_near_a_step_of_the_profiles_nobody_knows_how_wide_a_section_is(height_mm, seen):
    """Heights of section and profile may be off each other by a millimetre: the step from 60 to 90 mm may be above or below."""
    reach = np.array([[0.0, 30], [20, 30], [20.001, 45], [40, 45]])
    profiles = Profiles(left=frozen(reach * [1, -1]), right=frozen(reach))
    sizes = sizes_of(laid_at(height_mm), profiles=profiles)
    assert sizes.seen_mm == (pytest.approx(seen) if seen else None, None)


def test_between_its_points_a_profile_is_unsure_by_what_it_may_bulge():
    """A parabola of radius R rises over a chord h by h² / 8 R at its middle: what is believed is no less and no more than some of it."""
    radius, step = 40.0, 10.0
    z = np.arange(0.0, 61.0, step)
    profiles = Profiles(front=frozen(np.column_stack([z, -((z - 30.0) ** 2) / (2 * radius)])))

    def bulge_mm(height_mm):
        (found,) = (
            one
            for one in side_profiles([laid_at(height_mm)], profiles=profiles, spread=SpreadSpec(), own={})
            if one.kind is ReadingKind.FRONT
        )
        return np.sqrt(found.own**2 - PROFILE_MM**2)

    rise = step**2 / (8 * radius)
    assert rise <= bulge_mm(25.0) <= 3 * rise
    assert bulge_mm(22.0) == pytest.approx(
        4 * 0.2 * 0.8 * bulge_mm(25.0)
    )  # along a parabola between two points
    assert bulge_mm(30.0) == pytest.approx(0, abs=1e-6)
