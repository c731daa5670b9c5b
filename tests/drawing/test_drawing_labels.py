"""No label of a drawing covers a line, an arrow or another label, whatever the thing's size and the scale."""

from dataclasses import replace
from functools import lru_cache
from itertools import combinations

import numpy as np
import pytest
import shapely
from bodies import superellipse
from daily import case, each_value_daily
from made_demos import made_demo
from pockets import pocket_of
from seated import seated
from stacked import stacked

from cradle.drawing.drawn import drawn
from cradle.drawing.labels import Label, crossed
from cradle.drawing.layout import SCALES, lay_out, usual_scale
from cradle.drawing.views import holder_views
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec, PlateSpec
from cradle.project.opening import DrainSpec
from cradle.report.workshop_views import sheet_that_fits, stacked_views

SIZES = (15.0, 40.0, 280.0)
MOST_LEVELS = 3
"""The invented thing with the most levels; whether what has no room is counted is asked of it daily."""


def lines_of(view):
    """Every line and arrow of a drawn view, by another library."""
    parts = []
    for line in view.lines:
        points = np.concatenate([line.points_mm, line.points_mm[:1]]) if line.closed else line.points_mm
        parts.append(shapely.linestrings(points))
    parts += [shapely.linestrings(pair) for _, segments in view.strokes for pair in segments]
    return parts + [shapely.linearrings(np.array(arrow)) for arrow in view.arrows]


def check(views):
    """Labels lie clear of everything, on all views that share a sheet."""
    lines = shapely.STRtree([line for view in views for line in lines_of(view)])
    labels = [label for view in views for label in view.labels]
    boxes = [shapely.box(*label.box()) for label in labels]
    for label, box in zip(labels, boxes, strict=True):
        assert not len(lines.query(box, predicate="intersects")), label
    for (a, one), (b, other) in combinations(zip(labels, boxes, strict=True), 2):
        assert not shapely.intersects(one, other), (a, b)


@lru_cache
def invented(seed, sections):
    """The views of a holder around an invented thing, 40 mm high."""
    rng = np.random.default_rng(seed)
    heights = np.sort(rng.uniform(2.0, 38.0, sections))
    heights[0] = 0.0
    sizes = rng.uniform(20.0, 40.0, (sections, 2))
    rings = [superellipse(a / 2, b / 2, 2.5, points=60) for a, b in sizes]
    pocket = pocket_of(
        stacked([*heights, 40.0], [*rings, rings[-1]]), clearance_mm=0.4, top_mm=32.0, lead_in_mm=0.5
    )
    plate = PlateSpec(width_mm=104.0, screw="M4") if seed % 2 else None
    block = BlockSpec(wall_mm=3.0, floor_mm=4.0, corner_mm=3.0)
    drain = DrainSpec(diameter_mm=5.0)
    holder = make_holder([pocket], block=block, openings=[drain], under=np.zeros((1, 2)), plate=plate)
    named = {f"level {k}": float(z) for k, z in enumerate(heights)}
    return holder_views(holder, [seated(pocket, named)])


def sized(view, factor):
    """The same view of a thing so many times as large."""

    def put(point):
        return factor * point[0], factor * point[1]

    return replace(
        view,
        lines=tuple(replace(line, points_mm=factor * line.points_mm) for line in view.lines),
        material=tuple(factor * ring for ring in view.material),
        dimensions=tuple(replace(d, start_mm=put(d.start_mm), end_mm=put(d.end_mm)) for d in view.dimensions),
        heights=tuple(replace(h, at_mm=put(h.at_mm)) for h in view.heights),
        planes=tuple(replace(p, at_mm=factor * p.at_mm) for p in view.planes),
        callouts=tuple(replace(c, at_mm=put(c.at_mm), radius_mm=factor * c.radius_mm) for c in view.callouts),
    )


def views_of_size(seed, size, sections):
    return [sized(view, size / 40.0) for view in invented(seed, sections)]


@pytest.mark.parametrize(
    ("name", "scale"), each_value_daily(["ocarina", "nozzle", "pair"], [2.0, 1.0, 0.5, 0.2])
)
def test_a_demo_s_labels_cover_nothing_at_any_scale(name, scale):
    made = made_demo(name)
    views = holder_views(made.holder, made.things)
    check(lay_out(views, scale=scale, words=[made.name, "material PLA"]).views)


@pytest.mark.parametrize(
    ("size", "seed"),
    [*each_value_daily(SIZES, range(3)), *(case((size, MOST_LEVELS), slow=True) for size in SIZES)],
)
def test_labels_of_small_large_and_random_things_cover_nothing(size, seed):
    views = views_of_size(seed, size, 3 + 2 * seed)
    scale = usual_scale(views)
    sheet = lay_out(views, scale=scale, words=["thing", "0.4 mm clearance per side"])
    check(sheet.views)
    for word in ("A", "B", "0"):
        assert any(label.text == word for view in sheet.views for label in view.labels)
    for room in ((182.0, 250.0), (87.0, 120.0)):
        stack = stacked_views(views, room_mm=room)
        page = sheet_that_fits(views, room_mm=room)
        for shown in (*(stack.views if stack else ()),):
            check([shown])
        if page is not None:
            check(page.views)
            assert page.size_mm[0] <= room[0]
            assert page.size_mm[1] <= room[1]
    assert stacked_views(views, room_mm=(182.0, 250.0)) or sheet_that_fits(views, room_mm=(182.0, 250.0))


@pytest.mark.parametrize("size", SIZES)
def test_at_its_usual_scale_a_thing_of_any_size_keeps_its_dimensions(size):
    views = views_of_size(0, size, 3)
    shown = [drawn(view, scale=usual_scale(views)) for view in views]
    texts = {label.text for view in shown for label in view.labels}
    for view in views:
        for dimension in view.dimensions:
            assert f"{dimension.length_mm:.2f}" in texts, dimension.name
    assert not sum(view.left_out for view in shown)


def test_what_has_no_room_is_counted():
    views = views_of_size(MOST_LEVELS, 40.0, 9)
    for scale in SCALES:
        for view in views:
            shown = drawn(view, scale=scale)
            wanted = len(view.dimensions) + len(view.heights) + bool(view.heights) + len(view.callouts)
            wanted += 2 * len(view.planes) + 1
            assert len(shown.labels) + shown.left_out == wanted


def test_a_label_s_box_holds_the_letters_of_common_faces():
    # advance widths of the digits in 1/1000 of the size, and height of capitals: Helvetica 556 and 718 (Adobe's
    # font metrics), Vera Sans 636 and 729 (the font's own tables)
    for advance, capital in ((556, 718), (636, 729)):
        label = Label(text="123.45", at=(0.0, 0.0), height_mm=2.5)
        width = (5 * advance + advance / 2) * 2.5 / capital
        assert label.width_mm >= width


@pytest.mark.parametrize("seed", range(20))
def test_a_segment_meets_a_box_as_another_library_says(seed):
    rng = np.random.default_rng(seed)
    segments = rng.uniform(-3, 3, (200, 4))
    box = (-1.0, -0.5, 1.0, 0.7)
    for row in segments:
        found = crossed(row[None], box)
        assert found == shapely.intersects(shapely.linestrings(row.reshape(2, 2)), shapely.box(*box))
