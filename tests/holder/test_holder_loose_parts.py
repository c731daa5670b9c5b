"""What openings cut loose from a holder."""

import numpy as np
import pytest

from cradle.errors import HolderError
from cradle.geometry import solid as solids
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec
from cradle.project.opening import NotchSpec, SlotSpec, Through

BLOCK = BlockSpec(wall_mm=5.0, floor_mm=6.0)


@pytest.mark.parametrize(("left_mm", "parts"), [(0.06, 1), (1.0, 2)])
def test_a_loose_fin_that_no_printer_lays_is_dropped_and_a_loose_part_refused(tile, left_mm, parts):
    """Two notches beside each other, and a slot that takes the foot of what is left between them."""
    aside = (4.0 + left_mm) / 2
    cuts = [NotchSpec(through=Through.FRONT, width_mm=4.0, at_mm=(side * aside, 10.0)) for side in (-1, 1)]
    slot = SlotSpec(through=Through.FRONT, at_mm=(0.0, 10.0), width_mm=4.0, length_mm=12.0)
    if parts == 2:
        with pytest.raises(HolderError, match="cut the holder into 2 parts"):
            make_holder([tile], block=BLOCK, openings=[*cuts, slot], under=np.zeros((1, 2)))
    else:
        holder = make_holder([tile], block=BLOCK, openings=[*cuts, slot], under=np.zeros((1, 2)))
        assert len(solids.pieces(holder.solid)) == 1
