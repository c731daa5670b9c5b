"""Things that may be rules, seen alone."""

from __future__ import annotations

import numpy as np

from cradle.pictures.regions import Regions
from cradle.rulers.ruler_things import masks_of, seen_alone


def test_marks_that_the_mask_of_a_rule_lacks_are_seen_all_the_same():
    """On newsprint blurred marks have the paper's colour: the mask of a white rule has bites along its edge."""
    grey = np.full((120, 400), 220, np.uint8)
    grey[20:40, 50:350:10] = 30
    mask = np.zeros(grey.shape, np.int32)
    mask[20:100, 40:360] = 1
    mask[20:38, 60:340] = 0
    things = Regions(
        labels=mask,
        levels=grey[..., None],
        ground=np.full((*grey.shape, 1), 200.0, np.float32),
        shrink=1.0,
        boxes=((40, 20, 320, 80),),
        cut_off=(False,),
    )
    own, whole = masks_of(things, 1)
    cut, corner = seen_alone(grey, own, things.boxes[0], shrink=1.0)
    alone, _ = seen_alone(grey, whole, things.boxes[0], shrink=1.0)
    assert corner == (40, 20)
    assert (cut[10, 30:290] == 220).all()
    assert (alone[10, 10:300:10] == 30).all()
    assert (alone[0] == 220).all()  # the rim, its shadow's, is left out
    mask[20:38, 60:340] = 1
    assert len(list(masks_of(things, 1))) == 1
