"""Outlines traced from pictures whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from picture_scene import (
    Shape,
    ellipse,
    id_card,
    lettering,
    moved,
    notch_ring,
    pencil_line,
    rectangle,
    ruler_mm,
    sheet_of_colour,
)
from render_pictures import render_photo, render_scan, save
from traced_grid import BLUE, DARK, PAPER, picture_of

from cradle.calibration.calibration import from_scale, mm_per_px, raised_scale_error
from cradle.capture.check_picture import check_picture_png
from cradle.capture.tracing import trace_outline, trace_picture
from cradle.cards.card import LONG_MM, SHORT_MM, card_scale
from cradle.errors import CaptureError
from cradle.geometry.level_lines import closed_level_lines
from cradle.pictures.image import read_picture
from cradle.pictures.light import light_of
from cradle.pictures.notch import joined_notches, notch_of
from cradle.pictures.parts import parts_above
from cradle.pictures.smooth import smoothed
from cradle.project.picture import LineEdge, PictureSource, ScaleFrom, Traced
from cradle.scale.scale_choice import chosen
from cradle.scale.scale_sources import points_scale, tag_scale

PAGE = (175.0, 170.0)
BLOCK = np.array([[10.0, 80], [160, 80], [160, 150], [100, 150], [100, 120], [10, 120]])
RULE = moved(ruler_mm(), by_mm=(12, 45), turn_deg=1)
# half as large, for what does not go by size
SMALL_PAGE = (112.0, 112.0)
SMALL_BLOCK = 0.5 * BLOCK + [12, 10]
SMALL_RULE = moved(ruler_mm(length_mm=90), by_mm=(10, 12), turn_deg=1)


def missed_mm(ring, truth):
    """Largest distance between two outlines once the first lies best on the second."""
    from scipy.optimize import minimize

    edge, middle = shapely.boundary(shapely.polygons(truth)), truth.mean(axis=0)
    points = ring - ring.mean(axis=0)

    def distances(p):
        cos, sin = np.cos(p[2]), np.sin(p[2])
        return shapely.distance(shapely.points(points @ [[cos, sin], [-sin, cos]] + middle + p[:2]), edge)

    start = [*(shapely.centroid(shapely.polygons(ring)).coords[0] - ring.mean(axis=0)), 0.0]
    start[:2] = np.array(shapely.centroid(shapely.polygons(truth)).coords[0]) - middle - start[:2]
    best = minimize(
        lambda p: (distances(p) ** 2).sum(), start, method="Nelder-Mead", options={"xatol": 1e-5}
    ).x
    return float(distances(best).max())


def traced(tmp_path, scene, *, name="a.png", grey="RGB", shape=Traced.PIECE, spec=None, page_mm=PAGE, **how):
    save(render_scan(scene, page_mm=page_mm, **how), tmp_path / name, grey=grey)
    return trace_picture(tmp_path / name, spec or PictureSource(file=name, shape=shape))


@pytest.mark.further  # the next one asks the same of a harder picture every day
@pytest.mark.parametrize(
    ("colour", "lid", "grey"),
    [(BLUE, (252, 252, 252), "RGB"), (DARK, (252, 252, 252), "L"), (PAPER, (40, 40, 42), "L")],
)
def test_a_piece_at_300_dpi_is_within_a_tenth_over_150_mm(tmp_path, colour, lid, grey):
    scene = (*sheet_of_colour(BLOCK, colour=colour), *RULE)
    found = traced(tmp_path, scene, background=lid, grey=grey, turn_deg=1.5, edge_shadow=0.2, dpi=300)
    (piece,) = found.pieces
    assert missed_mm(piece.ring_mm, BLOCK) < 0.1
    assert found.scales.used.kind.value == "ruler"
    assert [f.code for f in found.findings] == ["scale-one-way"]  # one rule lies there
    # corners kept: every true corner has a traced point near it
    assert 6 <= len(piece.ring_mm) < 80


@pytest.mark.slow
@pytest.mark.parametrize(("blur", "worst"), [pytest.param(0.8, 0.09, marks=pytest.mark.further), (1.2, 0.1)])
def test_noise_is_not_taken_for_lines_of_the_ground(tmp_path, blur, worst):
    """Blur and noise of the worst corner of the grid; where noise passes for lines the shadow counts as paper."""
    scene = (*sheet_of_colour(SMALL_BLOCK, colour=BLUE), *SMALL_RULE)
    how = {"blur_px": blur, "noise": 6.0, "turn_deg": 1.7, "page_mm": SMALL_PAGE}
    (piece,) = traced(tmp_path, scene, dpi=300, **how).pieces
    assert missed_mm(piece.ring_mm, SMALL_BLOCK) < worst
    # the lower edge, where the shadow falls, lies where the rule says it does
    assert piece.size_mm == pytest.approx(traced_size(1.7), abs=0.06)


def traced_size(turn_deg):
    """Extents of the block as it lies on the glass."""
    turn = np.radians(turn_deg)
    return tuple(np.ptp(SMALL_BLOCK @ [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]], axis=0))


@pytest.mark.slow
def test_a_ruler_that_touches_the_paper_is_cut_off(tmp_path):
    block = 0.5 * BLOCK + [12, -6]
    scene = (
        *sheet_of_colour(block, colour=BLUE, shadow_mm=0),
        *moved(ruler_mm(length_mm=90), by_mm=(10, 34)),
    )
    (piece,) = traced(tmp_path, scene, dpi=200, page_mm=SMALL_PAGE).pieces
    assert missed_mm(piece.ring_mm, block) < 0.35


@pytest.mark.slow
def test_pieces_are_numbered_row_by_row_and_picked(tmp_path):
    scene = SMALL_RULE
    for k, (x, y) in enumerate([(20, 94), (54, 97), (90, 93), (28, 62), (78, 59)]):
        scene = (*scene, *sheet_of_colour(ellipse(20 + 4 * k, 18, centre=(x, y)), colour=BLUE))
    found = traced(tmp_path, scene, dpi=100, page_mm=SMALL_PAGE)
    assert [p.number for p in found.pieces] == [1, 2, 3, 4, 5]
    assert [round(p.size_mm[0]) for p in found.pieces] == [20, 24, 28, 32, 36]
    path = tmp_path / "a.png"
    (one,) = trace_picture(path, PictureSource(file="a.png", pick=4)).pieces
    assert one.size_mm[0] == pytest.approx(32, abs=0.1)
    at = tuple(found.pieces[1].ring_px.mean(axis=0))
    (one,) = trace_picture(path, PictureSource(file="a.png", point_px=at)).pieces
    assert one.number == 2
    for spec, words in (
        (PictureSource(file="a.png", pick=9), "no piece 9, the picture shows 5"),
        (PictureSource(file="a.png", point_px=(3.0, 3.0)), "lies on no piece"),
    ):
        with pytest.raises(CaptureError, match=words):
            trace_picture(path, spec)
    with pytest.raises(CaptureError, match=r"shows 5 pieces .*pick one"):
        trace_outline(tmp_path, PictureSource(file="a.png"))


@pytest.mark.slow
def test_a_pencil_line_has_a_middle_an_inside_and_an_outside(tmp_path):
    scene = (
        *pencil_line(ellipse(90, 60, centre=(55, 72)), width_mm=0.6),
        *SMALL_RULE,
    )
    save(render_scan(scene, page_mm=SMALL_PAGE, dpi=250, edge_shadow=0.2), tmp_path / "a.png")
    for edge, grows in ((LineEdge.MIDDLE, 0.0), (LineEdge.OUTSIDE, 0.6), (LineEdge.INSIDE, -0.6)):
        spec = PictureSource(file="a.png", shape=Traced.LINE, edge=edge)
        (line,) = trace_picture(tmp_path / "a.png", spec).pieces
        assert line.size_mm == pytest.approx((90 + grows, 60 + grows), abs=0.1), edge
        assert line.line_width_mm == pytest.approx(0.6, abs=0.08)


@pytest.mark.slow
def test_a_notch_is_the_hollow_of_the_paper(tmp_path):
    t = np.linspace(np.pi, 2 * np.pi, 120)
    cut = np.column_stack([56 + 30 * np.cos(t), 98 + 25 * np.sin(t)])
    scene = (*sheet_of_colour(notch_ring(cut, side_mm=15), colour=BLUE), *SMALL_RULE)
    how = {"shape": Traced.CUT_OUT, "dpi": 200, "turn_deg": 3, "page_mm": SMALL_PAGE}
    (piece,) = traced(tmp_path, scene, **how).pieces
    assert piece.open_ends
    assert piece.size_mm == pytest.approx((60, 25), abs=0.1)
    assert piece.ring_mm[0] == pytest.approx((0, 0))
    assert piece.ring_mm[-1] == pytest.approx((60, 0), abs=0.1)
    half = trace_outline(tmp_path, PictureSource(file="a.png", shape=Traced.CUT_OUT), half=True)
    assert half.open_ends
    with pytest.raises(CaptureError, match="no hollow deeper"):
        notch_of(ellipse(50, 40), where="here")


def test_front_and_back_notches_are_joined_by_the_depth():
    t = np.linspace(np.pi, 2 * np.pi, 60)
    front = np.column_stack([30 + 30 * np.cos(t), 20 * np.sin(t)])
    lopsided = np.column_stack([30 + 30 * np.cos(t), (14 + 3 * np.cos(t)) * np.sin(t)])
    depth = 1.0 - float(front[:, 1].min() + lopsided[:, 1].min())
    ring, (note,) = joined_notches(front, lopsided, depth_mm=depth, where="here")
    assert np.ptp(ring[:, 1]) == pytest.approx(depth)
    assert shapely.is_valid(shapely.polygons(ring))
    # seen from above the back is turned by half a turn, not mirrored: its deeper right half comes to lie left
    assert ring[ring[:, 1].argmax(), 0] < 30
    assert note.measured == pytest.approx(1.0)
    with pytest.raises(CaptureError, match="together more than"):
        joined_notches(front, front, depth_mm=35, where="here")


# Sizes of ISO/IEC 7810 ID-1 and of ISO 216 A4; pinhole camera


def test_a_card_gives_the_scale_between_its_straight_edges(tmp_path):
    scene = (
        *moved(id_card(), by_mm=(15, 10), turn_deg=4),
        *sheet_of_colour(ellipse(60, 35, centre=(60, 90)), colour=BLUE),
    )
    found = traced(tmp_path, scene, dpi=200, stretch=(1.02, 1.02), page_mm=(115, 115))
    assert found.scales.used.kind.value == "bank card"
    assert mm_per_px(found.scales.calibration, at_px=(0, 0)) == pytest.approx(
        (25.4 / 204, 25.4 / 204), rel=1e-3
    )
    disagree = [f for f in found.findings if f.code == "scales-disagree"]
    assert len(disagree) == 1
    assert "resolution tag" in disagree[0].message
    assert "the bank card was used" in disagree[0].message
    assert disagree[0].measured == pytest.approx(2.0, abs=0.1)
    assert len(found.pieces) == 1


@pytest.mark.first_daily
@pytest.mark.parametrize("stripe", [(25, 25, 28), (255, 255, 255)])
def test_a_card_is_seen_whatever_stripe_runs_across_it(tmp_path, stripe):
    """From edge to edge, as a magnetic one does, or of the ground's own colour, so that it parts the card in two."""
    across = rectangle(0.0, 38.0, LONG_MM, 46.0)
    scene = (
        *moved(
            (*id_card(), *sheet_of_colour(across, colour=stripe, shadow_mm=0.0)), by_mm=(15, 10), turn_deg=4
        ),
        *sheet_of_colour(ellipse(60, 35, centre=(60, 90)), colour=BLUE),
    )
    found = traced(tmp_path, scene, dpi=200, stretch=(1.02, 1.02), page_mm=(115, 115))
    assert found.scales.used.kind.value == "bank card"
    assert mm_per_px(found.scales.calibration, at_px=(0, 0)) == pytest.approx(
        (25.4 / 204, 25.4 / 204), rel=1e-3
    )
    assert len(found.pieces) == 1


