"""Findings told in brief: what several say alike once, with what each measured, and nothing lost that is no figure."""

from dataclasses import replace

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


@pytest.mark.parametrize(
    ("unit", "decimals", "expected"),
    [("%", 2, "0.28 %"), ("%", 0, "0 %"), ("mm", 1, "0.3 mm"), ("deg", 2, "0.28°")],
)
def test_the_others_figures_have_as_many_decimals_as_the_one_that_is_told_in_full(unit, decimals, expected):
    large, small = (
        note(f"piece 1: {mm:.{decimals}f} too large", where=w, measured=mm, unit=unit)
        for w, mm in (("a", 1.32), ("b", 0.28))
    )
    assert told(large, small) == [f"a: piece 1: {1.32:.{decimals}f} too large; likewise b ({expected})"]


def test_a_figure_that_is_not_told_in_full_is_not_told_of_the_others_either():
    """How much an outline came out smaller stood as "(-0.13 mm)" behind one that tells of per cent."""
    scaled = [
        note(f"scaled to {percent} %", where=where, measured=mm, unit="mm")
        for where, percent, mm in (("a", 99.15, -0.49), ("b", 99.8, -0.13))
    ]
    assert told(*scaled) == ["a: scaled to 99.15 %; likewise b"]


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


def unsure(where, mm, *, advice="take the picture again", **more):
    message = f"the edge is uncertain by {mm:.2f} mm"
    return Finding(
        code="edge-unsure", severity=Severity.WARN, message=message, where=where, measured=mm, limit=mm / 2,
        unit="mm", advice=advice, **more,
    )  # fmt: skip


def test_warnings_that_say_the_same_of_several_files_are_told_once():
    (told,) = in_brief([unsure("a.jpg", 0.13), unsure("b.jpg", 0.2), unsure("c.jpg", 0.14)])
    assert str(told) == (
        "b.jpg: the edge is uncertain by 0.20 mm; likewise a.jpg (0.13 mm) and c.jpg (0.14 mm); take the picture again"
    )


def test_warnings_that_advise_something_else_or_show_a_place_are_told_each():
    other = [unsure("a.jpg", 0.13), unsure("b.jpg", 0.2, advice="clean the lens")]
    assert in_brief(other) == tuple(other)
    shown = [unsure(name, 0.2, place_mm=(0.0, 0.0, at)) for at, name in enumerate("ab")]
    assert in_brief(shown) == tuple(shown)
    worded = [unsure("a.jpg", 0.13), replace(unsure("b.jpg", 0.2), message="it is blurred by 0.2 mm")]
    assert in_brief(worded) == tuple(worded)
    stops = [replace(one, severity=Severity.FAIL) for one in (unsure("a.jpg", 0.13), unsure("b.jpg", 0.2))]
    assert in_brief(stops) == tuple(stops)
