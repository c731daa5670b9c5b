"""On ground of several colours a piece of none of them is traced alone: on a checked or flowered cloth, or on a table before a wall."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from painted import KRAFT, OAK, Table, box, scanned
from PIL import Image
from scored import p95_mm
from things_painted import egg, lobed, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.pictures.border_colours import unlike_border
from cradle.pictures.image import read_picture
from cradle.pictures.pieces import pieces_of
from cradle.pictures.regions import find_things
from cradle.pictures.touching_pattern import without_touching
from cradle.project.picture import PictureSource

CREAM, PALE, BLUE, RED, SKIN = (243, 236, 220), (150, 165, 210), (50, 80, 165), (190, 40, 45), (92, 66, 52)
SPEC = PictureSource(file="a.png")


def checked(side_mm=14.0):
    """A cloth of cream, with blue stripes both ways that are darker where they cross."""
    table = Table(150, 130, 8, CREAM, seed=3)
    stripes = np.arange(-3.0, 150.0, 2 * side_mm)
    table.paint(*(box(at, 0, at + side_mm, 130) for at in stripes), colour=PALE)
    table.paint(*(box(0, at, 150, at + side_mm) for at in stripes), colour=PALE)
    table.paint(*(box(x, y, x + side_mm, y + side_mm) for x in stripes for y in stripes), colour=BLUE)
    return table


def flowered():
    """A cloth of cream with blue and red spots all over it."""
    table = Table(150, 130, 8, CREAM, seed=3)
    for k, (x, y) in enumerate((x, y) for x in range(0, 150, 16) for y in range(3, 130, 16)):
        table.paint(placed(egg(7.0, 6.0), at_mm=(x, y), turn_deg=x + y), colour=(BLUE, RED)[k % 2])
    return table


def traced(folder, table, ring, *, colour, spec=SPEC, mode="RGB"):
    """What is traced of a piece that is laid on a cloth beside a rule, and the picture."""
    rule_on(table, at_mm=(12, 30), length_mm=120, depth_mm=18)
    table.paint(ring, colour=colour)
    seen = scanned(table, dpi=150, tag=False)
    Image.fromarray(seen.image).convert(mode).save(folder / "a.png", compress_level=1)
    return trace_picture(folder / "a.png", spec), seen


RING = placed(lobed(62.0), at_mm=(78, 82), turn_deg=20)


@pytest.mark.first_daily
@pytest.mark.parametrize("colour", [KRAFT, (40, 38, 40), (60, 130, 70)], ids=["kraft", "black", "green"])
@pytest.mark.parametrize("cloth", [checked, flowered])
def test_a_piece_is_traced_without_what_touches_it_of_a_cloths_pattern(tmp_path, cloth, colour):
    found, seen = traced(tmp_path, cloth(), RING, colour=colour)
    (piece,) = found.pieces
    assert p95_mm(found, piece, seen, RING) < 0.15
    assert not {f.code for f in found.findings} & {"pattern-left-out", "pieces-touch", "piece-in-parts"}


@pytest.mark.slow
def test_pieces_on_a_cloth_have_the_same_numbers_whether_one_is_picked_or_none(tmp_path):
    table = flowered()
    table.paint(placed(egg(24.0, 18.0), at_mm=(128, 84)), colour=KRAFT)
    every, _ = traced(tmp_path, table, RING, colour=KRAFT)
    assert [piece.number for piece in every.pieces] == [1, 2]
    for piece in every.pieces:
        (picked,) = trace_picture(tmp_path / "a.png", replace(SPEC, pick=piece.number)).pieces
        np.testing.assert_array_equal(picked.ring_mm, piece.ring_mm)


def test_a_thing_on_a_table_before_a_wall_is_traced_down_to_its_foot(tmp_path):
    table = Table(150, 130, 8, (226, 230, 236), seed=4)
    table.paint(box(0, 0, 150, 34), colour=OAK)
    ring = placed(lobed(64.0, flat=1.3), at_mm=(75, 60))
    table.paint(ring, colour=RED)
    seen = scanned(table, dpi=150, tag=False)
    found = trace_picture(seen.save(tmp_path / "a.png"), SPEC.of_any_size)
    (piece,) = found.pieces
    off = np.asarray(piece.ring_px) - seen.px_from_mm(ring).mean(axis=0)
    true = seen.px_from_mm(ring) - seen.px_from_mm(ring).mean(axis=0)
    gap = np.hypot(*(off[:, None] - true[None]).T).min(axis=0)
    assert np.quantile(gap, 0.95) < 1.5
    assert not any(f.code in ("piece-cut-off", "piece-covered") for f in found.findings)


def test_a_piece_under_a_hand_is_doubted(tmp_path):
    table = Table(150, 130, 8, OAK, seed=4)
    rule_on(table, at_mm=(12, 30), length_mm=120, depth_mm=18)
    table.paint(RING, colour=CREAM)
    table.paint(box(-5, 76, 60, 92), colour=SKIN)
    found = trace_picture(scanned(table, dpi=150, tag=False).save(tmp_path / "a.png"), SPEC)
    assert {"piece-covered", "piece-cut-off"} & {f.code for f in found.findings if f.severity == "warn"}


@pytest.mark.first_daily
@pytest.mark.parametrize("colour", [BLUE, CREAM])
def test_nothing_is_found_anew_where_the_piece_is_of_one_of_the_grounds_colours(tmp_path, colour):
    table = flowered()
    table.paint(RING, colour=colour)
    picture = read_picture(scanned(table, dpi=150, tag=False).save(tmp_path / "a.png"), where="a.png")
    things = pieces_of(find_things(picture))
    assert unlike_border(things, of_ground=range(1, len(things.boxes) + 1)) is things


SPOTS = [(x, y) for x in range(6, 150, 20) for y in range(8, 130, 20)]
AWAY = [float(np.hypot(*(RING - spot).T).min()) for spot in SPOTS]


@pytest.mark.first_daily
@pytest.mark.parametrize(("colour", "other"), [(BLUE, RED), (RED, BLUE)])
def test_parts_of_a_pattern_that_touch_a_piece_of_one_of_its_colours_are_cut_off_it(tmp_path, colour, other):
    """Those of the other colour are; one of the piece's own cannot be told from it, and none lies at its edge here."""
    table = Table(150, 130, 8, CREAM, seed=3)
    for spot, away in zip(SPOTS, AWAY, strict=True):
        own = away > 8.0 and sum(spot) % 40 < 20
        table.paint(placed(egg(12.0, 11.0), at_mm=spot), colour=colour if own else other)
    assert sum(away < 5.0 for away in AWAY) == 2
    found, seen = traced(tmp_path, table, RING, colour=colour)
    (piece,) = found.pieces
    assert p95_mm(found, piece, seen, RING) < 0.2


