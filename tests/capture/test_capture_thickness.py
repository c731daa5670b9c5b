"""A lens sees the upper face of a template nearer, and so larger; with its thickness told, this is taken out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from picture_scene import (
    Shape,
    capture_sheet,
    ellipse,
    moved,
    notch_ring,
    pencil_line,
    ruler_mm,
    sheet_of_colour,
)
from PIL import Image
from render_pictures import render_photo, render_scan, save
from test_capture_tracing import missed_mm
from traced_grid import BLUE

from cradle.calibration.camera import Viewpoint, viewpoint
from cradle.capture.thickness import Raised
from cradle.capture.tracing import trace_picture
from cradle.capture_sheet.sheet import SHEETS
from cradle.capture_sheet.sheet_reading import read_sheet, tilt_deg
from cradle.errors import CaptureError
from cradle.geometry.region_measures import crossing
from cradle.pictures.image import read_picture
from cradle.project.picture import PictureSource, Traced

A4 = capture_sheet(SHEETS["A4"])
T = np.arange(720) * (np.pi / 360)
BEAN = np.column_stack([105 + 62 * np.cos(T), 138 + 45 * np.sin(T) + 15 * np.cos(2 * T)])
"""Smooth, and hollow on its upper side."""
BLOCK = np.array([[40.0, 80], [165, 85], [170, 190], [45, 180]])
SIZE = (1500, 2000)
FOCAL_PX = 1500.0
EXPOSURE, FOCAL, FOCAL_FILM = 33434, 37386, 41989


def seen_of(ring, thick_mm, *, foot, height_mm):
    """What a lens above ``foot`` sees of a piece: the union of the images of all its heights on the paper."""
    at = np.array(foot)
    heights = np.linspace(0, thick_mm, 101)
    images = [shapely.polygons(at + (ring - at) * height_mm / (height_mm - z)) for z in heights]
    return shapely.union_all(images)


def lens_over(*, tilt_deg=0.0, azimuth_deg=270.0, distance_mm=400.0):
    """Foot and height of the renderer's lens, which looks at the sheet's middle."""
    lean, side = np.radians([tilt_deg, azimuth_deg])
    foot = np.array([105, 148.5]) + distance_mm * np.sin(lean) * np.array([np.cos(side), np.sin(side)])
    return {"foot": tuple(foot.tolist()), "height_mm": float(distance_mm * np.cos(lean))}


def slab(ring, thick_mm, *, colour=BLUE, **view):
    """A piece of even colour, its faces on and above the paper, its cut edge between them."""
    seen = seen_of(ring, thick_mm, **lens_over(**view))
    return (Shape(rings_mm=(np.array(seen.exterior.coords)[:-1],), colour=colour),)


def by_phone(path, scene, *, focal_film_mm=None, **how):
    """A photograph as a telephone saves it: Exif, no resolution."""
    how = {"size_px": SIZE, "focal_px": FOCAL_PX, "light": 0.2, **how}
    rendered = render_photo((*A4, *scene), **how)
    exif = Image.Exif()
    part = exif.get_ifd(0x8769)
    part[EXPOSURE] = 0.01
    if focal_film_mm is not None:
        part[FOCAL_FILM] = focal_film_mm
    Image.fromarray(rendered.image).save(path, quality=95, subsampling=0, exif=exif)


def codes(found):
    return {f.code for f in found.findings}


@pytest.mark.parametrize("foot", [(100.0, 140.0), (105.0, -90.0), (400.0, 60.0), (60.0, 420.0)])
@pytest.mark.parametrize("ring", [BLOCK, BEAN], ids=["block", "bean"])
def test_what_is_seen_of_a_slab_gives_the_slab(ring, foot):
    """The union of all heights' images, by similar triangles, without the code under test."""
    piece, height, thick = shapely.polygons(ring), 380.0, 3.0
    seen = seen_of(ring, thick, foot=foot, height_mm=height)
    lens = Viewpoint(foot_mm=foot, height_mm=height, told_by="test", supposed=False)
    got = shapely.polygons(
        Raised(thickness_mm=thick, spread_mm=0.05, lens=lens).lowered_piece(
            np.array(seen.exterior.coords)[:-1]
        )
    )
    assert shapely.hausdorff_distance(seen, piece) > 0.3
    assert shapely.hausdorff_distance(got, piece) < 0.02


