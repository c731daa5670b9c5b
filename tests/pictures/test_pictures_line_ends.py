"""Gaps of a drawn line: those that a person reads over are closed, others are not."""

import cv2
import numpy as np
import pytest
from painted import Table, scanned
from stacked import circle

from cradle.pictures.drawn_line import find_lines
from cradle.pictures.image import read_picture
from cradle.pictures.line_ends import joined_ends
from cradle.pictures.line_middle import middle_of

PX_PER_MM = 8.0


def _arcs(*gaps_mm, radius_mm=20.0):
    """A circle of a stroke 0.6 mm wide with gaps, evenly round it."""
    mask = np.zeros((400, 400), np.uint8)
    starts = np.linspace(0, 2 * np.pi, len(gaps_mm), endpoint=False)
    stops = np.append(starts[1:], 2 * np.pi)
    for start, stop, gap in zip(starts, stops, gaps_mm, strict=True):
        t = np.linspace(start + gap / radius_mm, stop, 200)
        at = np.column_stack([200 + 160 * np.cos(t), 200 + 160 * np.sin(t)])
        cv2.polylines(mask, [np.rint(at).astype(np.int32)], False, 1, thickness=5)
    return mask


def _closed(mask):
    """Whether the middle is shut off from the corner."""
    _, parts = cv2.connectedComponents(1 - mask, connectivity=4)
    return parts[200, 200] != parts[0, 0]


@pytest.mark.parametrize(
    ("gaps_mm", "closed"), [((0.0,), True), ((3.2,), True), ((2.0, 3.0, 1.5), True), ((5.0,), False)]
)
def test_a_gap_is_closed_where_both_ends_point_across_it(gaps_mm, closed):
    mask = _arcs(*gaps_mm)
    assert _closed(joined_ends(mask, px_per_mm=PX_PER_MM)) == closed


def test_ends_that_point_past_each_other_and_closed_lines_stay_as_they_are():
    aside = np.zeros((200, 300), np.uint8)
    cv2.line(aside, (20, 60), (140, 60), 1, 5)
    cv2.line(aside, (150, 84), (280, 84), 1, 5)
    for mask in (aside, _arcs(0.0), np.zeros((50, 50), np.uint8)):
        assert (joined_ends(mask, px_per_mm=PX_PER_MM) == mask).all()


@pytest.mark.parametrize("faint", [0.0, 0.12])
def test_a_line_with_faint_and_missing_places_is_read_whole(tmp_path, faint):
    """Where the hand pressed less the line is thinner in the picture as well; its middle must not be lost there."""
    table = Table(44, 44, 12, (247, 246, 242), 4)
    ring = circle(15.0, points=400) + 22.0
    dark = np.full(400, 0.6)
    for start, length in ((20, 8), (130, 11), (250, 5)):  # up to 2.6 mm
        dark[start : start + length] = faint
    table.line(ring, width_mm=0.5, colour=(70, 70, 75), darkness=dark)
    seen = scanned(table, dpi=200)
    picture = read_picture(seen.save(tmp_path / "a.png"))
    lines = find_lines(picture, px_per_mm=200 / 25.4)
    (line,) = lines.closed
    middle, _ = middle_of(line.outside_px, line.inside_px)
    (x, y) = seen.px_from_mm([(22.0, 22.0)])[0]
    away = np.hypot(middle[:, 0] - x, middle[:, 1] - y) * 25.4 / 200
    assert away.mean() == pytest.approx(15.0, abs=0.03)
    assert np.abs(away - 15.0).max() < (0.25 if faint else 0.45)


def test_a_line_on_paper_without_any_noise_is_found(tmp_path):
    """As scanners make it that turn paper white, or whoever draws on a screen."""
    page = np.full((500, 500, 3), 255, np.uint8)
    cv2.ellipse(page, (250, 250), (180, 120), 0, 0, 360, (0, 0, 0), 5)
    cv2.imwrite(str(tmp_path / "a.png"), page)
    (line,) = find_lines(read_picture(tmp_path / "a.png"), px_per_mm=8.0).closed
    assert np.ptp(line.outside_px, axis=0) == pytest.approx((366, 246), abs=3)
