"""Letters, against the same font as FreeType draws it and HarfBuzz sets it (through Pillow)."""

from pathlib import Path

import numpy as np
import pytest
import reportlab
from PIL import Image, ImageChops, ImageDraw, ImageFont, features

from cradle.geometry import planar, region_measures
from cradle.geometry.lettering import lettering, letters_missing

FONT = Path(reportlab.__file__).parent / "fonts" / "VeraBd.ttf"
PX = 400
KERNED = pytest.mark.skipif(
    not features.check("raqm"), reason="without the system's FriBiDi Pillow sets no pair of letters closer"
)


def by_freetype(text):
    """The text's ink, cropped."""
    font = ImageFont.truetype(FONT, PX)
    image = Image.new("L", (PX * (len(text) + 1), 2 * PX), 0)
    ImageDraw.Draw(image).text((PX // 2, PX // 4), text, fill=255, font=font)
    return image.crop(image.getbbox())


def by_us(text, size):
    """Our region drawn as large as an image of the given size."""
    image = Image.new("L", size, 0)
    for ring in planar.boundary_rings(lettering(text, height_mm=size[1])):
        mask = Image.new("L", size, 0)
        ImageDraw.Draw(mask).polygon([(x - 0.5, size[1] - y - 0.5) for x, y in ring], fill=255)
        image = ImageChops.difference(image, mask)
    return image


@pytest.mark.parametrize(
    "text", ["belly 0.35", pytest.param("AVATo Ty", marks=KERNED), "Ångström Çé", "B8®@&%", "ßÆŒ½"]
)
def test_the_letters_are_the_font_s_own(text):
    """FreeType hints outlines to whole pixels, so that an edge may lie a pixel beside ours."""
    true = np.asarray(by_freetype(text)) / 255
    area = lettering(text, height_mm=true.shape[0])
    assert region_measures.bounds(area)[2] == pytest.approx(true.shape[1], abs=2 + len(text) / 2)
    assert region_measures.area_mm2(area) == pytest.approx(true.sum(), rel=0.01)
    ours = np.asarray(by_us(text, true.shape[::-1])) / 255
    edges_px = region_measures.perimeter_mm(area)
    assert np.abs(ours - true).sum() < 2.0 * edges_px
    assert np.abs(ours[:, ::-1] - true).sum() > 4.0 * edges_px  # it would be noticed


@pytest.mark.parametrize(("letter", "pieces"), [("ě", 2), ("ő", 3), ("ū", 2), ("Ř", 2), ("ī", 2), ("ą", 1)])
def test_letters_the_font_lacks_are_put_together_with_their_accents(letter, pieces):
    assert letters_missing(letter) == ""
    area = lettering(letter, height_mm=10)
    assert len(planar.outer_rings(area)) == pieces


@pytest.mark.parametrize("letter", "éÜčşñÒ")
def test_a_letter_put_together_is_as_the_font_s_own(letter, monkeypatch):
    own = lettering(letter, height_mm=100)
    from cradle.geometry import lettering as room

    of = room._font().getBestCmap()
    without = {code: name for code, name in of.items() if code != ord(letter)}
    monkeypatch.setattr(type(room._font()), "getBestCmap", lambda font: without)
    made = lettering(letter, height_mm=100)
    # the font sets some accents a little nearer to their letters
    assert region_measures.bounds(made) == pytest.approx(region_measures.bounds(own), abs=6)
    beside = region_measures.area_mm2(planar.without(made, own)) + region_measures.area_mm2(
        planar.without(own, made)
    )
    assert 0 < beside < 0.35 * region_measures.area_mm2(own)


def test_letters_have_their_height_and_their_holes():
    words = lettering("B8o", height_mm=5)
    assert region_measures.bounds(words)[[0, 1, 3]] == pytest.approx([0, 0, 5])
    assert len(planar.holes(words)) == 5


def test_a_letter_of_another_script_is_an_empty_box_and_told():
    assert letters_missing("belly Ж 0.35 жЖ") == "Жж"
    box = lettering("Ж", height_mm=5)
    assert len(planar.outer_rings(box)) == len(planar.holes(box)) == 1
    assert len(planar.holes(box)[0]) == 4


def test_curves_are_as_fine_as_the_chord_asked():
    """Against the font's own curve at ten times as many steps."""
    from cradle.geometry import lettering as room

    start, control, end = np.array([0.0, 0.0]), np.array([0.0, 500.0]), np.array([500.0, 500.0])
    coarse = np.vstack([start, room._quadratic(start, control, end)])
    t = np.linspace(0, 1, 1000)[:, None]
    fine = (1 - t) ** 2 * start + 2 * t * (1 - t) * control + t**2 * end
    off = region_measures.distances_to_boundary(fine, planar.region(coarse))
    em = room._font()["head"].unitsPerEm
    assert 0.3e-3 * em < off.max() <= 1e-3 * em
    assert np.allclose(coarse[-1], end)