@pytest.mark.slow
@pytest.mark.parametrize(
    ("tilt", "azimuth"),
    [
        pytest.param(0.0, 270.0, marks=pytest.mark.further),
        (18.0, 200.0),
        pytest.param(33.0, 270.0, marks=pytest.mark.further),
    ],
)
def test_a_thick_piece_is_true_once_its_thickness_is_told(tmp_path, tilt, azimuth):
    """Relative error t / (D - t) of a pinhole camera: 0.756 % for 3 mm under a lens 400 mm away."""
    path, view = tmp_path / "p.jpg", {"tilt_deg": tilt, "azimuth_deg": azimuth}
    size = SIZE if tilt == 18.0 else (1800, 2400)
    by_phone(path, slab(BEAN, 3.0, **view), size_px=size, focal_px=float(size[0]), **view)
    plain = trace_picture(path, PictureSource(file="p.jpg"))
    told = trace_picture(path, PictureSource(file="p.jpg", thickness_mm=3.0))
    assert "thickness-not-told" in codes(plain)
    (note,) = [f for f in told.findings if f.code == "thickness-taken-out"]
    height = 400 * np.cos(np.radians(tilt))
    assert note.measured == pytest.approx(100 * 3 / (height - 3), rel=0.02)
    assert ("vanishing points" in note.message) is (tilt > 5)
    assert missed_mm(plain.pieces[0].ring_mm, BEAN) > 0.35
    assert missed_mm(told.pieces[0].ring_mm, BEAN) < 0.1
    if tilt == 0:
        ratio = plain.pieces[0].size_mm[0] / told.pieces[0].size_mm[0]
        assert ratio == pytest.approx((400 - 0.3) / (400 - 3), abs=0.0003)
    # what is drawn over the picture is what is seen in it
    assert np.ptp(told.pieces[0].ring_px, axis=0) == pytest.approx(
        np.ptp(plain.pieces[0].ring_px, axis=0), abs=1
    )


@pytest.mark.further
def test_a_notch_and_a_line_on_a_thick_card(tmp_path):
    t = np.linspace(np.pi, 2 * np.pi, 120)
    cut = np.column_stack([105 + 40 * np.cos(t), 170 + 25 * np.sin(t)])
    path = tmp_path / "n.jpg"
    by_phone(path, slab(notch_ring(cut, side_mm=20), 3.0, tilt_deg=10), tilt_deg=10)
    spec = PictureSource(file="n.jpg", shape=Traced.CUT_OUT, thickness_mm=3.0)
    (told,) = trace_picture(path, spec).pieces
    (plain,) = trace_picture(path, replace(spec, thickness_mm=0.0)).pieces
    assert told.size_mm == pytest.approx((80, 25), abs=0.12)
    assert abs(plain.size_mm[0] - 80) > 0.2
    assert len(told.cut_px) == len(plain.cut_px)
    ring = ellipse(90, 60, centre=(105, 140))
    card = slab(
        np.array([[45.0, 85], [165, 85], [165, 200], [45, 200]]), 3.0, colour=(240, 238, 230), tilt_deg=15
    )
    line = tuple(replace(s, raised_mm=3.0) for s in pencil_line(ring, width_mm=0.7))
    by_phone(path, (*card, *line), tilt_deg=15)
    spec = PictureSource(file="n.jpg", shape=Traced.LINE, thickness_mm=3.0)
    (told,) = trace_picture(path, spec).pieces
    (plain,) = trace_picture(path, replace(spec, thickness_mm=None)).pieces
    assert told.size_mm == pytest.approx((90, 60), abs=0.12)
    assert plain.size_mm[0] / told.size_mm[0] - 1 == pytest.approx(
        3 / (400 * np.cos(np.radians(15)) - 3), rel=0.01
    )


@pytest.mark.further
def test_a_zoomed_camera_is_believed_by_its_tag_or_by_a_stated_distance(tmp_path):
    """Twice the focal length from twice as far: half the effect."""
    path = tmp_path / "p.jpg"
    twice = {"distance_mm": 800.0, "focal_px": 2 * FOCAL_PX}
    by_phone(path, slab(BEAN, 3.0, distance_mm=800.0), focal_film_mm=52, **twice)
    tag = trace_picture(path, PictureSource(file="p.jpg", thickness_mm=3.0))
    (note,) = [f for f in tag.findings if f.code == "thickness-taken-out"]
    assert "52 mm in 35 mm film" in note.message
    assert note.measured == pytest.approx(100 * 3 / 797, rel=0.01)
    assert note.advice == ""
    by_phone(path, slab(BEAN, 3.0, distance_mm=800.0), **twice)
    usual = trace_picture(path, PictureSource(file="p.jpg", thickness_mm=3.0))
    (note,) = [f for f in usual.findings if f.code == "thickness-taken-out"]
    assert "a typical phone lens" in note.message
    assert "distance" in note.advice
    stated = trace_picture(path, PictureSource(file="p.jpg", thickness_mm=3.0, distance_mm=800.0))
    assert missed_mm(stated.pieces[0].ring_mm, BEAN) < 0.12 < missed_mm(usual.pieces[0].ring_mm, BEAN)