def test_paper_with_sharp_corners_is_no_card():
    picture = picture_of(render_scan((), page_mm=(60, 60), dpi=75), dpi=300)
    sharp = np.array([[100.0, 100], [100 + 1011.02, 100], [1111.02, 100 + 637.56], [100, 737.56]])
    sides = np.concatenate(
        [
            a + np.linspace(0, 1, 200, endpoint=False)[:, None] * (b - a)
            for a, b in zip(sharp, np.roll(sharp, -1, axis=0), strict=True)
        ]
    )
    assert pytest.approx(1011.02, abs=0.01) == LONG_MM * 300 / 25.4
    assert pytest.approx(637.56, abs=0.01) == SHORT_MM * 300 / 25.4
    assert pytest.approx(2480.31, abs=0.01) == 210 * 300 / 25.4
    assert pytest.approx(3507.87, abs=0.01) == 297 * 300 / 25.4
    with pytest.raises(CaptureError, match="does not have a card's corners"):
        card_scale(sides, picture, camera=False)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("colour", "most_off"),
    # told by brightness; by colour alone, beside a shadow; whose sides bow by chance, as through a lens that bends lines
    [((20, 30, 60), 0.001), ((60, 95, 150), 0.0025), ((40, 120, 60), 0.0025), ((120, 40, 120), 0.004)],
)
def test_a_card_under_a_lens_is_too_near_to_it(tmp_path, colour, most_off):
    assert raised_scale_error(0.76, distance_mm=400) == pytest.approx(0.001904, abs=1e-6)
    scene = (
        *moved(id_card(colour=colour), by_mm=(60, 60)),
        *sheet_of_colour(ellipse(90, 50, centre=(105, 200)), colour=(200, 60, 60)),
    )
    photo = render_photo(
        scene, look_at_mm=(105, 140), distance_mm=300, size_px=(1350, 1800), focal_px=1350, light=0.2
    )
    save(photo, tmp_path / "p.jpg", grey="RGB")
    plain = trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg"))
    assert "card-raised" in {f.code for f in plain.findings}
    told = trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg", distance_mm=300.0, thickness_mm=0.0))
    assert "card-raised" not in {f.code for f in told.findings}
    assert plain.pieces[0].scale_share > told.pieces[0].scale_share
    assert told.pieces[0].size_mm > plain.pieces[0].size_mm
    # taken out: a card 140 mm away hardly shows how the camera leaned
    assert told.pieces[0].size_mm == pytest.approx((90.0, 50.0), rel=most_off)


