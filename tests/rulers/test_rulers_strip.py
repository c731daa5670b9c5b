"""The strip along a rule, on rows of marks whose lie is known."""

import numpy as np
import pytest
from painted import INK, OAK, Table, box, photographed, scanned
from things_painted import placed, rule_on

from cradle.calibration.calibration import mm_per_px
from cradle.pictures.image import read_picture
from cradle.pictures.regions import find_things
from cradle.rulers.marked_picture import MarkedPicture
from cradle.rulers.ruler import find_rulers
from cradle.rulers.ruler_find import MarkLine
from cradle.rulers.ruler_strip import fine_strip, leans, lie_of, skew_of

WAVE = 12.0


def marks(*, across=0.0, slope=0.0, skew=0.0, drawn_together=0.0):
    """Dark marks every 12 px, 30 px long, about a line through the middle of the picture.

    ``drawn_together`` is by how much the skew grows with each px along, as where a view leans across a rule.
    """
    y, x = np.mgrid[0:400, 0:900].astype(float)
    off = y - 200 - across - slope * (x - 450)
    along = (x - 450 - skew * (y - 200)) / (1 + drawn_together * (y - 200))
    wave = 0.5 + 0.5 * np.cos(2 * np.pi * along / WAVE)
    inside = 1 / (1 + np.exp((np.abs(off) - 15) / 1.0))
    return np.rint(220 - 150 * wave**3 * inside).astype(np.uint8)


def strip(grey):
    line = MarkLine(
        centre_px=(450.0, 200.0),
        ahead=(1.0, 0.0),
        reach_px=(-300.0, 300.0),
        wave_px=WAVE,
        wide_px=20.0,
        strength=1.0,
    )
    return fine_strip(grey, line, skew=0.0)


@pytest.mark.parametrize("across", [0.0, 17.0, -30.0])
@pytest.mark.parametrize("slope", [0.0, 0.02, -0.035])
def test_where_the_marks_lie_is_found_from_their_wave(across, slope):
    found = lie_of(strip(marks(across=across, slope=slope)), WAVE)
    assert found[0] == pytest.approx(across, abs=1.0)
    assert found[1] == pytest.approx(slope, abs=2e-3)


@pytest.mark.parametrize("cut", [0.0, 0.25, 0.6])
def test_of_the_two_rows_of_a_narrow_rule_one_is_followed(cut):
    """The other edge's marks lie 96 px below, eight spacings, and run out of the picture at one side."""
    both = marks(across=-40.0, slope=0.035)
    lower = marks(across=56.0, slope=0.035)
    kept = round((1 - cut) * 900)
    both[:, :kept] = np.minimum(both, lower)[:, :kept]
    offset, slope = lie_of(strip(both), WAVE)
    assert offset == pytest.approx(-40.0, abs=1.5), "the nearer one"
    assert slope == pytest.approx(0.035, abs=2e-3)


def test_the_strip_is_the_picture_itself():
    grey = marks()
    one = strip(grey)
    for j, i in ((40, 100), (90, 333), (120, 500)):
        x, y = one.origin + one.ahead * (one.start + i * one.step) + one.across * (one.low + j * one.rise)
        if 2 <= x < 897 and 2 <= y < 397:
            x0, y0 = int(x), int(y)
            near = grey[y0 : y0 + 2, x0 : x0 + 2].astype(float)
            bilinear = (near * np.outer([1 - y + y0, y - y0], [1 - x + x0, x - x0])).sum()
            assert one.levels[j, i] == pytest.approx(bilinear, abs=12)
    assert one.step <= WAVE / 8
    assert np.abs(one.flat.mean()) < 5


def test_a_strip_of_noise_has_no_lie_to_speak_of():
    rng = np.random.default_rng(3)
    offset, slope = lie_of(strip(rng.integers(0, 255, (400, 900), dtype=np.uint8)), WAVE)
    assert np.isfinite([offset, slope]).all()


