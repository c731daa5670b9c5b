"""Profiles from another zero, in another unit, at another scale or counted the other way: each refused with its cause."""

import re

import numpy as np
import pytest
from section_shapes import codes, polar, spec
from sheet_stacks import HEIGHTS, box, changed, egg, placed, sides, specs, truth

from cradle.errors import SectionError
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import size
from cradle.sections.profiles import Profiles


@pytest.mark.parametrize("share", [0.5, 0.7, 2.0])
def test_profiles_of_another_scale_are_told_with_it(share):
    rings = [egg() * f for f in (0.6, 0.9, 1.1, 0.8)]
    p = sides(rings)
    scaled = Profiles(**{n: frozen(getattr(p, n) * [1, share]) for n in ("front", "back", "left", "right")})
    with pytest.raises(
        SectionError, match=r"profiles lie \d+ % as far apart as all 4 sections are"
    ) as caught:
        placed(rings, specs(rings), profiles=scaled)
    (percent,) = re.findall(r"lie (\d+) %", str(caught.value))
    assert float(percent) == pytest.approx(100 * share, rel=0.02)  # the profiles are read every 3 mm


def test_profiles_that_do_not_share_a_zero_are_told():
    rings = truth(egg)
    p = sides(rings)
    with pytest.raises(
        SectionError, match=r"side\.back: .* not measured from one line: .* 21\.9\d mm further"
    ):
        placed(rings, specs(rings), profiles=changed(p, back=frozen(p.back + [0, 21.96])))


def test_of_a_thing_that_lies_nearly_flat_heights_off_by_little_are_no_other_zero():
    # deeper by 6 mm for each mm up: 0.4 mm of height make 2.4 mm of depth
    def depth(z):
        return 20 + 6 * z

    shape = egg() / size(egg())
    rings = [shape * [30, depth(z)] for z in HEIGHTS]
    z = np.arange(0.0, 60.0, 3.0)
    front, back = (
        frozen(np.column_stack([z, end * depth(z + 0.4)])) for end in (shape[:, 1].min(), shape[:, 1].max())
    )
    both = Profiles(front=front, back=back)
    placed(rings, specs(rings), profiles=both)
    with pytest.raises(
        SectionError, match=r"side\.back: .* not measured from one line: .* 11\.4\d mm further"
    ):
        placed(rings, specs(rings), profiles=changed(both, back=frozen(back + [0, 9.0])))


@pytest.mark.parametrize(("unit", "mm"), [("cm", 10.0), ("inches", 25.4)])  # 1 in = 25.4 mm, ISO 31-1
@pytest.mark.parametrize("of", ["distances", "heights and distances"])
def test_profiles_in_another_unit_are_told_with_it(unit, mm, of):
    rings = [egg() * f for f in (0.6, 0.9, 1.1, 0.8)]
    p = sides(rings)
    scale = np.array([1.0 if of == "distances" else 1 / mm, 1 / mm])
    wrong = changed(p, front=frozen(p.front * scale), back=frozen(p.back * scale))
    with pytest.raises(
        SectionError, match=rf"side\.front: the {of} of the front and back .* in {unit}: "
    ) as caught:
        placed(rings, specs(rings), profiles=wrong)
    stated = re.findall(r"state the unit in the first line of each file: (.*)", str(caught.value))
    assert stated == ([] if of == "distances" else [f"height_{unit[:2]},y_{unit[:2]}"])


@pytest.mark.parametrize("name", ["front", "back"])
def test_a_profile_that_counts_the_other_way_is_told(name):
    rings = [egg() * f for f in (0.6, 0.9, 1.1, 0.8)]
    p = sides(rings)
    turned_round = frozen(getattr(p, name) * [1, -1] + [0, -50.0 if name == "front" else 55.0])
    with pytest.raises(SectionError, match=rf"side\.{name}: the {name} profile was measured in the opp"):
        placed(rings, specs(rings), profiles=changed(p, **{name: turned_round}))


def test_one_profile_of_the_wrong_sense_is_doubted():
    rings = [egg() * f for f in (0.6, 0.9, 1.1, 0.8)]
    p = sides(rings, lean=0.02)
    result = placed(rings, specs(rings), profiles=Profiles(back=frozen(p.back * [1, -1])))
    assert "profile-sense-doubtful" in codes(result.findings)
    result = placed(rings, specs(rings), profiles=Profiles(back=p.back))
    assert "profile-sense-doubtful" not in codes(result.findings)


