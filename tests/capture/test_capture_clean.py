"""Every ring of the corpus gets its verdict, however it is turned, mirrored or restarted."""

from pathlib import Path

import numpy as np
import pytest

from cradle.capture.clean import clean_outline
from cradle.errors import OutlineError
from cradle.geometry.region_measures import are_simple, crosses_seldom
from cradle.geometry.ring import signed_area, size
from cradle.names import point_words

CORPUS = Path(__file__).parents[1] / "corpus" / "outlines.txt"


def corpus():
    cases = []
    for line in CORPUS.read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            name, verdict, points = (part.strip() for part in line.split("|"))
            ring = np.array([[float(v) for v in pair.split(",")] for pair in points.split()])
            cases.append(pytest.param(verdict, ring, id=name.replace(" ", "-")))
    return cases


def quarter_turned(ring):
    return ring[:, ::-1] * [-1.0, 1.0]


def restarted(ring):
    closed = len(ring) > 1 and (ring[0] == ring[-1]).all()
    ring = np.roll(ring[:-1] if closed else ring, -1, axis=0)
    return np.concatenate([ring, ring[:1]]) if closed else ring


FORMS = {
    "as it is": lambda r: r,
    "quarter turned": quarter_turned,
    "mirrored": lambda r: r * [-1.0, 1.0],
    "restarted": restarted,
    "restarted twice": lambda r: restarted(restarted(r)),
    "backwards": lambda r: r[::-1],
    "backwards, mirrored, restarted": lambda r: restarted(r[::-1] * [1.0, -1.0]),
}


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("verdict", "ring"), corpus())
def test_corpus(verdict, ring, form):
    ring = FORMS[form](ring)
    if verdict.startswith("error: "):
        with pytest.raises(OutlineError) as caught:
            clean_outline(ring, source="nasty.csv")
        assert verdict.removeprefix("error: ") in str(caught.value)
        assert str(caught.value).startswith("nasty.csv: ")
        return
    outline = clean_outline(ring, source="nasty.csv")
    codes = {finding.code for finding in outline.findings}
    assert codes == set(verdict.split()[1:])
    assert signed_area(outline.points_mm) > 0
    assert are_simple([outline.points_mm])[0]
    assert not outline.points_mm.flags.writeable
    spikes = ring if "spikes-cut" not in codes else np.array([[0.0, 0.0], [40.0, 40.0]])
    assert size(outline.points_mm) == pytest.approx(size(spikes), abs=2e-4)


def test_corpus_is_not_empty():
    verdicts = [case.values[0] for case in corpus()]
    assert len(verdicts) > 25
    assert sum(v.startswith("error") for v in verdicts) > 10
    assert sum(v.startswith("ok") for v in verdicts) > 10


def test_the_crossing_is_told_where_it_is():
    with pytest.raises(OutlineError, match=r"at \(20\.00, 20\.00\)"):
        clean_outline([[0, 0], [40, 40], [40, 0], [0, 40]], source="a")


def knotted(knot, *, clockwise=False):
    """A circle of 30 mm whose line makes a small loop where it begins, outwards for a positive size."""
    angle = np.linspace(0.02, 2 * np.pi - 0.02, 400)
    circle = 30 * np.column_stack([np.cos(angle), np.sin(angle)])
    loop = [[30 + knot, 0.2], [30 + knot, -0.2]]
    ring = np.concatenate([circle, loop])  # comes from below, passes its own beginning, and turns back
    return ring[::-1] if clockwise else ring


