"""What a rule covers, as far as it goes: nothing of it is left to be taken for a piece."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
import shapely
from painted import GREY, KRAFT, Table, scanned
from picture_scene import moved, rounded_rectangle, ruler_mm
from render_pictures import render_scan, save
from scored import p95_mm
from things_painted import box, egg, lobed, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.geometry.arrays import frozen, frozen_ints
from cradle.pictures.image import read_picture
from cradle.pictures.regions import Regions, find_things
from cradle.project.picture import PictureSource
from cradle.rulers.marked_picture import MarkedPicture
from cradle.rulers.ruler import find_rulers
from cradle.rulers.ruler_body import body_beside, whole_rules
from cradle.rulers.ruler_ends import ends_seen
from cradle.rulers.ruler_find import regular_lines
from cradle.rulers.ruler_marks import read_marks
from cradle.rulers.ruler_things import shape_of

SOURCE = PictureSource(file="a.png")
BODY = (226, 222, 200)


def _scan(table, tmp_path):
    return scanned(table, dpi=150, tag=False).save(tmp_path / "a.png")


@pytest.mark.parametrize("blank_mm", [15.0, 50.0])
def test_a_rule_goes_on_beyond_its_last_mark_as_far_as_its_colour(tmp_path, blank_mm):
    table = Table(190, 80, 8, GREY, 3)
    rule_on(table, at_mm=(20, 50), length_mm=90)
    table.paint(box(110, 28, 114 + blank_mm, 50), colour=BODY)
    seen = scanned(table, dpi=150, tag=False)
    picture = read_picture(seen.save(tmp_path / "a.png"), where="a.png")
    (rule,) = find_rulers(MarkedPicture(picture), find_things(picture)).scales
    body = shapely.polygons(seen.px_from_mm(box(16, 28, 114 + blank_mm, 50)))
    covers = shapely.polygons(rule.region_px)
    assert covers.intersection(body).area > 0.98 * body.area
    assert covers.area < 1.1 * body.area


def test_a_rule_read_by_every_second_mark_is_as_large(tmp_path):
    table = Table(150, 60, 8, GREY, 3)
    rule_on(table, at_mm=(20, 40), length_mm=100)
    picture = read_picture(_scan(table, tmp_path), where="a.png")
    line, *_ = regular_lines(picture.grey)
    marks, *_ = read_marks(picture.grey, line)
    halves = replace(marks, number=frozen_ints(2 * marks.number), spacing_px=marks.spacing_px / 2)
    whole, half = (body_beside(picture.levels, each, px_per_mm=marks.spacing_px) for each in (marks, halves))
    assert np.array_equal(whole, half)


def test_light_that_fades_towards_the_border_ends_no_rule(tmp_path):
    """What is left of a pale one on white would be taken for a piece."""
    seen = render_scan(
        moved(ruler_mm(), by_mm=(10.5, 33.0), turn_deg=-0.4),
        dpi=150, page_mm=(172, 90), background=(250, 250, 248), edge_shadow=0.25,
    )  # fmt: skip
    save(seen, tmp_path / "a.png", grey="RGB")
    picture = read_picture(tmp_path / "a.png", where="a.png")
    (rule,) = find_rulers(MarkedPicture(picture), find_things(picture)).scales
    turned = moved((ruler_mm()[5],), by_mm=(10.5, 33.0), turn_deg=-0.4)[0].rings_mm[0]
    body = shapely.polygons(seen.px_from_mm(turned))
    covers = shapely.polygons(rule.region_px)
    assert covers.intersection(body).area > 0.98 * body.area
    assert covers.area < 1.1 * body.area


def _marks_in_shade(*, from_mm=110.0):
    """A picture of a rule, 150 mm long from 20 mm on, in the shade of a hand from a place on; its levels, grainy as a phone saves them, and marks."""
    table = Table(190, 60, 10, GREY, 3)
    rule_on(table, at_mm=(20, 44), length_mm=150, depth_mm=22)
    seen = scanned(table, dpi=150, tag=False)
    (begin, _), (end, _) = seen.px_from_mm([(from_mm, 30), (from_mm + 40, 30)])
    light = 1 - 0.15 * np.clip((np.arange(seen.image.shape[1]) - begin) / (end - begin), 0, 1)
    grain = np.random.default_rng(1).normal(0, 3.0, seen.image.shape[:2])
    shaded = seen.image * light[:, None] + cv2.GaussianBlur(grain, (0, 0), 1.2)[..., None]
    levels = np.clip(np.rint(shaded), 0, 255).astype(np.uint8)
    grey = levels.astype(np.float32).mean(axis=2)
    line, *_ = regular_lines(grey)
    marks, *_ = read_marks(grey, line)
    return seen, levels, marks


def test_a_rule_goes_on_in_the_shade_of_a_hand():
    """Its end was taken to be at the last mark, where its colour is another than half way."""
    seen, levels, marks = _marks_in_shade()
    corners = body_beside(levels, marks, px_per_mm=marks.spacing_px)
    left, right = seen.px_from_mm([(16, 40), (174, 40)])[:, 0]
    assert np.sort(corners[:, 0]) == pytest.approx([left, left, right, right], abs=2 * marks.spacing_px)


@pytest.mark.parametrize("short_mm", [-9.0, -7.0, 7.0, 9.0])
def test_no_end_is_seen_where_there_is_none(short_mm):
    """Where the body was taken to end too soon, or beyond it, the steepest grain told a slope, and that surely."""
    _, levels, marks = _marks_in_shade()
    body = body_beside(levels, marks, px_per_mm=marks.spacing_px)
    beside = body + np.array([0, -1, -1, 0])[:, None] * short_mm * marks.spacing_px * marks.ahead
    seen, unseen = (ends_seen(levels, marks, each, px_per_mm=marks.spacing_px) for each in (body, beside))
    assert seen is not None
    assert unseen is None


@pytest.mark.slow
def test_the_end_of_a_rule_under_another_one_is_none_of_the_pieces_where_the_rest_of_it_lies_clear(tmp_path):
    table = Table(190, 150, 8, GREY, 3)
    table.paint(placed(egg(40, 30), at_mm=(110, 105)), colour=(40, 40, 44))
    rule_on(table, at_mm=(20, 50), length_mm=140, body=(60, 60, 64), ink=(230, 230, 230))
    rule_on(table, at_mm=(58, 27), turn_deg=90, length_mm=110, body=GREY)  # parts it in two
    traced = trace_picture(_scan(table, tmp_path), SOURCE)
    assert "rule-end" in {f.code for f in traced.findings}
    assert len(traced.pieces) == 1


def test_what_a_rule_with_round_corners_covers_has_four(tmp_path):
    table = Table(150, 60, 8, GREY, 3)
    rule_on(table, at_mm=(20, 40), turn_deg=3.0, length_mm=90)
    outline = placed(rounded_rectangle(104.0, 24.0, 8.0), at_mm=(15, 17.4), turn_deg=3.0)
    table.paint(placed(box(-8, -30, 8, 12), at_mm=(20, 40), turn_deg=3.0), colour=GREY)
    table.paint(outline, colour=BODY)
    rule_on(table, at_mm=(24, 40.2), turn_deg=3.0, length_mm=86)
    picture = read_picture(_scan(table, tmp_path), where="a.png")
    things = find_things(picture)
    (rule,), whole = whole_rules(find_rulers(MarkedPicture(picture), things).scales, things)
    assert whole
    assert rule.region_px.shape == (4, 2)
    assert shapely.polygons(rule.region_px).contains(shapely.multipoints(rule.marks_px))


@pytest.mark.parametrize(("cut_mm", "deep_mm"), [(10, 12), (14, 12), (20, 15)])
def test_a_rule_covers_the_corner_of_it_that_hardly_differs_from_the_ground(tmp_path, cut_mm, deep_mm):
    """The end of a pale one, or of one that shines: what is left of it would be taken for a piece."""
    table = Table(150, 60, 8, GREY, 3)
    body = rule_on(table, at_mm=(20, 40), length_mm=100)
    table.paint(box(15, 40 - deep_mm, 15 + cut_mm, 41), colour=GREY)
    seen = scanned(table, dpi=150, tag=False)
    picture = read_picture(seen.save(tmp_path / "a.png"), where="a.png")
    things = find_things(picture)
    (rule,), _ = whole_rules(find_rulers(MarkedPicture(picture), things).scales, things)
    whole = shapely.polygons(seen.px_from_mm(body))
    covers = shapely.polygons(rule.region_px)
    corner = shapely.polygons(seen.px_from_mm(box(16, 40 - deep_mm, 15 + cut_mm, 40)))
    assert covers.intersection(corner).area > 0.95 * corner.area
    assert covers.area < 1.15 * whole.area


def test_a_rule_that_fades_into_the_ground_goes_on_as_far_as_its_marks(tmp_path):
    table = Table(150, 60, 8, GREY, 3)
    rule_on(table, at_mm=(20, 40), length_mm=100, body=GREY)
    rule_on(table, at_mm=(20, 40), length_mm=70)
    picture = read_picture(_scan(table, tmp_path), where="a.png")
    things = find_things(picture)
    (rule,), whole = whole_rules(find_rulers(MarkedPicture(picture), things).scales, things)
    assert whole
    assert rule.known_mm[0] == 100
    assert shapely.polygons(rule.region_px).contains(shapely.multipoints(rule.marks_px))


def test_rules_stay_in_the_order_of_how_much_they_tell_whichever_of_them_lies_clear(tmp_path):
    table = Table(190, 150, 8, GREY, 3)
    rule_on(table, at_mm=(20, 30), length_mm=140)
    table.paint(placed(egg(30, 40), at_mm=(150, 42)), colour=(40, 40, 44))  # over its edge
    rule_on(table, at_mm=(30, 130), length_mm=80)
    picture = read_picture(_scan(table, tmp_path), where="a.png")
    things = find_things(picture)
    found = find_rulers(MarkedPicture(picture), things).scales
    rules, whole = whole_rules(found, things)
    assert not whole
    assert [rule.told for rule in rules] == [rule.told for rule in found]
    assert len(found) == 2


@pytest.mark.parametrize("burr_px", [0, 3, 6])
def test_what_a_mats_lines_add_to_a_rules_sides_does_not_count(burr_px):
    labels = np.zeros((120, 460), np.int32)
    labels[40:80, 30:430] = 1
    labels[40 - burr_px : 80 + burr_px, 40:430:40] = 1  # a px wide each
    things = Regions(
        labels=labels,
        levels=np.zeros((120, 460, 1), np.uint8),
        ground=frozen(np.zeros((120, 460, 1))).astype(np.float32),
        shrink=1.0,
        boxes=((30, 40 - burr_px, 400, 40 + 2 * burr_px),),
        cut_off=(False,),
    )
    shape = shape_of(things, 1)
    assert shape.fills_its_box
    assert shape.deep == pytest.approx(39.0)


@pytest.mark.first_daily
@pytest.mark.parametrize("over", [0.0, 9.0], ids=["beside the marks", "over some of them"])
def test_a_piece_at_the_marks_of_a_mats_own_scale_is_traced_whole(tmp_path, over):
    mat = (42, 104, 86)
    line = (204, 214, 190)
    table = Table(150, 120, 8, mat, seed=6)
    table.paint(*(box(at, 0, at + 0.25, 120) for at in range(5, 150, 10)), colour=line)
    table.paint(*(box(0, at, 150, at + 0.25) for at in range(8, 120, 10)), colour=line)
    long_mm = (5.0, 2.6, 2.6, 2.6, 2.6, 3.8, 2.6, 2.6, 2.6, 2.6)
    table.paint(*(box(5 + k - 0.1, 28, 5 + k + 0.1, 28 + long_mm[k % 10]) for k in range(141)), colour=line)
    ring = placed(lobed(56.0), at_mm=(84, 28 + 34 - over), turn_deg=15)
    table.paint(ring, colour=KRAFT)
    seen = scanned(table, dpi=200, tag=False)
    found = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png"))
    (piece,) = found.pieces
    assert p95_mm(found, piece, seen, ring) < 0.15
    assert not {finding.code for finding in found.findings} & {"piece-on-rule", "edge-soft"}


@pytest.mark.parametrize(("within", "spared"), [(0.4, True), (0.85, False)])
def test_only_a_thing_that_reaches_well_out_of_what_a_pale_rule_covers_is_no_part_of_it(
    tmp_path, within, spared
):
    """Its shining end reaches out a little, where its own end was missed."""
    table = Table(170, 110, 8, GREY, 3)
    rule_on(table, at_mm=(20, 60), length_mm=110, body=GREY)
    picture = read_picture(_scan(table, tmp_path))
    things = find_things(picture)
    (rule,) = find_rulers(MarkedPicture(picture), things).scales
    (_, y0), (x1, y1) = (end(things.in_small(rule.region_px), axis=0) for end in (np.min, np.max))
    high, wide = int(0.9 * (y1 - y0)), 150
    left, top = int(x1 - within * wide), int(y0 + 0.05 * (y1 - y0))
    labels = np.zeros_like(things.labels)
    labels[top : top + high, left : left + wide] = 1
    marks = things.in_small(rule.marks_px).round().astype(int)
    labels[:, : marks[:, 0].max() + 1] *= 1 - (np.isin(np.arange(len(labels)), marks[:, 1]))[:, None]
    one = replace(things, labels=frozen_ints(labels), boxes=((left, top, wide, high),), cut_off=(False,))
    ((found,), _) = whole_rules([rule], one)
    assert np.array_equal(found.region_px, rule.region_px) != spared
