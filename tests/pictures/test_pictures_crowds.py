"""Print and grain beside the paper that a line is drawn on are left out; what is drawn on it is not."""

from __future__ import annotations

from types import SimpleNamespace

import cv2
import numpy as np
import pytest
from traced_grid import picture_of

from cradle.pictures.crowds import printed, without_crowds
from cradle.pictures.drawn_line import find_lines

PER_MM = 6.0


def _words(random, dark):
    """Rows of letters that touch here and there, 3.4 mm apart."""
    for y in range(4, dark.shape[0] - 14, 20):
        x = 4
        while x < dark.shape[1] - 60:
            for _ in range(int(random.integers(3, 9))):
                cv2.ellipse(dark, (x, y + 6), (3, 5), 0, 0, int(random.integers(180, 360)), 255, 2)
                x += int(random.integers(7, 10))
            x += 8
    for y in range(60, dark.shape[0] - 60, 200):  # headlines
        dark[y - 32 : y + 32] = 0
        for x in range(40, dark.shape[1] - 60, 58):
            cv2.ellipse(dark, (x, y), (18, 22), 0, 0, 360, 255, 5)


def _grain(random, dark):
    """Short strokes all over, and rings of a weave."""
    for x, y in random.uniform(0, dark.shape[::-1], (dark.size // 220, 2)).astype(int).tolist():
        cv2.line(dark, (x, y), (x + int(random.integers(3, 14)), y + int(random.integers(0, 6))), 255, 2)
    for x, y in random.uniform(40, 1000, (60, 2)).astype(int).tolist():
        cv2.circle(dark, (x, y), int(random.integers(17, 22)), 255, 3)


@pytest.mark.parametrize("pattern", [_words, _grain])
@pytest.mark.parametrize("seed", range(3))
def test_lines_on_a_sheet_that_lies_on_a_pattern_are_found_alone(pattern, seed):
    random = np.random.default_rng(seed)
    dark = np.zeros((1100, 1500), np.uint8)
    pattern(random, dark)
    sheet = cv2.boxPoints(((750, 550), (900, 800), float(random.uniform(-8, 8))))
    cv2.fillConvexPoly(dark, np.rint(sheet).astype(int), 0)
    drawn = np.zeros_like(dark)
    cv2.ellipse(drawn, (740, 540), (240, 150), 25, 0, 360, 255, 4)
    image = np.dstack([240 - (np.maximum(dark, drawn) * 0.7).astype(np.uint8)] * 3)
    lines = find_lines(picture_of(SimpleNamespace(image=image)), px_per_mm=PER_MM)
    assert len(lines.closed) == 1
    assert np.ptp(lines.closed[0].outside_px, axis=0).max() == pytest.approx(460, rel=0.06)


def test_words_beside_an_outline_take_nothing_of_it():
    dark = np.zeros((600, 600), np.uint8)
    for row in range(3):
        cv2.putText(dark, "rim 20 mm left", (150, 220 + 40 * row), cv2.FONT_HERSHEY_SIMPLEX, 1.0, 1, 2)
    words = dark.copy()
    outline = np.zeros_like(dark)
    cv2.rectangle(outline, (130, 150), (470, 420), 1, 4)
    left, _ = without_crowds(np.maximum(dark, outline), px_per_mm=PER_MM, least_px=30)
    assert left[outline > 0].all()
    assert not printed(np.maximum(words, outline), px_per_mm=PER_MM).any()


def test_where_all_there_is_crowds_nothing_is_left_out():
    dark = np.zeros((500, 500), np.uint8)
    for k in range(6):
        cv2.circle(dark, (250, 250), 40 + 8 * k, 1, 3)
    left, count = without_crowds(dark, px_per_mm=PER_MM, least_px=30)
    assert count == 0
    assert np.array_equal(left, dark)