def test_a_focal_length_is_not_believed_of_a_picture_cut_down(tmp_path):
    image = Image.new("L", (400, 300), 200)
    exif = Image.Exif()
    part = exif.get_ifd(0x8769)
    part[FOCAL_FILM], part[40962], part[40963] = 26, 4000, 3000
    image.save(tmp_path / "whole.jpg", exif=exif)
    image.crop((0, 0, 300, 300)).save(tmp_path / "cut.jpg", exif=exif)
    part[FOCAL_FILM] = 0  # unknown (Exif 2.3, section 4.6.5, from memory)
    image.save(tmp_path / "unknown.jpg", exif=exif)
    assert read_picture(tmp_path / "whole.jpg").focal_film_mm == 26.0
    assert read_picture(tmp_path / "cut.jpg").focal_film_mm is None
    assert read_picture(tmp_path / "unknown.jpg").focal_film_mm is None


@pytest.mark.slow
@pytest.mark.parametrize(("tilt", "azimuth"), [(6.0, 315.0), (20.0, 250.0), (35.0, 270.0)])
def test_the_sheet_tells_where_the_lens_was(tmp_path, tilt, azimuth):
    path = tmp_path / "p.jpg"
    by_phone(path, (), tilt_deg=tilt, azimuth_deg=azimuth, roll_deg=20, lens=(-0.03, 0.01), focal_px=1750.0)
    picture = read_picture(path)
    reading = read_sheet(picture.grey)
    lean = tilt_deg(reading.calibration, size_px=picture.size_px)
    lens = viewpoint(reading.calibration, picture, tilt_deg=lean, distance_mm=None)
    leaning, side = np.radians([tilt, azimuth])
    foot = np.array([105, 148.5]) + 400 * np.sin(leaning) * np.array([np.cos(side), np.sin(side)])
    assert lens.told_by == "the paper's vanishing points"
    assert lens.height_mm == pytest.approx(400 * np.cos(leaning), rel=0.015)
    assert lens.foot_mm == pytest.approx(foot, abs=4)


@pytest.mark.slow
def test_on_a_scanner_thickness_does_nothing(tmp_path):
    piece = sheet_of_colour(BEAN, colour=BLUE)
    save(render_scan((*A4, *piece), dpi=75), tmp_path / "s.png", grey="RGB")
    plain, told = (
        trace_picture(tmp_path / "s.png", PictureSource(file="s.png", thickness_mm=t)) for t in (None, 3.0)
    )
    assert told.scales.used.kind.value == "sheet"
    assert (told.pieces[0].ring_mm == plain.pieces[0].ring_mm).all()
    assert codes(told) == codes(plain)
    assert not any("thickness" in code for code in codes(told))


@pytest.mark.slow
def test_a_rule_s_height_is_not_known_so_thickness_is_not_taken_out(tmp_path):
    scene = (*sheet_of_colour(BEAN, colour=BLUE), *moved(ruler_mm(), by_mm=(30, 40)))
    size = {"size_px": (1800, 2400), "focal_px": 1800}  # marks of a rule must show
    rendered = render_photo(scene, **size, light=0.1, background=(230, 228, 225))
    save(rendered, tmp_path / "r.jpg", grey="RGB")
    plain, told = (
        trace_picture(tmp_path / "r.jpg", PictureSource(file="r.jpg", thickness_mm=t)) for t in (None, 3.0)
    )
    (finding,) = [f for f in told.findings if f.code == "thickness-not-used"]
    assert finding.severity.value == "warn"
    assert "capture sheet" in finding.advice
    assert (told.pieces[0].ring_mm == plain.pieces[0].ring_mm).all()
    assert not any("thickness" in code for code in codes(plain))


@pytest.mark.slow
def test_a_piece_as_thick_as_the_lens_is_high_is_refused(tmp_path):
    by_phone(tmp_path / "p.jpg", slab(BEAN, 1.0))
    with pytest.raises(CaptureError, match="20 mm thick lay 60 mm below the lens"):
        trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg", thickness_mm=20.0, distance_mm=60.0))