@pytest.mark.slow
def test_scales_that_disagree_are_named_and_the_more_trusted_is_used(tmp_path):
    scene = (*sheet_of_colour(SMALL_BLOCK, colour=BLUE), *SMALL_RULE)
    found = traced(tmp_path, scene, dpi=150, page_mm=SMALL_PAGE, stretch=(1.012, 1.012))
    (finding,) = [f for f in found.findings if f.code == "scales-disagree"]
    assert "ruler" in finding.message
    assert "resolution tag" in finding.message
    assert "a ruler is trusted more than a tag" in finding.message
    spec = PictureSource(file="a.png", scale=ScaleFrom.TAG)
    tag = trace_picture(tmp_path / "a.png", spec)
    assert tag.scales.used.kind.value == "tag"
    (alone,) = [f for f in tag.findings if f.code in ("scale-from-tag", "scales-disagree")]
    assert 'scale = "auto"' in alone.advice  # and not that nothing confirms it, beside a rule
    with pytest.raises(CaptureError, match="no scale from the sheet"):
        trace_picture(tmp_path / "a.png", PictureSource(file="a.png", scale=ScaleFrom.SHEET))
    own = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", dpi=151.8))
    assert own.scales.used.kind.value == "given"
    assert ["resolution tag" in f.message for f in own.findings] == [True]  # the ruler agrees with it


