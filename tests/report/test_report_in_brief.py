"""Notes told in brief: what several say alike once, with what each measured, and nothing lost that is no figure."""

import pytest

from cradle.finding import Finding, Severity, of_things
from cradle.report.in_brief import in_brief


def note(message, **rest):
    return Finding(code="code", severity=Severity.NOTE, message=message, **rest)


def told(*findings):
    return [str(finding) for finding in in_brief(findings)]


def test_the_largest_figure_is_told_in_full_and_the_others_after_it():
    turned = [
        note(f"turned by {deg}°", where=f'section "{name}"', things=(thing,), measured=deg, unit="deg")
        for name, thing, deg in (("low", "cup", 1.5), ("high", "cup", -3.2), ("low", "jug", 2.0))
    ]
    assert told(*turned) == [
        'section "high": cup: turned by -3.2°; likewise cup, section "low" (1.5°) and jug, section "low" (2.0°)'
    ]


def test_what_says_the_same_of_several_places_is_told_once_and_keeps_its_advice():
    unread = [note("not checked", advice="measure it", where=f'section "{n}"') for n in ("low", "high")]
    assert told(*unread) == ['section "low": not checked; likewise section "high"; measure it']


@pytest.mark.parametrize(
    "several",
    [
        [note("it lies at x = 3", where="opening[1]"), note("it lies at x = 9", where="opening[2]")],
        [note("3 mm wide", measured=3.0, unit="mm"), note("2 mm wide", measured=2.0, unit="mm")],
        [
            Finding(
                code="c", severity=Severity.WARN, message=f"{mm} mm", things=(thing,), measured=mm, unit="mm"
            )
            for thing, mm in (("cup", 1.0), ("jug", 2.0))
        ],
    ],
)
def test_what_no_figure_or_place_tells_apart_and_every_warning_stays_whole(several):
    assert list(in_brief(several)) == several


def test_of_many_things_all_are_told_as_each_of_them_and_few_by_name():
    light, heavy = note("it is light"), note("it is heavy")
    for names, whose in (("abc", "a, b and c"), ("abcd", "each thing")):
        found = of_things([(name, [light, *([heavy] if name != "a" else [])]) for name in names])
        assert [f.whose for f in found] == [whose, {"abc": "b and c", "abcd": "b, c and d"}[names]]
