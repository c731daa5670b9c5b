"""Letters sunk into a wall, measured on the holder's own mesh."""

import re

import numpy as np
import pytest
from pockets import OUTWARD, WALLS, opening
from test_holder_openings import built, findings, plug

from cradle.errors import HolderError
from cradle.geometry import region_measures
from cradle.geometry import solid as solids
from cradle.geometry.mesh import bounds_mm, edge_statistics
from cradle.project.block import BlockForm, BlockSpec
from cradle.project.opening import Through
from cradle.project.printer import PrinterSpec


@pytest.mark.parametrize("through", WALLS)
def test_letters_are_sunk_to_their_depth_and_read_from_outside(tile, through):
    holder = built(tile, opening("label", through, text="L", height_mm=8))
    gone = solids.mesh_of(plug(built(tile), holder))
    facing = 1 if through in (Through.FRONT, Through.BACK) else 0
    size = np.ptp(bounds_mm(gone), axis=0)
    assert size[facing] == pytest.approx(0.6, abs=1e-3)
    assert size[2] == pytest.approx(8, abs=1e-6)
    # the upright of an L lies to the left of its foot, seen from outside
    normal = np.array(OUTWARD[through])
    right = np.cross([0, 0, 1], normal)
    points = gone.vertices_mm
    top = points[points[:, 2] > points[:, 2].max() - 1] @ right
    foot = points[points[:, 2] < points[:, 2].min() + 1] @ right
    assert top.max() < foot.max() - 1
    assert top.min() == pytest.approx(foot.min(), abs=1e-6)
    assert edge_statistics(holder.mesh).closed


def test_letters_follow_a_round_wall(tile):
    block = BlockSpec(form=BlockForm.OVAL, wall_mm=4.0, floor_mm=6.0)
    bare = built(tile, block=block)
    holder = built(tile, opening("label", Through.FRONT, text="abc", height_mm=8), block=block)
    gone = plug(bare, holder)
    # as deep everywhere, square to the wall: the volume is the letters' area along the wall times the depth
    away = region_measures.distances_to_boundary(solids.mesh_of(gone).vertices_mm[:, :2], bare.plan)
    assert away.max() == pytest.approx(0.6, abs=0.02)
    assert away.min() == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize(
    ("spec", "message"),
    [
        (
            opening("label", Through.FRONT, text="much too long a text", height_mm=10),
            "does not fit the front",
        ),
        (
            opening("label", Through.FRONT, text="EGG", height_mm=6, depth_mm=45),
            "45 mm deep go right through the block",
        ),
        (opening("label", Through.FRONT, text="жук 5", height_mm=6), "letters that cannot be engraved: жук"),
        (
            opening("label", Through.FRONT, text="EGG", height_mm=6, at_mm=(18, 15)),
            r"at \(18.0, 15.0\) mm it reaches past the edge of the front wall.* move it inward",
        ),
    ],
)
def test_what_does_not_fit_is_refused(tile, spec, message):
    with pytest.raises(HolderError, match=rf"opening\[1\].*{message}"):
        built(tile, spec)


@pytest.mark.parametrize("text", ["EGG", "iii", "1/4"])
def test_letters_whose_strokes_no_printer_leaves_open_are_told_with_a_height_that_will_do(tile, text):
    """Letters 1 mm high were cut without a word."""

    def told(height):
        label = opening("label", Through.FRONT, at_mm=(0, 15), text=text, height_mm=height)
        return findings(built(tile, label), tile).get("letters-thin")

    assert told(7.0) is None
    small = told(1.0)
    assert 0.1 < small.measured < small.limit == PrinterSpec().line_mm
    enough = float(re.search(r"height ([\d.]+) mm or more", small.advice)[1])
    assert told(enough) is None
    assert told(enough - 0.2) is not None
