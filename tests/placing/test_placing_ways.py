"""A sheet laid another way: its outline, its middle and its mirror lines go round together."""

import numpy as np
import pytest
import shapely
from section_shapes import pear, spec
from shapely import affinity

from cradle.geometry.ring import box_middle, turned
from cradle.placing.ways import Way, as_laid
from cradle.sections.laid import Laid
from cradle.sections.mirror import MirrorLine


@pytest.mark.parametrize("coarse_deg", [0.0, 90.0, -37.0])
@pytest.mark.parametrize("face_down", [False, True])
def test_an_outline_lies_where_turning_the_whole_sheet_lays_it(coarse_deg, face_down):
    """The sheet is turned over about its upright middle line, then about its zero (shapely's affinities)."""
    askew = turned(pear(), angle_deg=10.0)
    middle = np.array([12.0, -7.0])
    ring = askew - box_middle(askew)
    laid = Laid(
        spec=spec(),
        ring=ring,
        middle_mm=middle,
        settled_rad=0.1,
        lines=(MirrorLine(point_mm=-box_middle(askew), angle_deg=100.0, asymmetry_mm=0.0),),
        exact=False,
    )
    found = as_laid(laid, way=Way(coarse_deg=coarse_deg, face_down=face_down, slip=None, cost=0.0))
    sheet = shapely.Polygon(ring + middle)
    if face_down:
        sheet = affinity.scale(sheet, -1, 1, origin=(0, 0))
    sheet = affinity.rotate(sheet, coarse_deg, origin=(0, 0))
    here = shapely.Polygon(found.ring + found.middle_mm)
    assert here.symmetric_difference(sheet).area == pytest.approx(0, abs=1e-6)
    assert box_middle(found.ring) == pytest.approx([0, 0], abs=1e-9)
    (line,) = found.lines
    along = np.array([np.cos(np.radians(line.angle_deg)), np.sin(np.radians(line.angle_deg))])
    off = found.ring - line.point_mm
    image = 2 * np.outer(off @ along, along) - off  # mirrored about the line it is itself again
    own = shapely.Polygon(off)
    assert shapely.Polygon(image).symmetric_difference(own).area < 1e-3 * own.area