@pytest.mark.parametrize("inside", [0.9, 0.96])
def test_print_of_the_patterns_colour_on_a_piece_is_no_part_of_the_pattern(tmp_path, inside):
    table = Table(150, 130, 8, CREAM, seed=3)
    for spot, away in zip(SPOTS, AWAY, strict=True):
        if away > 8.0:
            table.paint(placed(egg(12.0, 11.0), at_mm=spot), colour=(BLUE, RED)[sum(spot) // 20 % 2])
    table.paint(RING, colour=BLUE)
    printed = placed(egg(9.0, 7.0), at_mm=tuple(RING.mean(axis=0)))
    reached = (
        inside * (RING[300] - RING.mean(axis=0)) * (1 - 4.5 / np.hypot(*(RING[300] - RING.mean(axis=0))))
    )
    table.paint(printed + reached, colour=RED)
    regions = find_things(read_picture(scanned(table, dpi=150, tag=False).save(tmp_path / "a.png")))
    sizes = [max(box[2:]) for box in regions.boxes]
    pattern = [number for number, size in enumerate(sizes, start=1) if size < max(sizes) / 3]
    assert len(pattern) > 20
    assert without_touching(regions, pattern) is regions


@pytest.mark.first_daily
@pytest.mark.parametrize("cloth", [checked, flowered])
def test_a_piece_on_a_cloth_is_traced_in_a_scan_without_colour(tmp_path, cloth):
    found, seen = traced(tmp_path, cloth(), RING, colour=(40, 38, 40), mode="L")
    (piece,) = found.pieces
    assert p95_mm(found, piece, seen, RING) < 0.15


def test_nothing_is_cut_off_a_piece_that_has_no_colour_of_its_own(tmp_path):
    table = Table(150, 130, 8, CREAM, seed=3)
    for spot, away in zip(SPOTS, AWAY, strict=True):
        if away > 8.0:
            table.paint(placed(egg(12.0, 11.0), at_mm=spot), colour=BLUE)
    table.paint(RING, colour=RED)
    regions = find_things(read_picture(scanned(table, dpi=150, tag=False).save(tmp_path / "a.png")))
    largest = int(np.bincount(regions.labels.ravel())[1:].argmax()) + 1
    of_many = regions.levels.copy()
    own = regions.labels == largest
    of_many[own] = np.random.default_rng(3).integers(0, 255, (own.sum(), 3))
    printed = replace(regions, levels=of_many)
    pattern = [number for number in range(1, len(regions.boxes) + 1) if number != largest]
    assert without_touching(printed, pattern) is printed
