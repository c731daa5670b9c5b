"""One reading by calipers that is wrong, or one sheet: which of them is believed."""

from dataclasses import replace

import pytest
from daily import each_value_daily, rest_further
from section_shapes import codes
from sheet_stacks import egg, placed, sides, specs, truth

from cradle.errors import InputError
from cradle.geometry.ring import size
from cradle.sections.profiles import Profiles


@pytest.mark.parametrize(("off_mm", "reading"), each_value_daily([2.7, -2.7, 1.5], ["width_mm", "depth_mm"]))
@pytest.mark.parametrize("odd", rest_further(range(4), daily=[1]))
def test_a_width_misread_by_some_millimetres_is_doubted_and_not_the_drawing_and_both_profiles(
    odd, off_mm, reading
):
    rings = truth(egg)
    given = specs(rings)
    given[odd] = replace(given[odd], **{reading: getattr(given[odd], reading) + off_mm})
    result = placed(rings, given, profiles=sides(rings))
    told = [f for f in result.findings if f.code == "reading-disagrees"]
    assert [f.where for f in told] == [f'section "s{odd}"']
    assert f"caliper {reading[:5]}" in told[0].message
    assert size(result.sections[odd].points_mm) == pytest.approx(size(rings[odd]), abs=0.4)


@pytest.mark.parametrize("with_profiles", [True, False])
def test_a_sheet_drawn_too_large_is_scaled_to_its_calipers(with_profiles):
    rings = truth(egg)
    drawn = [r * 1.045 if i == 2 else r for i, r in enumerate(rings)]
    result = placed(drawn, specs(rings), profiles=sides(rings) if with_profiles else Profiles())
    assert not codes(result.findings) & {"reading-disagrees"}
    assert size(result.sections[2].points_mm) == pytest.approx(size(rings[2]), abs=0.2)


@pytest.mark.parametrize(
    ("depth", "words"),
    [
        (1.005, "the depth agrees with the drawing, so the width was misread"),
        (1.08, "the width is far off and the depth is off as well: measure both again"),
    ],
)
def test_a_depth_that_is_off_beside_a_width_far_off_is_not_said_to_agree(depth, words):
    rings = truth(egg)
    given = specs(rings)
    given[2] = replace(given[2], width_mm=given[2].width_mm * 1.25, depth_mm=given[2].depth_mm * depth)
    with pytest.raises(InputError, match=words):
        placed(rings, given, profiles=sides(rings))
