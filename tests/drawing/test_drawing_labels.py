"""No label of a drawing covers a line, an arrow or another label, whatever the thing's size and the scale."""

from dataclasses import replace
from functools import lru_cache
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
from bodies import superellipse
from daily import case, each_value_daily
from made_demos import made_demo
from pockets import pocket_of
from seated import seated
from stacked import rectangle, stacked

from cradle.drawing.drawn import drawn_view
from cradle.drawing.holder_views import holder_views
from cradle.drawing.labels import Label, Taken, crossed
from cradle.drawing.layout import SCALES, lay_out, usual_scale
from cradle.drawing.view import Axis, Callout, CuttingPlane, Line, Stroke, View, ring_line, upright
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec, PlateSpec
from cradle.project.opening import DrainSpec
from cradle.report.workshop_views import laid_in_rows

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


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "scale"), each_value_daily(["ocarina", "nozzle", "pair"], [2.0, 1.0, 0.5, 0.2])
)
def test_a_demo_s_labels_cover_nothing_at_any_scale(name, scale):
    made = made_demo(name)
    views = holder_views(made.holder, made.things)
    check(lay_out(views, scale=scale, words=[made.name, "material PLA"]).views)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("size", "seed"),
    [*each_value_daily(SIZES, range(3)), *(case((size, MOST_LEVELS), further=True) for size in SIZES)],
)
def test_labels_of_small_large_and_random_things_cover_nothing(size, seed):
    views = views_of_size(seed, size, 3 + 2 * seed)
    scale = usual_scale(views)
    sheet = lay_out(views, scale=scale, words=["thing", "0.4 mm clearance per side"])
    check(sheet.views)
    for word in ("A", "B", "0"):
        assert any(label.text == word for view in sheet.views for label in view.labels)
    for room, most in (((182.0, 250.0), 1), ((182.0, 250.0), 2), ((182.0, 120.0), 1)):
        layout = laid_in_rows(views, room_mm=room, scales=SCALES, most_pages=most)
        for rows in layout.pages if layout else ():
            for row in rows:
                for view in row.views:
                    check([view])
            assert sum(row.tall_mm for row in rows) <= room[1]
            for row in rows:
                edges = [
                    (view.box()[0] + right, view.box()[2] + right)
                    for view, right in zip(row.views, row.rights_mm, strict=True)
                ]
                assert all(low >= 0 and high <= room[0] + 1e-9 for low, high in edges)
                assert all(one[1] < other[0] for one, other in pairwise(edges))
    assert laid_in_rows(views, room_mm=(182.0, 250.0), scales=SCALES, most_pages=2)


@pytest.mark.parametrize("size", SIZES)
def test_at_its_usual_scale_a_thing_of_any_size_keeps_its_dimensions(size):
    views = views_of_size(0, size, 3)
    shown = [drawn_view(view, scale=usual_scale(views)) for view in views]
    texts = {label.text for view in shown for label in view.labels}
    for view in views:
        for dimension in view.dimensions:
            assert f"{dimension.length_mm:.2f}" in texts, dimension.name
    assert not sum(view.left_out for view in shown)


@pytest.mark.slow
def test_what_has_no_room_is_counted():
    views = views_of_size(MOST_LEVELS, 40.0, 9)
    for scale in SCALES:
        for view in views:
            shown = drawn_view(view, scale=scale)
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
    boxes = np.array([(-1.0, -0.5, 1.0, 0.7), (-2.5, 1.0, -2.0, 2.0)])
    found = crossed(segments[:, None], boxes)
    lines = shapely.linestrings(segments.reshape(-1, 2, 2))
    assert found.tolist() == shapely.intersects(lines[:, None], shapely.box(*boxes.T)).tolist()


@pytest.mark.parametrize("seed", range(3))
def test_crossings_are_counted_as_another_library_counts_them(seed):
    rng = np.random.default_rng(seed)
    lines = [rng.uniform(0, 30, (2, 2)) for _ in range(40)]
    own = rng.uniform(0, 30, (5, 2, 4))
    expected = [
        sum(shapely.LineString(piece).crosses(shapely.LineString(line)) for piece in pieces for line in lines)
        for pieces in own.reshape(5, 2, 2, 2)
    ]
    assert Taken(lines).crossings(own).tolist() == expected


@pytest.mark.parametrize("scale", [1.0, 0.5, 0.25])
def test_figures_beside_a_plan_stand_clear_of_the_third_cutting_plane(scale):
    """Three pockets of a row whose middles lie close: each plane ends further out, and the last ran through the depth in figures."""
    block = ring_line(rectangle(90, 200), Stroke.EDGE)
    planes = [
        CuttingPlane(letter=letter, axis=Axis.ACROSS, at_mm=at, looking=1.0)
        for letter, at in zip("ABC", (-20.0, -10.0, 0.0), strict=True)
    ]
    depth = upright("outside depth", -100.0, 100.0, at_mm=-45.0)
    shown = drawn_view(
        View(lines=(block,), dimensions=(depth,), planes=tuple(planes), callouts=()), scale=scale
    )
    assert {"200.00", "A", "B", "C"} <= {label.text for label in shown.labels}
    check([shown])


def test_a_callout_s_leader_strikes_neither_its_words_nor_more_lines_than_it_must():
    plate = rectangle(180, 40)
    callout = Callout(text="4× Ø4.50, countersunk Ø9.40", at_mm=(82.0, 12.0), radius_mm=2.25)
    inner = [Line(points_mm=rectangle(w, 30), stroke=Stroke.CUT, closed=True) for w in (60, 70, 80)]
    outline = Line(points_mm=plate, stroke=Stroke.EDGE, closed=True)
    for scale in (0.5, 1.0):
        page = drawn_view(View(lines=(outline, *inner), callouts=(callout,)), scale=scale)
        (words,) = (label for label in page.labels if label.text == callout.text)
        (segments,) = (pairs for name, pairs in page.strokes if name == callout.text)
        box = shapely.box(*words.box())
        assert not any(shapely.LineString(pair).crosses(box) for pair in segments)
        leader = shapely.MultiLineString([list(pair) for pair in segments])
        assert leader.crosses(shapely.LinearRing(scale * plate))  # it must come in
        assert not any(leader.crosses(shapely.LinearRing(scale * ring.points_mm)) for ring in inner)