def test_two_points_and_nothing_at_all(tmp_path):
    picture = picture_of(render_scan((), page_mm=(60, 60), dpi=150))
    with pytest.raises(CaptureError, match="no scale was found"):
        chosen(PictureSource(file="a"), [], [], picture=picture)
    spec = PictureSource(file="a", from_px=(10.0, 20.0), to_px=(310.0, 420.0), apart_mm=50.0)
    scale = points_scale(spec, picture_of(render_scan((), page_mm=(100, 100), dpi=150)))
    assert mm_per_px(scale.calibration, at_px=(0, 0)) == pytest.approx((0.1, 0.1), rel=1e-9)
    with pytest.raises(CaptureError, match="must lie in the picture"):
        points_scale(spec, picture)
    assert tag_scale(picture) is None


@pytest.mark.parametrize("radius", [15.3, 40.0])
def test_the_edge_of_a_disc_agrees_with_a_second_reader(radius):
    """scikit-image's marching squares on the same field, and the true radius."""
    measure = pytest.importorskip("skimage.measure")
    disc = (Shape(rings_mm=(ellipse(2 * radius, 2 * radius, centre=(50, 50)),), colour=(0, 0, 0)),)
    picture = picture_of(
        render_scan(disc, dpi=150, page_mm=(100, 100), background=(255, 255, 255)), colour=False
    )
    field = (1 - light_of(picture.grey.astype(np.float64))).astype(np.float32)
    (ring,) = parts_above(field)
    other = max(measure.find_contours(field, 0.5), key=len)[:-1, ::-1]
    assert len(ring) == len(other)
    assert shapely.hausdorff_distance(shapely.linearrings(ring), shapely.linearrings(other)) < 1e-4
    scale = from_scale(25.4 / 150, 25.4 / 150, height_px=picture.size_px[1], source="test")
    smooth = smoothed(ring * mm_per_px(scale, at_px=(0, 0))[0], grain_mm=25.4 / 150)
    away = np.hypot(*(smooth - smooth.mean(axis=0)).T)
    assert away.mean() == pytest.approx(radius, abs=0.01)
    assert away.std() < 0.01
    assert len(closed_level_lines(field, level=0.5)) == 1


