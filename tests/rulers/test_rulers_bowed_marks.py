"""A lens that bows a rule's straight edge is found by where its marks begin, and taken out of what is traced."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from painted import KRAFT, Table, photographed
from things_painted import egg, placed, rule_on
from traced_grid import picture_of

from cradle.calibration.calibration import bent, lens_of
from cradle.calibration.picture_view import fit_view, setting_of
from cradle.capture.tracing import trace_picture
from cradle.geometry.arrays import frozen, frozen_ints
from cradle.geometry.ring import signed_area
from cradle.pictures.regions import find_things
from cradle.project.picture import PictureSource
from cradle.rulers.bowed_marks import lens_by_marks
from cradle.rulers.marked_picture import MarkedPicture
from cradle.rulers.ruler import find_rulers
from cradle.rulers.ruler_marks import Marks
from cradle.rulers.spaced_marks import lens_by_spacing

SIZE_PX = (2000, 1500)


def _marks(k1, *, y_px, seed=1):
    """Marks 9 px apart that begin along a straight edge, as a lens shows it, and are read along a straight line."""
    rng = np.random.default_rng(seed)
    number = np.arange(150)
    edge = bent(lens_of(SIZE_PX, k1), np.column_stack([250.0 + 9.0 * number, np.full(150, y_px)]))
    at = np.column_stack([edge[:, 0], np.full(150, edge[:, 1].mean() + 20.0)])
    long = np.where(number % 10 == 0, 60.0, np.where(number % 5 == 0, 45.0, 30.0))
    low = at[:, 1] - edge[:, 1] + rng.normal(0, 0.4, 150)
    return Marks(
        number=frozen_ints(number),
        at_px=frozen(at),
        low_px=frozen(low),
        high_px=frozen(long - low),
        ahead=frozen([1.0, 0.0]),
        across=frozen([0.0, 1.0]),
        spacing_px=9.0,
        spacing_error_px=0.001,
        change=0.0,
        rms_px=0.1,
        widening=0.0,
        widening_error=np.inf,
    )


@pytest.mark.parametrize("k1", [-0.04, -0.01, 0.0, 0.03])
@pytest.mark.parametrize("y_px", [150.0, 1300.0])
def test_the_lens_is_what_makes_a_rules_edge_straight(k1, y_px):
    seen = lens_by_marks([_marks(k1, y_px=y_px)], SIZE_PX)
    assert seen is not None
    assert seen.k1 == pytest.approx(k1, abs=max(2.5 * seen.spread, 1e-3))
    assert seen.spread < 0.006


def test_marks_that_dirt_makes_longer_do_not_bow_the_edge():
    marks = _marks(0.0, y_px=150.0)
    low = np.array(marks.low_px)
    low[60:75] += 12.0
    (dirty,) = [
        Marks(**{name: getattr(marks, name) for name in Marks.__slots__ if name != "low_px"}, low_px=low)
    ]
    seen = lens_by_marks([dirty], SIZE_PX)
    assert seen is not None
    assert seen.k1 == pytest.approx(0.0, abs=0.003)


def test_marks_that_begin_nowhere_alike_tell_no_lens():
    rng = np.random.default_rng(3)
    marks = _marks(0.03, y_px=150.0)
    ragged = {"low_px": frozen(rng.uniform(5, 30, 150)), "high_px": frozen(rng.uniform(5, 30, 150))}
    fields = {name: getattr(marks, name) for name in Marks.__slots__ if name not in ragged}
    assert lens_by_marks([Marks(**fields, **ragged)], SIZE_PX) is None


@pytest.mark.slow
def test_a_piece_beside_two_rules_keeps_its_size_under_a_lens_that_bends_lines(tmp_path):
    """Of such a lens the marks' distances alone told a fifth: the piece was half a percent too large, and said to be sure to 0.1."""
    table = Table(220, 165, 9, (238, 237, 233), 3)
    rule_on(table, at_mm=(12, 158), length_mm=190)
    rule_on(table, at_mm=(30, 12), turn_deg=90, length_mm=110, depth_mm=18)
    piece = placed(egg(90, 60), at_mm=(140, 66), turn_deg=30)
    table.paint(piece, colour=KRAFT)
    photographed(table, size_px=(2800, 2100), distance_mm=200, tilt_deg=2, k1=-0.05).save(tmp_path / "a.jpg")
    (found,) = trace_picture(tmp_path / "a.jpg", PictureSource(file="a.jpg")).pieces
    larger = np.sqrt(abs(signed_area(found.ring_mm)) / abs(signed_area(piece)))
    assert larger == pytest.approx(1.0, abs=3e-3)
    assert max(found.scale_share) > 2e-3