def test_an_edge_that_crosses_itself_is_lowered_like_any_other():
    """A ragged edge beside a shadow may cross itself by a hair; the outline is what it goes around."""
    t = np.linspace(0.0, 2 * np.pi, 400, endpoint=False)
    ring = np.column_stack([30 * np.cos(t), 20 * np.sin(t)]) + 50.0
    ring[[100, 101, 102, 200, 201]] = ring[[102, 100, 101, 201, 200]]
    lens = Viewpoint(foot_mm=(60.0, 40.0), height_mm=400.0, told_by="test", supposed=False)
    lowered = Raised(thickness_mm=2.0, spread_mm=0.05, lens=lens).lowered_piece(ring)
    assert crossing(ring) is not None
    assert crossing(lowered) is None
    assert np.ptp(lowered, axis=0) == pytest.approx((60, 40), abs=0.7)


@pytest.mark.slow
def test_what_a_thickness_that_is_not_told_leaves_open_grows_with_the_distance_from_the_foot(tmp_path):
    """Similar triangles: t above the paper, r from the foot of a lens h high, is seen r t / h further out."""
    t = np.linspace(0.0, 2 * np.pi, 300, endpoint=False)
    ring = np.column_stack([50 * np.cos(t), 50 * np.sin(t)]) + [60.0, 40.0]
    lens = Viewpoint(foot_mm=(60.0, 40.0), height_mm=400.0, told_by="test", supposed=False)
    above = Raised(thickness_mm=0.0, spread_mm=0.2, lens=lens)
    assert above.uncertainty_mm(ring) == pytest.approx(50 * 0.2 / 400)
    assert above.lowered_piece(ring) is ring
    by_phone(tmp_path / "p.jpg", slab(BEAN, 0.3))
    (thin,) = trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg", thickness_mm=0.0)).pieces
    (told,) = trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg", thickness_mm=0.3)).pieces
    off = missed_mm(thin.ring_mm, BEAN)
    assert told.edge_mm < thin.edge_mm
    assert off < 3 * thin.edge_mm


@pytest.mark.slow
def test_a_height_that_is_only_supposed_leaves_more_open(tmp_path):
    """A lens that is a quarter further away than supposed leaves a quarter of what a thickness was corrected for."""
    by_phone(tmp_path / "p.jpg", slab(BEAN, 1.5))

    def edge_mm(**spec):
        (piece,) = trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg", **spec)).pieces
        return piece.edge_mm

    sure = edge_mm(thickness_mm=1.5, distance_mm=400.0)
    assert edge_mm(thickness_mm=1.5) ** 2 - sure**2 == pytest.approx((53 * 1.5 * 0.25 / 400) ** 2, rel=0.5)


@pytest.mark.slow
@pytest.mark.parametrize("thick_mm", [0.0, 0.3, 0.6])
def test_what_templates_are_cut_from_is_taken_for_card_where_no_thickness_is_told(tmp_path, thick_mm):
    """Paper and the card of boxes lie 0.3 mm off half way between them: 0.04 mm at 53 mm from the foot of a lens 400 mm away."""
    by_phone(tmp_path / "p.jpg", slab(BEAN, thick_mm) if thick_mm else sheet_of_colour(BEAN, colour=BLUE))
    seen = trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg"))
    (told,) = trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg", thickness_mm=thick_mm)).pieces
    (piece,) = seen.pieces
    assert "thickness-not-told" in codes(seen)
    assert np.ptp(piece.ring_mm[:, 0]) - np.ptp(told.ring_mm[:, 0]) == pytest.approx(
        124 * (thick_mm - 0.3) / 400, abs=0.02
    )
    assert missed_mm(piece.ring_mm, BEAN) < 3 * piece.edge_mm


@pytest.mark.parametrize("way", [1, -1])
def test_an_edge_that_faces_the_foot_is_less_sure_the_thicker_the_piece(way):
    """By hand: of four equal sides one faces the foot, 50 mm away, so its cut edge is seen 50 t / h wide."""
    square = np.array([[50.0, -10], [70, -10], [70, 10], [50, 10]])[::way]
    lens = Viewpoint(foot_mm=(0.0, 0.0), height_mm=400.0, told_by="test", supposed=False)
    wide = 50 * 3.0 / 400
    assert Raised(thickness_mm=3.0, spread_mm=0.0, lens=lens).uncertainty_mm(square) == pytest.approx(
        np.sqrt(wide**2 / 3 / 4)
    )
    around = replace(lens, foot_mm=(60.0, 0.0))
    assert Raised(thickness_mm=3.0, spread_mm=0.0, lens=around).uncertainty_mm(square) == 0.0
