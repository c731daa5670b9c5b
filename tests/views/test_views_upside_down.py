"""Sections whose heights were counted from the top, or a picture on its head."""

import numpy as np
import pytest
from section_shapes import outline, placed, spec
from stacked import polar

from cradle.errors import SectionError
from cradle.geometry.arrays import frozen
from cradle.project.section import DrawingSource
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec
from cradle.views.silhouette import Silhouette

LEVELS = np.linspace(0.0, 60.0, 121)
VASE = 40 + 10 * np.sin(LEVELS / 10)
CUP = 30 + 0.4 * LEVELS


def refused(widths, *, heights, read_at, scale, top):
    """What is said of sections noted at heights, their widths read at others, beside a view of the whole thing."""
    ends = np.concatenate(
        [np.column_stack([-widths / 2, LEVELS]), np.column_stack([widths / 2, LEVELS])[::-1]]
    )
    view = Silhouette(
        spec=ViewSpec(
            seen_from=Side.FRONT, source=DrawingSource(path="invented.csv"), scale=scale, top_mm=top
        ),
        points_mm=frozen(ends * (3.7 if scale is ViewScale.FREE else 1.0)),
    )
    ring = polar(200, lambda t: 1 + 0.05 * np.cos(3 * t))
    rings = [ring * [np.interp(z, LEVELS, widths) / 2, 20.0] for z in read_at]
    specs = [
        spec(f"s{i}", h, width_mm=float(np.ptp(r[:, 0])), depth_mm=float(np.ptp(r[:, 1])))
        for i, (h, r) in enumerate(zip(heights, rings, strict=True))
    ]
    with pytest.raises(SectionError) as told:
        placed([outline(r) for r in rings], specs=specs, views=[view])
    return str(told.value)


@pytest.mark.parametrize("top", [None, 60.0])
@pytest.mark.parametrize("scale", ViewScale)
@pytest.mark.parametrize("widths", [VASE, CUP], ids=["vase", "cup"])
def test_heights_from_the_top_are_named_where_a_view_would_fit_them(widths, scale, top):
    words = refused(widths, heights=(10, 30, 55), read_at=(50, 30, 5), scale=scale, top=top)
    assert "it would fit upside down: count the sections' heights from the plate" in words


def test_a_view_of_something_else_is_not_called_upside_down():
    words = refused(VASE, heights=(10, 30, 55), read_at=(40, 12, 30), scale=ViewScale.GIVEN, top=None)
    assert "upside down" not in words