@pytest.mark.slow
def test_doubtful_pieces_are_told(tmp_path):
    scene = (*sheet_of_colour(BLOCK, colour=(225, 225, 222), shadow_mm=0), *RULE)
    found = traced(tmp_path, scene, dpi=80, grey="L", noise=0.5)
    told = {f.code for f in found.findings}
    assert "edge-faint" in told
    assert "picture-coarse" not in told  # its edges are straight, and as sure as from finer pixels
    tooth = np.where(np.arange(720) % 36 < 18, 1.0, 0.94)[:, None]
    gear = sheet_of_colour(ellipse(50, 50) * tooth + [85, 115], colour=BLUE, shadow_mm=0)
    told = {f.code for f in traced(tmp_path, (*gear, *RULE), dpi=80).findings}
    assert "picture-coarse" in told
    with pytest.raises(CaptureError, match="no piece was found"):
        traced(tmp_path, RULE, dpi=100)
    slip = PictureSource(file="a.png", from_px=(0.0, 10.0), to_px=(500.0, 10.0), apart_mm=2.0)
    with pytest.raises(
        CaptureError, match=r"the longest thing is 0\.\d+ mm long \(scale: two points, 2 mm apart\)"
    ):
        traced(tmp_path, gear, dpi=80, spec=slip)
    cut = traced(tmp_path, (*sheet_of_colour(BLOCK + [60, 0], colour=BLUE), *RULE), dpi=100)
    assert "piece-cut-off" in {f.code for f in cut.findings}


@pytest.mark.slow
def test_writing_on_a_piece_does_not_matter(tmp_path):
    words = lettering("belly 18", at_mm=(66, 72), size_mm=5)
    scene = (*sheet_of_colour(SMALL_BLOCK, colour=PAPER), *words, *SMALL_RULE)
    (piece,) = traced(tmp_path, scene, dpi=200, page_mm=SMALL_PAGE, background=(50, 52, 55)).pieces
    assert missed_mm(piece.ring_mm, SMALL_BLOCK) < 0.1


@pytest.mark.slow
def test_the_check_picture_is_small_and_shows_the_outline(tmp_path):
    low = moved(ruler_mm(), by_mm=(12, 28), turn_deg=1)
    found = traced(tmp_path, (*sheet_of_colour(SMALL_BLOCK, colour=BLUE), *low), dpi=240, page_mm=(175, 90))
    (tmp_path / "check.png").write_bytes(check_picture_png(found))
    check = read_picture(tmp_path / "check.png")
    assert max(check.size_px) <= 2050  # 1600, the words, and the strip of what is enlarged
    assert check.size_px[0] <= 1600
    red, green, blue = (check.colour[..., k].astype(int) for k in range(3))
    assert ((red > 180) & (green < 80) & (blue < 140)).sum() > 1000  # the outline
    assert ((green > red + 80) & (green > blue + 40)).sum() > 300  # the ruler's marks
    assert check_picture_png(found) == (tmp_path / "check.png").read_bytes()


@pytest.mark.speed
def test_tracing_over_the_whole_grid(tmp_path):
    """Table of the largest error of a 150 mm piece over resolution, blur, noise and skew."""
    for dpi in (75, 150, 300, 600):
        for blur, noise in ((0.5, 1.0), (0.8, 3.0), (1.2, 6.0)):
            worst = 0.0
            for turn in (0.0, 1.7, 2.5):
                scene = (*sheet_of_colour(BLOCK, colour=BLUE), *moved(ruler_mm(), by_mm=(12, 45)))
                found = traced(tmp_path, scene, dpi=dpi, blur_px=blur, noise=noise, turn_deg=turn)
                # a rule not found is the second
                worst = max(worst, missed_mm(found.pieces[0].ring_mm, BLOCK))
            print(f"{dpi:4d} dpi, blur {blur} px, noise {noise}: {worst:.3f} mm")  # noqa: T201
            assert worst < {75: 0.6, 150: 0.2, 300: 0.1, 600: 0.09}[dpi]
