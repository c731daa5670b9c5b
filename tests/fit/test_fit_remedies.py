from dataclasses import replace

import pytest

from cradle.fit.gain import Gain
from cradle.fit.more_points import MorePoints
from cradle.fit.next_sections import NextSections
from cradle.fit.remedies import measuring_advice, what_helps
from cradle.fit.uncertainties import Spread
from cradle.project.side import Side
from cradle.project.view import SideSpec

SECTION = NextSections(heights_mm=(12.0,), where="between", gain=Gain(before=0.5, after=0.7))
PROFILES = SideSpec(front="front.csv", back="back.csv", left="left.csv", right="right.csv")
POINTS = MorePoints(names=("low",), gain=Gain(before=0.5, after=0.8))


def test_of_two_sections_alone_a_straightedge_tells_what_lies_between():
    assert "straightedge" in what_helps(SECTION, limited_by=Spread.BETWEEN, unseen=tuple(Side), sections=2)[0]
    for sections, spread in ((3, Spread.BETWEEN), (None, Spread.BETWEEN), (2, Spread.PLACING)):
        told = what_helps(SECTION, limited_by=spread, unseen=tuple(Side), sections=sections)
        assert not [words for words in told if "straightedge" in words]


def test_where_it_is_tight_above_all_that_was_measured_the_block_may_end_there():
    told = what_helps(
        SECTION, limited_by=Spread.BETWEEN, unseen=tuple(Side), lower_block="end the block at 24 mm"
    )
    assert told[0] == "end the block at 24 mm"
    assert told[1:] == what_helps(SECTION, limited_by=Spread.BETWEEN, unseen=tuple(Side))


def test_what_helps_most_is_told_first():
    first, second = what_helps(SECTION, points=POINTS, limited_by=Spread.POINTS)
    assert "twice as many points" in first
    assert "one more section at 12 mm" in second
    better = replace(SECTION, gain=Gain(before=0.5, after=1.0))
    assert "one more section" in what_helps(better, points=POINTS, limited_by=Spread.POINTS)[0]


@pytest.mark.parametrize("spread", [Spread.BETWEEN, Spread.PLACING])
def test_sides_that_nothing_shows_come_before_a_section_more(spread):
    told = what_helps(SECTION, limited_by=spread, unseen=tuple(Side))
    assert told[0].startswith("measure the profiles of the front, back, left and right sides, or add views")
    assert "one more section" in told[1]
    assert "hardly" not in measuring_advice(told, limited_by=spread, side=SideSpec())
    (alone,) = what_helps(None, limited_by=spread, unseen=(Side.FRONT,))
    assert alone == "measure the profile of the front side, or add a view that shows it"


@pytest.mark.parametrize("spread", Spread)
def test_no_one_is_told_to_do_what_is_done(spread):
    """Where all sides are seen and no section helps, what counts most has a remedy that does not ask for these."""
    helps = what_helps(None, limited_by=spread)
    assert helps == []
    told = measuring_advice(helps, limited_by=spread, side=PROFILES)
    assert told.startswith("one more section would hardly help; rather ")
    assert "uncertainty" not in told  # every finding that ends with this names it before
    assert "or add" not in told
    assert "view" not in told


def test_only_who_measured_profiles_is_told_to_measure_them_again():
    told = [measuring_advice([], limited_by=Spread.PLACING, side=side) for side in (PROFILES, SideSpec())]
    assert [("profiles again" in words, "profiles too" in words) for words in told] == [
        (True, False),
        (False, True),
    ]


def test_what_sides_do_not_tell_asks_for_none():
    assert what_helps(SECTION, limited_by=Spread.TRACE, unseen=tuple(Side)) == [str(SECTION)]


def test_of_a_turned_thing_it_is_asked_first_whether_it_is_one():
    told = what_helps(SECTION, limited_by=Spread.PLACING, unseen=tuple(Side), turned=True)
    assert told[0].startswith('say align = "drawing" under [loft] if it is round about one upright axis')
    assert told[1:] == what_helps(SECTION, limited_by=Spread.PLACING, unseen=tuple(Side))
    for others in ({"limited_by": Spread.BETWEEN, "unseen": tuple(Side)}, {"limited_by": Spread.PLACING}):
        assert what_helps(SECTION, turned=True, **others) == what_helps(SECTION, **others)


def test_where_the_pocket_follows_hollows_it_is_to_span_them():
    told = what_helps(SECTION, limited_by=Spread.BETWEEN, hollows=True)
    assert 'hollows = "spanned"' in told[0]
    assert told[1:] == what_helps(SECTION, limited_by=Spread.BETWEEN)
    assert what_helps(SECTION, limited_by=Spread.TRACE, hollows=True) == [str(SECTION)]
