"""Pieces on newsprint: its letters are no pieces, and where they run up to an edge it is carried on between them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from picture_scene import ellipse, lettering, sheet_of_colour
from render_pictures import render_scan, save
from traced_grid import picture_of

from cradle.capture.tracing import trace_picture
from cradle.pictures.letters import letters_of_ground
from cradle.pictures.pieces import pieces_of
from cradle.pictures.regions import find_things
from cradle.project.picture import PictureSource

PAGE_MM = (120.0, 90.0)
DPI = 200
ROUND = ellipse(62.0, 46.0, centre=(60.0, 45.0))
GREEN, BLACK, NEWS = (43, 87, 63), (46, 46, 46), (192, 191, 187)
WORDS = ["spring", "rates", "the fox", "market", "who", "1984", "weather"]


def newsprint(*, seed=1):
    """Rows of words 1.8 mm high over the whole page, every fifth of 3.6 mm."""
    rng = np.random.default_rng(seed)
    rows = []
    for k, y in enumerate(np.arange(3.0, PAGE_MM[1], 4.0)):
        size = 1.8 if k % 5 else 3.6
        words = " ".join(rng.choice(WORDS, 24))
        rows += lettering(words, at_mm=(PAGE_MM[0] / 2, y), size_mm=size, colour=(50, 50, 50))
    return tuple(rows)


def scan(*things):
    return render_scan(things, page_mm=PAGE_MM, dpi=DPI, background=NEWS)


def letters(*things):
    """What is taken for letters, and all that was found."""
    picture = picture_of(scan(*things))
    regions = pieces_of(find_things(picture))
    per_mm = DPI / 25.4
    return letters_of_ground(regions, high_px=7 * per_mm, long_px=40 * per_mm), regions.boxes


def missed_mm(ring, truth):
    """How far a twentieth of an outline lies from another at least, their middles laid on each other."""
    centred = [p - shapely.centroid(shapely.polygons(p)).coords[0] for p in (ring, truth)]
    edge = shapely.boundary(shapely.polygons(centred[1]))
    return float(np.quantile(shapely.distance(shapely.points(centred[0]), edge), 0.95))


@pytest.mark.first_daily
@pytest.mark.parametrize(("colour", "most_mm"), [(GREEN, 0.06), (BLACK, 0.25)])
def test_an_edge_among_letters_is_found(tmp_path, colour, most_mm):
    piece = sheet_of_colour(ROUND, colour=colour, shadow_mm=0.0)
    save(scan(*newsprint(), *piece), tmp_path / "a.png", grey="RGB")
    found = trace_picture(tmp_path / "a.png", PictureSource(file="a.png"))
    (traced,) = found.pieces
    assert missed_mm(traced.ring_mm, ROUND) < most_mm
    assert "letters-left-out" in {f.code for f in found.findings}


def test_letters_without_a_piece_are_all_there_is():
    found, boxes = letters(*newsprint())
    assert not found
    assert len(boxes) > 20


def test_small_pieces_on_plain_paper_are_no_letters():
    at = [(x, y) for x in (10.0, 25.0, 95.0, 110.0) for y in (15.0, 45.0, 75.0)]
    small = [sheet_of_colour(ellipse(6.0, 4.0, centre=c), colour=BLACK, shadow_mm=0.0) for c in at]
    found, boxes = letters(*(s for thing in small for s in thing), *sheet_of_colour(ROUND, colour=BLACK))
    assert not found
    assert len(boxes) == 13