@pytest.mark.parametrize("k1", [-0.06, 0.0, 0.04])
@pytest.mark.parametrize("lean", [0.0, 4e-5])
def test_how_marks_are_spaced_tells_the_lens_whatever_the_view_leans(k1, lean):
    number = np.arange(150)
    along = 9.0 * (number - 75)
    ideal = np.column_stack([1000 + along / (1 + lean * along), np.full(150, 200.0)])
    at = bent(lens_of(SIZE_PX, k1), ideal) + np.random.default_rng(2).normal(0, 0.05, (150, 2))
    marks = replace(_marks(0.0, y_px=200.0), at_px=frozen(at))
    seen = lens_by_spacing(marks, SIZE_PX, px_per_mm=9.0)
    assert seen.k1 == pytest.approx(k1, abs=3 * seen.spread)
    assert 0.001 < seen.spread < 0.012


@pytest.mark.first_daily
@pytest.mark.parametrize(("k1", "second"), [(0.03, False), (0.09, False), (-0.09, False), (-0.09, True)])
def test_a_bow_that_the_spacing_of_the_marks_or_a_rule_across_explains_by_a_lens_is_no_bent_rule(k1, second):
    table = Table(190, 150, 8, (238, 237, 233), 3)
    rule_on(table, at_mm=(20, 144), length_mm=150, depth_mm=18)
    if second:
        rule_on(table, at_mm=(10, 24), turn_deg=90, length_mm=90, depth_mm=16)
    picture = picture_of(photographed(table, size_px=(2000, 1500), distance_mm=200, k1=k1))
    scales = find_rulers(MarkedPicture(picture), find_things(picture)).scales
    assert len(scales) == 1 + second
    assert not any(f.code == "ruler-bowed" for scale in scales for f in scale.findings)
    assert scales[0].known.lens.k1 == pytest.approx(-k1, abs=0.015)  # the lens that straightens


class _Bent(Table):
    """A table on which all that is painted, or throws a shadow, is bent along an arc about the middle."""

    sag_mm = 0.0

    def px(self, points_mm):
        x, y = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2).T
        away = x - self.width_mm / 2
        bow = 4 * self.sag_mm / 150.0**2
        return super().px(np.column_stack([x - 2 * bow * away * (y - 144), y + bow * away**2 - self.sag_mm]))


@pytest.mark.first_daily
@pytest.mark.parametrize("sag_mm", [1.2, 2.5, -2.5])
def test_a_rule_that_is_bent_is_told_and_takes_no_lens_and_no_lean_with_it(sag_mm):
    """By its bow alone the lens of one bent by 2 mm moved lengths by 3 %, or turned the view by 30 degrees."""
    table = _Bent(190, 160, 8, (238, 237, 233), 3)
    table.sag_mm = sag_mm
    rule_on(table, at_mm=(20, 144), length_mm=150, depth_mm=18)
    picture = picture_of(photographed(table, size_px=(2000, 1684), distance_mm=200, k1=0.0))
    (scale,) = find_rulers(MarkedPicture(picture), find_things(picture)).scales
    (told,) = [f for f in scale.findings if f.code == "ruler-bowed"]
    assert told.measured == pytest.approx(abs(sag_mm), rel=0.25)
    assert scale.known.lens is None
    assert len(scale.known.rows) == 1
    view = fit_view(setting_of(picture, camera=True), (scale.known,))
    assert view.lean_deg < 1.0


def test_where_few_marks_tell_nothing_of_the_lens_a_bow_is_doubted():
    table = _Bent(190, 150, 8, (238, 237, 233), 3)
    table.sag_mm = 4.0
    rule_on(table, at_mm=(65, 144), length_mm=60, depth_mm=18)
    picture = picture_of(photographed(table, size_px=(2000, 1580), distance_mm=200))
    (scale,) = find_rulers(MarkedPicture(picture), find_things(picture)).scales
    assert [f.severity for f in scale.findings if f.code == "ruler-bowed"] == ["warn"]
    assert scale.known.share > 0.02
