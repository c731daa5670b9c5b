"""Pieces on a ground, told apart whatever the light."""

import numpy as np
import pytest
from painted import Table, box, scanned
from scored import p95_mm
from things_painted import egg, placed

from cradle.capture.tracing import trace_picture
from cradle.pictures.image import Picture
from cradle.pictures.picture_file import SMALLEST_PX
from cradle.pictures.pieces import pieces_of
from cradle.pictures.regions import find_things
from cradle.pictures.resolution import Resolution
from cradle.project.picture import PictureSource

BOXES = ((60, 50, 120, 80), (300, 60, 90, 110), (90, 240, 200, 90))
"""x, y, width, height of the pieces, in reading order."""


def picture(*, light=0.0, colour=(60, 80, 120), boxes=BOXES):
    """Pieces on a ground that grows darker to the right by a part ``light``, with a little noise."""
    rng = np.random.default_rng(6)
    rgb = np.full((400, 480, 3), 215.0)
    for x, y, w, h in boxes:
        rgb[y : y + h, x : x + w] = colour
    rgb *= 1 - light * np.linspace(0, 1, 480)[None, :, None]
    rgb = np.clip(rgb + rng.normal(0, 1.5, rgb.shape), 0, 255).astype(np.uint8)
    return Picture(
        file="p.png",
        grey=rgb.mean(axis=2).astype(np.uint8),
        colour=rgb,
        resolution=Resolution(dpi=None, told_by="none"),
    )


@pytest.mark.parametrize("light", [0.0, 0.35])
@pytest.mark.parametrize("colour", [(60, 80, 120), (200, 120, 110)])
def test_every_piece_is_found_in_reading_order(light, colour):
    found = pieces_of(find_things(picture(light=light, colour=colour)))
    assert len(found.boxes) == 3
    for own, true in zip(found.boxes, BOXES, strict=True):
        assert np.array(own) * found.shrink == pytest.approx(true, abs=4)
    assert found.cut_off == (False,) * 3
    areas = [int((found.labels == k).sum()) * found.shrink**2 for k in (1, 2, 3)]
    assert areas == pytest.approx([w * h for _, _, w, h in BOXES], rel=0.06)


def test_under_the_pieces_the_ground_goes_on():
    found = pieces_of(find_things(picture(light=0.35)))
    x, y, w, h = BOXES[0]
    under = found.ground[y + h // 2, x + w // 2]
    assert under == pytest.approx(np.full(3, 215 * (1 - 0.35 * (x + w / 2) / 480)), abs=8)


def test_what_is_to_be_left_out_is_no_piece():
    x, y, w, h = BOXES[1]
    around = np.array(
        [[x - 9, y - 9], [x + w + 9, y - 9], [x + w + 9, y + h + 9], [x - 9, y + h + 9]], dtype=float
    )
    assert len(pieces_of(find_things(picture(), keep_out=[around])).boxes) == 2
    assert len(pieces_of(find_things(picture(), inside=around)).boxes) == 1


@pytest.mark.parametrize("right", [250, 350])
def test_what_lies_over_the_rim_of_what_is_looked_at_gives_way_to_whole_pieces(right):
    """A shadow over the marks of the capture sheet; alone it is a piece of which a part is missing."""
    inside = np.array([[20, 20], [right, 20], [right, 380], [20, 380]], dtype=float)
    found = pieces_of(find_things(picture(boxes=BOXES[:2]), inside=inside))
    assert len(found.boxes) == 1
    assert found.cut_off == (False,)
    assert len(found.cut_alike) == (right == 350)
    alone = pieces_of(find_things(picture(boxes=BOXES[1:2]), inside=inside))
    assert alone.cut_off == (True,) * (right == 350)


def test_a_piece_that_runs_out_of_the_picture_gives_way_to_whole_ones():
    cut = (400, 250, 80, 60)
    assert len(pieces_of(find_things(picture(boxes=(*BOXES, cut)))).boxes) == 3
    alone = pieces_of(find_things(picture(boxes=(cut,))))
    assert alone.cut_off == (True,)


@pytest.mark.parametrize(
    "size", [(SMALLEST_PX, 32_000), (32_000, SMALLEST_PX), (SMALLEST_PX, 3 * SMALLEST_PX)]
)
@pytest.mark.parametrize("noise", [0, 60])
def test_a_strip_as_narrow_as_a_picture_may_be_holds_no_pieces(size, noise):
    grey = (190 + noise * np.random.default_rng(1).standard_normal(size)).clip(0, 255).astype(np.uint8)
    colour = np.repeat(grey[..., None], 3, axis=2)
    resolution = Resolution(dpi=None, told_by="none")
    assert (
        pieces_of(find_things(Picture(file="p.png", grey=grey, colour=colour, resolution=resolution))).boxes
        == ()
    )


@pytest.mark.parametrize(("colour", "told"), [((60, 80, 120), 1), ((150, 60, 50), 0)])
def test_what_is_cut_off_and_looks_like_a_whole_piece_is_kept_in_mind(colour, told):
    """The others of the same card are traced; of another colour it is the table, or a rule's end."""
    seen = picture()
    rgb = seen.colour.copy()
    rgb[250:310, 400:] = colour
    grey = rgb.mean(axis=2).astype(np.uint8)
    found = pieces_of(find_things(Picture(file="p.png", grey=grey, colour=rgb, resolution=seen.resolution)))
    assert len(found.boxes) == 3
    assert len(found.cut_alike) == told


@pytest.mark.first_daily
@pytest.mark.parametrize("joint_mm", [1.8, 2.2])
def test_joints_between_tiles_join_no_piece_to_the_pictures_border(tmp_path, joint_mm):
    ring = placed(egg(52, 40), at_mm=(78, 62), turn_deg=25)
    table = Table(150, 120, 8, (214, 210, 200), seed=4)
    for at in (34, 96):
        table.paint(box(at, 0, at + joint_mm, 120), colour=(116, 112, 106))
    table.paint(box(0, 70, 150, 70 + joint_mm), colour=(116, 112, 106))
    table.paint(ring, colour=(170, 60, 50))
    seen = scanned(table, dpi=150)
    traced = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png", dpi=150))
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, ring) < 0.1
    assert not traced.findings
