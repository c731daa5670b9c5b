"""A lean that nothing measured tells: suspected where the drawings' own zeros say so, and only there."""

import numpy as np
import pytest
from section_shapes import codes
from sheet_stacks import HEIGHTS, egg, placed, specs, truth

from cradle.finding import About, Severity
from cradle.placing.lean import LEAN_NOT_KNOWN, drift
from cradle.project.section import Align
from cradle.sections.laid import Laid


def lean_of(offsets):
    """The finding on the lean of an upright egg whose drawings are each moved, ``(k, 2)``, mm."""
    rings = truth(egg)
    drawn = [
        ring - (ring.max(axis=0) + ring.min(axis=0)) / 2 + by for ring, by in zip(rings, offsets, strict=True)
    ]
    (found,) = [f for f in placed(drawn, specs(rings)).findings if f.code == LEAN_NOT_KNOWN]
    return found


@pytest.mark.parametrize(
    ("along", "towards"),
    [((0.1, 0.0), "to the right"), ((0.0, 0.1), "to the back"), ((0.0, -0.1), "to the front")],
)
def test_middles_that_move_along_a_line_are_told_with_the_lean_they_would_be_of(along, towards):
    heights = np.array(HEIGHTS)
    found = lean_of(heights[:, None] * along)
    assert (found.about, found.severity) == (About.LEAN, Severity.WARN)
    assert f"moves by {0.1 * np.ptp(heights):.1f} mm {towards} from" in found.message
    assert "leans by 5.7°" in found.message  # atan 0.1
    assert 'align = "drawing"' in found.advice


@pytest.mark.parametrize("zero", [(0.0, 0.0), (-110.0, 85.0)], ids=["within", "far off"])
def test_a_common_zero_may_lie_anywhere(zero):
    """As a page's corner does, or that of a table on which coordinates are read."""
    found = lean_of(np.array(HEIGHTS)[:, None] * (0.1, 0.0) + zero)
    assert found.about is About.LEAN
    assert "leans by 5.7°" in found.message


@pytest.mark.parametrize(
    "along_y",
    [np.zeros(4), np.array([2.0, -1.0, 3.0, 0.0]), np.linspace(0.0, 0.6, 4)],
    ids=["none", "anyhow", "hardly"],
)
def test_drawings_laid_about_their_middles_or_anyhow_give_no_ground_for_suspicion(along_y):
    found = lean_of(np.column_stack([np.zeros(4), along_y]))
    assert (found.about, found.severity, found.advice) == (About.MEASURED, Severity.NOTE, "")
    assert "in the drawings" not in found.message


def test_three_sheets_laid_anyhow_seldom_seem_to_lean():
    rng = np.random.default_rng(5)
    rings = truth(egg)
    own = [(s, r - (r.max(axis=0) + r.min(axis=0)) / 2) for s, r in zip(specs(rings), rings, strict=True)]
    suspected = 0
    for _ in range(1000):
        laid = [
            Laid(spec=s, ring=r, middle_mm=rng.normal(0, 3, 2), settled_rad=1.0, lines=(), exact=False)
            for s, r in own[:3]
        ]
        suspected += drift(laid, axes=(0, 1)) is not None
    # F(2, 2) is so great that 2 % of the squares are off the line in 20 of 1,000 (any table of it), give or take 4.
    assert 6 < suspected < 34


def test_drawings_of_one_frame_tell_the_lean_themselves():
    rings = truth(egg)
    result = placed(rings, specs(rings), align=Align.DRAWING)
    assert LEAN_NOT_KNOWN not in codes(result.findings)


def test_how_sure_the_lean_is_does_not_depend_on_where_the_zero_lies():
    """About their own middles, and on pages whose corner is the zero: then the middle of all is, which one of them may decide."""
    about = lean_of(np.zeros((4, 2)))
    on_pages = lean_of(np.array([[150.0, 120.0]] * 4))
    assert on_pages.measured == pytest.approx(about.measured, rel=0.01)
