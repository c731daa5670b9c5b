"""Pictures of every kind are decoded alike, and their resolution tags read by the rules of each format."""

from __future__ import annotations

import struct
import sys
import zlib

import cv2
import numpy as np
import pytest
from PIL import Image

from cradle.errors import CaptureError
from cradle.pictures.image import read_picture
from cradle.pictures.jpeg_damage import is_damaged
from cradle.pictures.jpeg_scans import scan_count
from cradle.pictures.resolution import read_resolution

RNG = np.random.default_rng(5)
COLOUR = np.clip(np.add.outer(np.arange(60), np.arange(80))[..., None] + [10, 60, 100], 0, 255).astype(
    np.uint8
)
GREY = np.add.outer(np.arange(60), np.arange(80)).astype(np.uint8)


def saved(tmp_path, image, name, **more):
    path = tmp_path / name
    image.save(path, **more)
    return path


# published rules: W3C PNG 11.3.4.3 (pHYs), TIFF 6.0 tags 282, 283, 296, JFIF 1.02, Exif 2.3


@pytest.mark.parametrize(("per_metre", "dpi"), [(23622, 599.9988), (11811, 299.9994)])
def test_png_counts_pixels_per_metre(tmp_path, per_metre, dpi):
    path = saved(tmp_path, Image.fromarray(GREY), "a.png")
    raw = path.read_bytes()
    body = b"pHYs" + struct.pack(">IIB", per_metre, per_metre, 1)
    chunk = struct.pack(">I", 9) + body + struct.pack(">I", zlib.crc32(body))
    path.write_bytes(raw[:33] + chunk + raw[33:])
    assert read_picture(path).resolution.dpi == pytest.approx((dpi, dpi), abs=1e-4)
    bare = body[:-1] + b"\0"
    path.write_bytes(raw[:33] + struct.pack(">I", 9) + bare + struct.pack(">I", zlib.crc32(bare)) + raw[33:])
    assert read_picture(path).resolution.dpi is None


@pytest.mark.parametrize(
    ("tags", "dpi"),
    [
        ({282: 118.11, 283: 118.11, 296: 3}, 300.0),
        ({282: 300.0, 283: 300.0}, 300.0),  # the unit's default is the inch
        ({282: 300.0, 283: 300.0, 296: 1}, None),
        ({282: 72.0, 283: 72.0, 296: 2}, None),
        ({}, None),
    ],
)
def test_tiff_and_exif_units(tags, dpi):
    for name in ("TIFF", "HEIF"):
        found = read_resolution(name, {}, tags).dpi
        assert (found is None) if dpi is None else found == pytest.approx((dpi, dpi), abs=0.01)


@pytest.mark.parametrize(
    ("unit", "density", "dpi"), [(0, (100, 100), None), (1, (300, 300), 300.0), (2, (118, 118), 299.72)]
)
def test_jfif_units(unit, density, dpi):
    found = read_resolution("JPEG", {"jfif_unit": unit, "jfif_density": density}, {}).dpi
    assert (found is None) if dpi is None else found == pytest.approx((dpi, dpi), abs=0.01)


def test_tags_of_one_file_that_disagree_are_no_scale():
    found = read_resolution(
        "JPEG", {"jfif_unit": 1, "jfif_density": (300, 300)}, {282: 150, 283: 150, 296: 2}
    )
    assert found.dpi is None
    assert "Exif says 150" in found.told_by


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.bmp"])
@pytest.mark.parametrize("dpi", [300, 600])
def test_what_pillow_writes_is_read(tmp_path, name, dpi):
    resolution = read_picture(saved(tmp_path, Image.fromarray(COLOUR), name, dpi=(dpi, dpi))).resolution
    assert resolution.dpi == pytest.approx((dpi, dpi), rel=1e-4)
    assert resolution.mm_per_px[0] == pytest.approx(25.4 / dpi, rel=1e-4)  # 0.0846667 at 300: exact inch


