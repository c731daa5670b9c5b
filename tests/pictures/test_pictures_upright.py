"""A picture as every browser shows it, read back by Pillow."""

import io

import numpy as np
import pytest
from PIL import Image

from cradle.pictures.image import read_picture
from cradle.pictures.upright import upright_jpeg


@pytest.mark.parametrize("kind", ["png", "tif", "bmp"])
def test_it_is_the_same_picture(tmp_path, kind):
    levels = np.zeros((60, 90, 3), np.uint8)
    levels[:, :45] = (200, 60, 30)
    levels[30:, 45:] = (20, 90, 220)
    Image.fromarray(levels).save(tmp_path / f"a.{kind}")
    shown = Image.open(io.BytesIO(upright_jpeg(read_picture(tmp_path / f"a.{kind}"))))
    assert (shown.format, shown.size) == ("JPEG", (90, 60))
    inside = np.ix_([10, 20, 40, 50], [10, 30, 60, 80])  # away from where colours meet
    assert np.abs(np.asarray(shown)[inside].astype(int) - levels[inside]).max() < 8


def test_a_picture_that_was_taken_lying_down_stands_up(tmp_path):
    grey = Image.fromarray(np.tile(np.linspace(0, 255, 80, dtype=np.uint8), (40, 1)))
    tags = Image.Exif()
    tags[274] = 6  # turned by a quarter (Exif 2.3, orientation)
    grey.save(tmp_path / "a.jpg", exif=tags, quality=95)
    shown = Image.open(io.BytesIO(upright_jpeg(read_picture(tmp_path / "a.jpg"))))
    assert shown.size == (40, 80)
    assert 274 not in shown.getexif()
    levels = np.asarray(shown)
    assert levels[2].mean() < 20
    assert levels[-3].mean() > 235
