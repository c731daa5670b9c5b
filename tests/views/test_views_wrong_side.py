"""Views of another side than they are said to be from: their widths are the sections' depths."""

import numpy as np
import pytest
from section_shapes import outline, placed, spec
from stacked import polar

from cradle.errors import SectionError
from cradle.geometry.arrays import frozen
from cradle.pictures.border import Border
from cradle.project.picture import PictureSource
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec
from cradle.views.silhouette import Silhouette

LEVELS = np.linspace(0.0, 60.0, 121)
HEIGHTS = (5.0, 30.0, 55.0)
THINGS = {
    "tapered": (60 - 0.3 * LEVELS, 25 + 0.1 * LEVELS),
    "swelling": (60 * (1 + 0.2 * np.sin(LEVELS / 20)), 40 * (1 + 0.2 * np.sin(LEVELS / 20))),
    "straight": (60 + 0 * LEVELS, 25 + 0 * LEVELS),
    "round": (50 - 0.2 * LEVELS, 49.5 - 0.2 * LEVELS),
}
"""Widths and depths of things at `LEVELS`."""


def view(shows, *, seen_from, scale=ViewScale.FREE, top=60.0, cut_off_at=()):
    """A picture of a thing as wide as this at `LEVELS`, up to a height, said to be from a side."""
    up = top >= LEVELS
    z, half = LEVELS[up], shows[up] / 2
    ends = np.concatenate([np.column_stack([-half, z]), np.column_stack([half, z])[::-1]])
    spec_of = ViewSpec(seen_from=Side(seen_from), source=PictureSource(file="invented.png"), scale=scale)
    points = frozen(ends * (3.7 if scale is ViewScale.FREE else 1.0))
    return Silhouette(spec=spec_of, points_mm=points, cut_off_at=cut_off_at)


def told(thing, views):
    """What is told of a thing with these views: the refusal, else what is doubted."""
    sizes = [[float(np.interp(h, LEVELS, own)) for own in THINGS[thing]] for h in HEIGHTS]
    rings = [polar(200, lambda t: 1 + 0.05 * np.cos(3 * t)) * [w / 2, d / 2] for w, d in sizes]
    specs = [
        spec(f"s{i}", h, width_mm=float(np.ptp(r[:, 0])), depth_mm=float(np.ptp(r[:, 1])))
        for i, (h, r) in enumerate(zip(HEIGHTS, rings, strict=True))
    ]
    try:
        return [
            f"{f.code} {f}" for f in placed([outline(r) for r in rings], specs=specs, views=views).findings
        ]
    except SectionError as refused:
        return [str(refused)]


def wrong(thing, views):
    """Those of a wrong side."""
    return [words for words in told(thing, views) if "it shows the" in words]


@pytest.mark.parametrize("scale", ViewScale)
@pytest.mark.parametrize("sides", [("front", "right"), ("right", "front"), ("back", "left")])
@pytest.mark.parametrize("thing", ["tapered", "swelling", "straight"])
def test_two_views_that_are_exchanged_are_named_as_such_and_their_edges_are_not_doubted(thing, sides, scale):
    width, depth = THINGS[thing]
    own = [width if side in ("front", "back") else depth for side in sides]
    right, exchanged = (
        [view(shows, seen_from=side, scale=scale) for side, shows in zip(sides, order, strict=True)]
        for order in (own, own[::-1])
    )
    assert not wrong(thing, right)
    (words,) = wrong(thing, exchanged)
    assert "seem to be exchanged; give each the other's file" in words
    assert all(f"view from the {side}" in words for side in sides)
    assert "reading-disagrees" not in " ".join(told(thing, exchanged))


@pytest.mark.parametrize("thing", ["tapered", "swelling"])
@pytest.mark.parametrize("beside", [True, False])
def test_one_view_from_another_side_is_named_alone_or_beside_one_that_is_right(thing, beside):
    depth = THINGS[thing][1]
    views = [view(depth, seen_from="front"), *([view(depth, seen_from="right")] if beside else [])]
    (words,) = wrong(thing, views)
    assert words.count("view from the front") == 1
    assert "it seems to be taken from the left or right; say from which side" in words


def test_nothing_is_said_where_the_sections_do_not_tell():
    width, depth = THINGS["round"]
    assert not wrong("round", [view(depth, seen_from="front"), view(width, seen_from="right")])
    width, depth = THINGS["straight"]  # a picture that ends at 25 mm, taken from the right side
    assert not wrong("straight", [view(width, seen_from="front", top=25.0, cut_off_at=(Border.UPPER,))])