@pytest.mark.parametrize("orientation", range(1, 9))
def test_exif_rotation_turns_the_picture_and_its_resolution(tmp_path, orientation):
    exif = Image.Exif()
    exif[274], exif[282], exif[283], exif[296] = orientation, 300.0, 150.0, 2
    picture = read_picture(saved(tmp_path, Image.fromarray(COLOUR), "a.jpg", exif=exif, quality=95))
    sideways = orientation >= 5
    assert picture.size_px == ((60, 80) if sideways else (80, 60))
    assert picture.resolution.dpi == ((150.0, 300.0) if sideways else (300.0, 150.0))


def test_16_bit_alpha_palette_and_cmyk(tmp_path):
    deep = read_picture(saved(tmp_path, Image.fromarray(GREY.astype(np.uint16) * 257), "deep.png"))
    np.testing.assert_array_equal(deep.grey, GREY)
    assert deep.colour is None
    see_through = np.dstack([COLOUR, np.zeros((60, 80), np.uint8)])
    see_through[10:, :, 3] = 255
    alpha = read_picture(saved(tmp_path, Image.fromarray(see_through), "alpha.png"))
    assert (alpha.grey[:10] == 255).all()
    np.testing.assert_array_equal(alpha.colour[10:], COLOUR[10:])
    few = Image.fromarray(COLOUR).quantize(32)
    palette = read_picture(saved(tmp_path, few, "palette.png"))
    np.testing.assert_array_equal(palette.colour, np.asarray(few.convert("RGB")))
    ink = read_picture(saved(tmp_path, Image.fromarray(COLOUR).convert("CMYK"), "ink.tif"))
    assert np.abs(ink.colour.astype(int) - COLOUR).max() <= 2
    same = read_picture(saved(tmp_path, Image.fromarray(np.dstack([GREY] * 3)), "same.png"))
    assert same.colour is None


def test_pictures_that_are_too_large_are_refused_before_they_are_decoded(tmp_path):
    path = saved(tmp_path, Image.fromarray(GREY), "a.png")
    raw = bytearray(path.read_bytes())
    for width, height in ((10_000, 9_000), (60_000, 60_000)):
        raw[16:24] = struct.pack(">II", width, height)
        raw[29:33] = struct.pack(">I", zlib.crc32(raw[12:29]))
        path.write_bytes(raw)
        with pytest.raises(CaptureError, match="80 million"):
            read_picture(path)


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.bmp", "a.webp", "a.gif"])
def test_damaged_pictures_end_in_clear_errors(tmp_path, name):
    path = saved(tmp_path, Image.fromarray(RNG.integers(0, 255, (60, 80, 3), dtype=np.uint8)), name)
    raw = path.read_bytes()
    refused = read = 0
    for trial in range(60):
        data = bytearray(raw)
        if trial % 3 == 0:
            data = data[: int(RNG.integers(0, len(raw)))]
        for _ in range(trial % 7):
            if data:
                data[int(RNG.integers(0, min(len(data), 4000)))] = int(RNG.integers(0, 256))
        path.write_bytes(data)
        try:
            read_picture(path)
            read += 1
        except CaptureError as error:
            refused += str(error).startswith(name)
    assert refused > 5
    assert read + refused == 60


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("scan.pdf", b"%PDF-1.7\n1 0 obj", "PDF document.*scanner save PNG"),
        ("scan.png", b"%PDF-1.4\n", "PDF document"),
        (
            "phone.jpg",
            b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic",
            "HEIC pictures cannot be read here",
        ),
    ],
)
def test_what_a_file_is_told_by_its_content_not_its_ending(tmp_path, monkeypatch, name, content, words):
    monkeypatch.setitem(sys.modules, "pillow_heif", None)  # whether it is installed or not
    (tmp_path / name).write_bytes(content)
    with pytest.raises(CaptureError, match=words):
        read_picture(tmp_path / name)


