"""What is said to be done about a slip."""

import pytest

from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, SectionSpec
from cradle.sections.sizes import Sizes
from cradle.slips.causes import Slip, SlipKind, likely_scale, refused


def section(source, **given):
    return SectionSpec(name="low", height_mm=4.0, source=source, **given)


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (96 / 300, "300-dpi scan had been placed at 96 dpi"),
        (
            96 / 72,
            "points, 72 to the inch, had been read as px, 96 to the inch: scale the drawing to 133.3 %",
        ),
        (72 / 96, "96-dpi scan had been placed at 72 dpi"),
        (25.4, "in inches"),
        (1 / 25.4, "calipers read inches"),
        (10.0, "in cm"),
        (0.1, "readings are in cm"),
        (25.4 / 300, "pixels of a 300-dpi scan had been read as mm"),
        (25.4 / 96, "read as px"),
    ],
)
def test_known_factors_are_named(factor, words):
    # common practice, no source: scanners' and drawing programs' usual resolutions
    assert words in likely_scale(factor * 1.003)


@pytest.mark.parametrize(
    ("factor", "told"), [(200 / 300, "say dpi = 300, or leave out"), (1.21, "leave out what is said")]
)
def test_of_a_picture_it_is_told_what_to_say_of_its_scale(factor, told):
    """There is no drawing to be scaled."""
    sizes = Sizes(traced_mm=(60.0, 45.0), read_mm=(60.0 * factor, 45.0 * factor), seen_mm=(None, None))
    slip = Slip(kind=SlipKind.SCALE, cost=9.0, drawing=(factor, factor))
    error = refused(slip, where="low", sizes=sizes, spec=section(PictureSource(file="low.jpg")))
    assert told in error.hint
    assert "drawing" not in error.hint


def test_an_unknown_factor_names_no_cause():
    assert likely_scale(1.21) == ""


@pytest.mark.parametrize(
    ("read_mm", "too_much"), [((63.58, None), False), ((63.58, 120.1), True), ((None, None), False)]
)
def test_only_a_size_that_is_off_is_said_to_be_too_much_for_a_tracing_error(read_mm, too_much):
    sizes = Sizes(traced_mm=(63.77, 50.79), read_mm=read_mm, seen_mm=(None, None))
    slip = Slip(kind=SlipKind.HALF_OUTLINE, cost=7.0, drawing=(1.0, 2.0))
    error = refused(slip, where="low", sizes=sizes, spec=section(DrawingSource(path="low.svg")))
    assert ("too much for a tracing error" in str(error)) is too_much
    assert ("give width and depth" in error.hint) is not too_much
    assert "half = true" in error.hint


@pytest.mark.parametrize(
    ("turn_deg", "told"),
    [(None, "set turn = 90"), (90.0, "leave out its turn"), (-90.0, "leave out its turn")],
)
def test_a_section_that_is_turned_already_is_not_told_to_be_turned(turn_deg, told):
    """Long things are turned in a row: then their readings have to be exchanged."""
    sizes = Sizes(traced_mm=(18.3, 122.3), read_mm=(122.0, 18.0), seen_mm=(None, None))
    turned = section(DrawingSource(path="low.svg"), turn_deg=turn_deg)
    error = refused(Slip(kind=SlipKind.EXCHANGED, cost=5.0), where="low", sizes=sizes, spec=turned)
    assert told in error.hint