@pytest.mark.slow
def test_marks_that_an_oblique_view_skews_keep_their_lengths(tmp_path):
    """A rule aslant before a camera that leans by 18 degrees: its marks stand 8 degrees off its edge, and are read."""
    table = Table(220, 210, 8, OAK, 5)
    rule_on(table, at_mm=(60, 170), turn_deg=-62, length_mm=100)
    seen = photographed(table, size_px=(1500, 1400), distance_mm=260, tilt_deg=18, azimuth_deg=250)
    edge, end, mark = seen.px_from_mm(placed([[0, 0], [100, 0], [0, -7.5]], at_mm=(60, 170), turn_deg=-62))
    along, down = (end - edge) / np.hypot(*(end - edge)), (mark - edge) / np.hypot(*(mark - edge))
    assert abs(np.degrees(np.arcsin(along @ down))) > 5.0
    picture = read_picture(seen.save(tmp_path / "a.png"))
    (scale,) = find_rulers(MarkedPicture(picture), find_things(picture)).scales
    assert scale.told == "ruler, 101 marks of 1 mm"
    assert scale.ends_px[0] == pytest.approx(np.array([edge, end]), abs=25.0)


@pytest.mark.parametrize("skew", [-0.25, -0.1, 0.0, 0.005, 0.02, 0.15])
def test_how_far_marks_are_skewed(skew):
    """By 0.02 the far end of an inch's mark, 10 spacings long, stands a fifth of a spacing aside."""
    found = skew_of(strip(marks(skew=skew)), WAVE)
    assert found == (pytest.approx(skew, abs=0.01) if abs(skew) > 0.01 else 0.0)


@pytest.mark.parametrize("drawn_together", [-2.5e-4, 0.0, 4e-4])
def test_marks_that_draw_together_are_followed_each(drawn_together):
    one = strip(marks(skew=0.02, drawn_together=drawn_together))
    at = np.array([100.0, 300.0, 500.0])
    px = one.start + at * one.step
    skew = 0.02 + drawn_together * px if drawn_together else np.zeros(3)
    assert leans(one, WAVE, at) == pytest.approx(skew * one.rise / one.step, abs=0.02)


def on_granite(*, at_mm, turn_deg, grain=18.0):
    """A narrow tape with marks in mm at both edges, on grey stone whose grains are of the marks' size."""
    table = Table(190, 120, 12, (122, 120, 116), 11)
    grains = np.random.default_rng(7).normal(0, 1, [n // 4 + 1 for n in table.levels.shape[:2]])
    fine = np.kron(grains, np.ones((4, 4)))[: table.levels.shape[0], : table.levels.shape[1]]
    table.levels += (2 * grain * fine[..., None]).astype(np.float32)
    rule_on(
        table,
        at_mm=at_mm,
        turn_deg=turn_deg,
        length_mm=140,
        depth_mm=16,
        body=(238, 200, 40),
        ink=(15, 15, 15),
    )
    lower = [
        box(k - 0.1, -16, k + 0.1, -16 + (5.6 if k % 10 == 0 else 4.0 if k % 5 == 0 else 2.6))
        for k in range(141)
    ]
    table.paint(*(placed(each, at_mm=at_mm, turn_deg=turn_deg) for each in lower), colour=INK)
    return table


@pytest.mark.slow
@pytest.mark.parametrize("dpi", [220, pytest.param(330, marks=pytest.mark.further)])
@pytest.mark.parametrize(
    ("at_mm", "turn_deg"),
    [
        ((25, 118), -2.0),
        ((20, 14), 3.0),
        pytest.param((20, 14), -4.0, marks=pytest.mark.further),
        pytest.param((25, 70), -9.0, marks=pytest.mark.further),
    ],
)
def test_a_narrow_rule_on_stone_is_read_where_the_pictures_edge_cuts_it_too(tmp_path, at_mm, turn_deg, dpi):
    """Grains beyond the edge look like marks that go on; marks that the picture cuts have no length."""
    table = on_granite(at_mm=at_mm, turn_deg=turn_deg)
    seen = scanned(table, dpi=dpi, tag=False, blur_mm=0.1)
    picture = read_picture(seen.save(tmp_path / "a.png"))
    scales = find_rulers(MarkedPicture(picture), find_things(picture)).scales
    assert scales
    assert scales[0].told.endswith("marks of 1 mm")
    assert float(scales[0].known_mm[0]) >= 60.0
    assert mm_per_px(scales[0].calibration, at_px=(0, 0)) == pytest.approx((25.4 / dpi,) * 2, rel=1e-3)