def test_what_is_no_picture(tmp_path):
    for name, text in (("a.png", b"no picture"), ("b.png", b"")):
        (tmp_path / name).write_bytes(text)
        with pytest.raises(CaptureError, match="not a picture"):
            read_picture(tmp_path / name)
    with pytest.raises(CaptureError, match="no such file"):
        read_picture(tmp_path / "missing.png")
    with pytest.raises(CaptureError):
        read_picture(tmp_path)


def test_a_jpeg_that_is_gone_over_again_and_again_is_refused_before_it_is_decoded(tmp_path):
    path = saved(tmp_path, Image.fromarray(COLOUR), "a.jpg", progressive=True)
    raw = path.read_bytes()
    assert scan_count(raw) == 10  # as libjpeg writes three colours (jpeg_simple_progression, from memory)
    first, last = raw.index(b"\xff\xda"), raw.rindex(b"\xff\xda")
    path.write_bytes(raw[:-2] + raw[last:-2] * 89 + raw[first:])
    with pytest.raises(CaptureError, match="drawn in 109 scans, 100 at most"):
        read_picture(path)
    path.write_bytes(raw[:-2] + raw[last:-2] * 89 + raw[-2:])
    assert read_picture(path).size_px == (80, 60)


def test_a_tiff_whose_tile_reaches_far_past_its_picture_is_refused_before_it_is_decoded(tmp_path):
    packed = zlib.compress(bytes(1000))
    tags = {
        256: 64,
        257: 64,
        258: 8,
        259: 8,
        262: 1,
        277: 1,
        322: 40_000,
        323: 40_000,
        324: 8,
        325: len(packed),
    }
    entries = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in tags.items())
    head = b"II*\0" + struct.pack("<I", 8 + len(packed))
    (tmp_path / "a.tif").write_bytes(head + packed + struct.pack("<H", len(tags)) + entries + bytes(4))
    with pytest.raises(CaptureError, match="a tile of the picture has 40000 x 40000 pixels"):
        read_picture(tmp_path / "a.tif")


@pytest.mark.parametrize("picture", [GREY, COLOUR, COLOUR.astype(np.uint16) * 257])
def test_a_png_with_a_byte_changed_anywhere_in_its_picture_is_refused(tmp_path, picture):
    """Check sums of the chunks: W3C PNG, 5.3 and 5.5; the file is written by OpenCV."""
    path = tmp_path / "a.png"
    path.write_bytes(cv2.imencode(".png", picture)[1].tobytes())
    raw = path.read_bytes()
    read_picture(path)
    begin = raw.index(b"IDAT") + 4
    for place in np.linspace(begin, len(raw) - 17, 40).astype(int):
        path.write_bytes(raw[:place] + bytes([raw[place] ^ 0x10]) + raw[place + 1 :])
        with pytest.raises(CaptureError, match=r"a\.png: the picture is damaged"):
            read_picture(path)


def test_what_a_decoder_says_of_a_damaged_picture_is_not_heard(tmp_path, capfd):
    path = saved(tmp_path, Image.fromarray(COLOUR), "a.tif", compression="tiff_lzw")
    raw = path.read_bytes()
    place = raw.index(struct.pack("<H", 278), len(raw) - 400)  # RowsPerStrip
    path.write_bytes(raw[: place + 2] + b"\x0c" + raw[place + 3 :])  # as a floating number
    with pytest.raises(CaptureError):
        read_picture(path)
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("size", [(40_000, 40), (40, 40_000)])
def test_a_picture_longer_than_its_maps_reach_is_refused(tmp_path, size):
    path = saved(tmp_path, Image.new("L", size, 240), "long.png")
    with pytest.raises(CaptureError, match=f"{size[0]} x {size[1]} pixels, at most 32000 each way"):
        read_picture(path)


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P", "CMYK"])
def test_a_picture_read_some_rows_at_a_time_is_the_same(tmp_path, mode):
    levels = RNG.integers(0, 256, (150, 40, 3), dtype=np.uint8)
    image = Image.fromarray(levels).convert(mode)
    if mode == "RGBA":
        image.putalpha(Image.fromarray(levels[..., 0]))
    path = saved(tmp_path, image, "a.tif")
    with Image.open(path) as again:
        over = again.convert("RGBA")
        expected = Image.alpha_composite(Image.new("RGBA", over.size, (255,) * 4), over).convert("RGB")
    assert np.array_equal(read_picture(path).colour, np.asarray(expected))


