"""The demo's pictures are what the script renders, small, their scale is found, and they give its sections."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapes
from PIL import Image
from render_demo_pictures import pictures
from test_capture_tracing import missed_mm
from write_demos import OCARINA_HEIGHTS_MM

from cradle.calibration.calibration import to_mm
from cradle.capture.tracing import trace_outline
from cradle.capture_sheet.sheet_reading import read_sheet
from cradle.project.picture import PictureSource, Traced

FOLDER = Path(__file__).parents[2] / "demo_data" / "ocarina" / "pictures"


@pytest.fixture(scope="module")
def rendered():
    return pictures()


@pytest.mark.slow
def test_the_folder_holds_these_pictures_and_they_are_small(rendered):
    files = sorted(path.name for path in FOLDER.iterdir())
    assert files == sorted(rendered)
    assert all((FOLDER / name).stat().st_size < 400_000 for name in files)


def test_the_pictures_are_up_to_date(rendered):
    for name, fresh in rendered.items():
        with Image.open(FOLDER / name) as picture:
            stored = np.asarray(picture, dtype=np.float64)
            dpi = picture.info.get("dpi")
        again = np.asarray(Image.fromarray(fresh.image).convert("L"), dtype=np.float64)
        assert stored.shape == again.shape
        assert np.abs(stored - again).mean() < 3, f"{name}: run examples/render_demo_pictures.py"
        assert dpi == (None if name == "top-sheet.jpg" else (200, 200))


def test_the_phone_picture_calibrates_to_the_truth(rendered):
    with Image.open(FOLDER / "top-sheet.jpg") as picture:
        reading = read_sheet(np.asarray(picture))
    places = np.array([[50.0, 60.0], [105.0, 150.0], [160.0, 250.0]])
    seen = to_mm(reading.calibration, rendered["top-sheet.jpg"].px_from_mm(places))
    assert reading.design.name == "A4"
    assert np.abs(seen - places).max() < 0.05


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("name", "shape", "size"),
    [
        ("low.jpg", Traced.PIECE, 0.3),
        pytest.param("broad.jpg", Traced.PIECE, 0.4, marks=pytest.mark.further),
        ("top-sheet.jpg", Traced.LINE, 0.3),
    ],
)
def test_the_demo_s_pictures_give_its_sections(name, shape, size):
    height = dict(
        zip(("low.jpg", "belly.jpg", "broad.jpg", "top-sheet.jpg"), OCARINA_HEIGHTS_MM, strict=True)
    )[name]
    outline = trace_outline(FOLDER, PictureSource(file=name, shape=shape))
    assert missed_mm(outline.points_mm, shapes.ocarina_outline(height)) < size
    assert 0.0002 < outline.scale_share < 0.01  # a scan beside one ruler, a sheet