def test_a_section_at_a_step_does_not_turn_a_profile_round():
    """Two sections, the lower one just below a step that the profiles, read every 3 mm, make a slope."""
    rings = [box(width=20.0, depth=16.0), box(width=60.0, depth=40.0)]
    heights = np.arange(3.0, 42.0, 3.0)
    wide = np.where(heights > 7, 60.0, 20.0)
    deep = np.where(heights > 7, 40.0, 16.0)
    lopsided = np.where(heights > 7, 0.0, -24.0)  # the foot stands far to the left
    sides = {"left": lopsided - wide / 2, "right": lopsided + wide / 2, "front": -deep / 2, "back": deep / 2}
    profiles = Profiles(**{k: frozen(np.column_stack([heights, v])) for k, v in sides.items()})
    given = [
        spec("s0", 6.5, width_mm=20.0, depth_mm=16.0),
        spec("s1", 38.0, width_mm=60.0, depth_mm=40.0),
    ]
    result = placed(rings, given, profiles=profiles)
    assert len(result.sections) == 2


def test_a_section_a_millimetre_past_a_step_does_not_turn_a_profile_round():
    """Heights noted to half a millimetre do not explain what it reads there; the reading beyond the step does."""
    heights = np.arange(0.0, 44.0, 4.0)
    wide, middle = (np.where(heights > 20, above, below) for below, above in ((49.0, 55.0), (-10.0, 3.0)))
    sides = {"left": middle - wide / 2, "right": middle + wide / 2}
    profiles = Profiles(**{k: frozen(np.column_stack([heights, v])) for k, v in sides.items()})
    rings = [box(width=49.0, depth=30.0), box(width=55.0, depth=30.0)]
    given = [spec("s0", 8.0, width_mm=49.0, depth_mm=30.0), spec("s1", 21.1, width_mm=55.0, depth_mm=30.0)]
    assert len(placed(rings, given, profiles=profiles).sections) == 2


@pytest.mark.parametrize("ends", [("left", "front"), ("right", "back"), ("left", "back")])
def test_one_file_for_two_sides_of_a_thing_that_is_not_round_is_named(ends):
    one, other = ends
    rings = [egg() * [f, 1.0] for f in (0.6, 0.9, 1.1, 0.8)]
    p = sides(rings)
    twice = Profiles(**{one: getattr(p, one), other: getattr(p, one)})
    with pytest.raises(
        SectionError, match=rf"side\.({one}|{other}): the \w+ and \w+ profiles are the same readings"
    ):
        placed(rings, specs(rings), profiles=twice)


def test_one_file_for_two_sides_of_a_round_thing_is_taken():
    rings = [polar(400, lambda t: 20 + 0 * t) * f for f in (0.6, 0.9, 1.1, 0.8)]
    p = sides(rings, lean=0.0)
    placed(rings, specs(rings), profiles=Profiles(left=p.left, front=p.left))


@pytest.mark.parametrize("lean", [0.0, 0.1])
@pytest.mark.parametrize("false", ["left", "front"])
def test_one_file_for_two_sides_is_named_by_the_side_opposite(false, lean):
    """Wider than deep by the same everywhere: the sections alone do not tell that one file was given twice."""
    rings = [box(width=50.0 + grown, depth=30.0 + grown) for grown in (0.0, 6.0, 8.0, 2.0)]
    p = sides(rings, lean=lean)
    other = {"left": "front", "front": "left"}[false]
    twice = changed(p, **{false: getattr(p, other)})
    with pytest.raises(SectionError, match=rf"side\.{false}: the front and left profiles are the same"):
        placed(rings, specs(rings), profiles=twice)
    placed(rings, specs(rings), profiles=p)


def test_one_file_for_two_sides_of_a_round_thing_from_another_zero_is_no_wrong_file():
    rings = [polar(400, lambda t: 20 + 0 * t) * f for f in (0.6, 0.9, 1.1, 0.8)]
    p = sides(rings, lean=0.0)
    with pytest.raises(SectionError, match="not measured from one line"):
        placed(rings, specs(rings), profiles=changed(p, left=p.front, back=frozen(p.back + [0, 12.0])))
