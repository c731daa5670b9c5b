"""What the paper round the capture sheet's marks tells of how large they were printed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from picture_scene import capture_sheet, rectangle, sheet_of_colour
from render_pictures import render_photo

from cradle.capture_sheet.sheet import SHEETS
from cradle.capture_sheet.sheet_paper import paper_mm, print_doubt
from cradle.capture_sheet.sheet_reading import read_sheet
from cradle.units import PAPER_MM

SMALL = (1500, 2000)


def _paper(ring):
    """A sheet of white paper on the table."""
    return sheet_of_colour(ring, shadow_mm=0.5)


def _marks(design, *, printed, corner):
    """What is printed on a sheet, so much larger, its page's corner there."""
    sheet = capture_sheet(SHEETS[design])
    marks = sheet[len(_paper(rectangle(0, 0, 1, 1))) :]
    return [replace(s, rings_mm=tuple(printed * r + corner for r in s.rings_mm)) for s in marks]


def _printed(design, *, paper, printed):
    """A sheet's marks so much larger, in the middle of paper of this size, and that size."""
    size = np.array(PAPER_MM[paper])
    corner = (size - printed * np.array(SHEETS[design].page_mm)) / 2
    return (*_paper(rectangle(0, 0, *size)), *_marks(design, printed=printed, corner=corner)), size


def _photo(scene, size, **how):
    shot = {"size_px": SMALL, "focal_px": 1500, "distance_mm": 480, "look_at_mm": tuple(size / 2)} | how
    return render_photo(scene, **shot).image[..., 1]


@pytest.mark.parametrize(
    ("design", "paper", "printed", "how"),
    [
        ("A4", "A4", 0.97, {"tilt_deg": 15, "lens": (-0.04, 0.01)}),
        pytest.param("A4", "Letter", 0.92, {"background": (206, 204, 200)}, marks=pytest.mark.slow),
        pytest.param("Letter", "A4", 0.96, {"roll_deg": 4}, marks=pytest.mark.slow),
        pytest.param("Letter", "Letter", 1.02, {}, marks=pytest.mark.slow),
    ],
)
def test_a_sheet_printed_at_another_size_is_told_by_its_paper(design, paper, printed, how):
    grey = _photo(*_printed(design, paper=paper, printed=printed), **how)
    sheet = read_sheet(grey)
    assert paper_mm(grey, sheet) == pytest.approx(np.array(PAPER_MM[paper]) / printed, abs=0.8)
    (told,) = print_doubt(grey, sheet)
    assert told.code == "sheet-print-scaled"
    assert told.measured == pytest.approx(100 * printed, abs=0.4)
    assert paper in told.message
    # what a rule reads on the print's line settles it
    assert not list(print_doubt(grey, read_sheet(grey, check_reads_mm=150 * printed)))


@pytest.mark.parametrize(
    "how",
    [
        {},
        pytest.param({"tilt_deg": 25, "azimuth_deg": 200, "lens": (-0.06, 0.02)}, marks=pytest.mark.slow),
        pytest.param({"background": (206, 204, 200), "light": 0.5}, marks=pytest.mark.slow),
    ],
)
def test_nothing_is_told_of_a_sheet_printed_at_its_size(how):
    page = np.array(PAPER_MM["A4"])
    grey = _photo(capture_sheet(SHEETS["A4"]), page, **how)
    sheet = read_sheet(grey)
    assert paper_mm(grey, sheet) == pytest.approx(page, abs=0.8)
    assert not list(print_doubt(grey, sheet))


@pytest.mark.slow
@pytest.mark.parametrize("paper", [rectangle(3, 3, 207, 280), rectangle(-200, -200, 500, 500)])
def test_nothing_is_told_of_paper_cut_down_or_whose_edges_are_not_seen(paper):
    grey = _photo((*_paper(paper), *_marks("A4", printed=0.97, corner=(3.0, 4.0))), np.array((210.0, 297.0)))
    assert not list(print_doubt(grey, read_sheet(grey)))
