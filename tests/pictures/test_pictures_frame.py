"""A frame of one colour round a picture changes nothing of what is traced in it; ground that is white with light is none."""

from __future__ import annotations

import numpy as np
import pytest
from painted import OAK, WHITE, Table, scanned
from PIL import Image
from things_painted import lobed, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.pictures.frame import inside_frame
from cradle.pictures.image import read_picture
from cradle.project.picture import PictureSource

SPEC = PictureSource(file="a.png")
ALL_ROUND, LETTERBOX, BESIDE = ((150, 90), (70, 70)), ((240, 240), (0, 0)), ((0, 0), (0, 130))


@pytest.fixture(scope="module")
def unframed():
    table = Table(130, 110, 8, OAK, seed=5)
    table.paint(placed(lobed(52.0), at_mm=(70, 72), turn_deg=25), colour=WHITE)
    rule_on(table, at_mm=(12, 20), length_mm=100)
    return scanned(table, dpi=150, tag=False).image


@pytest.mark.first_daily
@pytest.mark.parametrize(("name", "options"), [("a.png", {}), ("a.jpg", {"quality": 85})])
@pytest.mark.parametrize(
    ("widths", "level"), [(ALL_ROUND, 0), (ALL_ROUND, 255), (ALL_ROUND, 120), (LETTERBOX, 0), (BESIDE, 33)]
)
def test_what_is_traced_in_a_framed_picture_is_what_is_traced_without_the_frame(
    tmp_path, unframed, widths, level, name, options
):
    Image.fromarray(unframed).save(tmp_path / f"plain{name}", **options)
    (alone,) = trace_picture(tmp_path / f"plain{name}", SPEC).pieces
    Image.fromarray(np.pad(unframed, (*widths, (0, 0)), constant_values=level)).save(
        tmp_path / name, **options
    )
    found = trace_picture(tmp_path / name, SPEC)
    (piece,) = found.pieces
    corner = [widths[1][0], widths[0][0]]
    for least in (np.min, np.max):
        reach = [least(each.ring_px, axis=0) for each in (piece, alone)]
        assert reach[0] - corner == pytest.approx(reach[1], abs=0.3)
    assert [finding.code for finding in found.findings if finding.code == "frame-left-out"]


def test_ground_that_is_white_with_light_up_to_a_thing_is_no_frame():
    grey = np.full((200, 300), 255, np.uint8)
    grey[60:150, 40:230] = 90
    assert inside_frame(grey) is None
    assert inside_frame(np.full((200, 300), 255, np.uint8)) is None


@pytest.mark.parametrize("level", [0, 120, 200])
@pytest.mark.parametrize("radius", [0, 6, 60])
def test_a_large_template_square_to_white_ground_is_a_piece_not_a_picture_in_a_frame(level, radius):
    """It was not found at all or, rounded, its corners were traced."""
    x, y = np.meshgrid(np.arange(400), np.arange(300))
    away = np.hypot(
        np.maximum(np.abs(x - 200) - (160 - radius), 0), np.maximum(np.abs(y - 150) - (120 - radius), 0)
    )
    noise = np.random.default_rng(1).normal(0, 6, away.shape)
    grey = np.where(away <= radius, np.clip(level + noise, 0, 240), 255).astype(np.uint8)
    assert inside_frame(grey) is None


def test_a_frame_keeps_its_place_and_shows_what_lies_at_its_inner_rim(tmp_path, unframed):
    Image.fromarray(np.pad(unframed, (*ALL_ROUND, (0, 0)))).save(tmp_path / "a.png")
    picture = read_picture(tmp_path / "a.png")
    assert picture.size_px == (unframed.shape[1] + 140, unframed.shape[0] + 240)
    assert picture.framed
    assert int(picture.grey[:, 0].min()) > 30
    np.testing.assert_array_equal(picture.levels[158:-98, 78:-78], unframed[8:-8, 8:-8])