@pytest.mark.parametrize(("sampling", "pixels"), [(0, 1), (1, 2), (2, 2)])
def test_how_many_pixels_share_a_colour(tmp_path, sampling, pixels):
    """ITU-T T.81, A.1.1: of 4:4:4 one, of 4:2:2 and 4:2:0 two in a row."""
    colour = Image.fromarray(COLOUR)
    assert read_picture(saved(tmp_path, colour, "a.jpg", subsampling=sampling)).colour_px == pixels
    assert read_picture(saved(tmp_path, Image.fromarray(GREY), "g.jpg")).colour_px == 1
    assert read_picture(saved(tmp_path, colour, "a.png")).colour_px == 1
    grey = read_picture(
        saved(tmp_path, Image.fromarray(GREY).convert("RGB"), "rgb.jpg", subsampling=sampling)
    )
    assert (grey.colour, grey.colour_px) == (None, 1)


def test_levels_of_12_bits_reach_from_black_to_white(tmp_path):
    """As scanners write them: two levels in three bytes (TIFF 6.0, section 8), once taken for nearly black ones of 16 bits."""
    levels = np.linspace(0, 4095, 64 * 48).astype(np.int64).reshape(48, 64)
    even, odd = levels[:, ::2], levels[:, 1::2]
    data = np.stack([even >> 4, (even & 15) << 4 | odd >> 8, odd & 255], axis=2).astype(np.uint8).tobytes()
    tags = {256: 64, 257: 48, 258: 12, 259: 1, 262: 1, 273: 8, 277: 1, 278: 48, 279: len(data)}
    entries = b"".join(struct.pack("<HHIHH", tag, 3, 1, value, 0) for tag, value in sorted(tags.items()))
    head = b"II*\0" + struct.pack("<I", 8 + len(data))
    path = tmp_path / "deep.tif"
    path.write_bytes(head + data + struct.pack("<H", len(tags)) + entries + bytes(4))
    grey = read_picture(path).grey
    assert np.abs(grey - levels * 255 / 4095).max() <= 0.5


def test_jpeg_files_whose_code_runs_out_or_means_nothing_are_refused(tmp_path):
    """One bit changed: they were traced as far as they went, what lies below grey or shifted, with no word."""
    card = cv2.circle(np.full((300, 400, 3), 240, np.uint8), (200, 150), 90, (30, 60, 200), -1)
    data = saved(tmp_path, Image.fromarray(card), "a.jpg", quality=90).read_bytes()
    assert not is_damaged(data)
    begin = data.index(b"\xff\xda") + 14
    changed = [data[:at] + bytes([data[at] ^ 16]) + data[at + 1 :] for at in range(begin, len(data) - 2, 97)]
    damaged = [one for one in changed if is_damaged(one)]
    assert len(damaged) > len(changed) / 4
    (tmp_path / "b.jpg").write_bytes(damaged[0])
    with pytest.raises(CaptureError, match="the picture is damaged: a part of it cannot be decoded"):
        read_picture(tmp_path / "b.jpg")


def test_what_odd_writers_leave_behind_is_no_damage(tmp_path):
    data = saved(tmp_path, Image.fromarray(GREY), "a.jpg").read_bytes()
    (tmp_path / "b.jpg").write_bytes(data[:-2] + b"\0\0\0" + data[-2:] + b"trailing")
    assert read_picture(tmp_path / "b.jpg").size_px == (80, 60)