@pytest.mark.parametrize("knot", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("clockwise", [False, True])
def test_small_knots_are_cut_off_and_told(knot, clockwise):
    ring = knotted(knot, clockwise=clockwise)
    assert not are_simple([ring])[0]
    outline = clean_outline(ring, source="a.csv")
    assert "knots-cut" in [finding.code for finding in outline.findings]
    assert are_simple([outline.points_mm])[0]
    # a circle: pi r^2, less what its chords cut off
    assert signed_area(outline.points_mm) == pytest.approx(np.pi * 30**2, rel=1e-3)


def test_a_large_loop_is_no_knot():
    eight = [[0, 0], [40, 0], [40, 40], [60, 40], [60, 30], [30, 30], [30, 40], [0, 40]]
    with pytest.raises(OutlineError, match="crosses"):
        clean_outline(eight, source="a")


def test_repairs_tell_their_place():
    outline = clean_outline(
        [[0, 0], [0, 40], [20, 40], [20, 90], [20, 40], [60, 40], [60, 0]], source="a.svg"
    )
    told = {finding.code: str(finding) for finding in outline.findings}
    assert "(20.00, 90.00)" in told["spikes-cut"]
    assert list(told) == ["spikes-cut"]  # that it ran clockwise changes nothing
    assert all(text.startswith("a.svg: ") for text in told.values())


def test_straight_points_go_only_when_they_are_needless():
    angle = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    circle = np.column_stack([30 * np.cos(angle), 30 * np.sin(angle)])
    outline = clean_outline(circle, source="a")
    assert len(outline.points_mm) == 20_000
    # 100 times finer: single points are straight within rounding, runs of them are not
    angle = np.linspace(0, np.pi / 50, 10_000)
    fine = np.concatenate([[[0.0, 0.0]], np.column_stack([30 * np.cos(angle), 30 * np.sin(angle)])])
    assert abs(signed_area(clean_outline(fine, source="a").points_mm)) == pytest.approx(
        signed_area(fine), rel=1e-7
    )


def test_an_open_half_keeps_its_ends_whichever_way_it_runs():
    half = np.array([[0.0, 0.0], [0.0, 0.0], [30.0, 5.0], [25.0, 40.0], [0.0, 45.0]])
    for points in (half, half[::-1]):
        outline = clean_outline(points, source="a", open_ends=True)
        assert outline.open_ends
        assert {tuple(outline.points_mm[0]), tuple(outline.points_mm[-1])} == {(0.0, 0.0), (0.0, 45.0)}
        assert len(outline.points_mm) == 4
        assert signed_area(outline.points_mm) > 0


def test_an_open_half_that_runs_along_its_mirror_line_keeps_the_line():
    half = np.array([[0.0, -10.0], [0.0, 0.0], [30.0, 5.0], [25.0, 40.0], [0.0, 45.0]])
    outline = clean_outline(half, source="a", open_ends=True)
    assert outline.points_mm[[0, -1], 0].tolist() == [0.0, 0.0]


@pytest.mark.parametrize("bad", [[[0, 0, 0], [1, 1, 1], [2, 0, 0]], [1, 2, 3], [["a", "b"]], []])
def test_what_is_no_list_of_points(bad):
    with pytest.raises(OutlineError):
        clean_outline(bad, source="a")


def test_a_ring_that_crosses_itself_more_often_than_a_hand_does_is_refused():
    # the star {401/200} crosses itself 401 * 199 times: each edge all that do not leave from its own ends
    turn = np.arange(401) * 2 * np.pi * 200 / 401
    star = 30 * np.column_stack([np.cos(turn), np.sin(turn)])
    assert not crosses_seldom(star, most=1000)
    with pytest.raises(OutlineError, match="crosses or touches itself"):
        clean_outline(star, source="a star")


def _saw(teeth, *, deep=40.0, wide=50.0):
    """Teeth as long as one likes, side by side, and a straight back."""
    x = np.linspace(0.0, wide, 2 * teeth + 1)
    y = np.where(np.arange(2 * teeth + 1) % 2, deep, 0.0)
    return np.column_stack([np.append(x, [wide, 0.0]), np.append(y, [-5.0, -5.0])])


def test_a_line_that_runs_to_and_fro_is_no_edge():
    fine = clean_outline(_saw(50), source="s.csv").points_mm
    assert 100 < len(fine) < 104
    with pytest.raises(
        OutlineError, match=r"^s\.csv: the line runs 200\.1 m to and fro in 50 x 45 mm, up to 5 m"
    ):
        clean_outline(_saw(2500), source="s.csv")


def egg(count):
    t = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([30 * np.cos(t), 20 * np.sin(t)]).round(2)


@pytest.mark.parametrize("count", [16, 40, 200])
@pytest.mark.parametrize(
    "slip", [lambda p: [-p[0], p[1]], lambda p: [p[0], -p[1]], lambda p: [-p[0], -2 * p[1]]]
)
def test_the_one_point_that_makes_an_outline_cross_itself_is_named(count, slip):
    points = egg(count)
    k = count // 7
    points[k] = slip(points[k])
    with pytest.raises(OutlineError, match="crosses or touches itself") as told:
        clean_outline(points, source="read off")
    assert f"without the point {point_words(points[k])} it would be one" in told.value.hint


def test_no_point_is_doubted_where_none_alone_makes_an_outline_cross_itself():
    figure_of_eight = egg(40)
    figure_of_eight[20:] *= [1, -1]
    figure_of_eight[20:] += [60.0, 0.0]
    for points in (figure_of_eight, [[0, 0], [40, 40], [40, 0], [0, 30]]):
        with pytest.raises(OutlineError, match="crosses or touches itself") as told:
            clean_outline(points, source="read off")
        assert told.value.hint == "draw it as one simple loop"
