"""What is doubtful of a picture's scale is told as far as nothing else tells the thing's size: calipers, or the sections of a view."""

from __future__ import annotations

import pytest
from picture_scene import ellipse, moved, ruler_mm, sheet_of_colour
from render_pictures import render_scan, save
from things_painted import egg_beside_one_rule
from traced_grid import BLUE

from cradle.calibration.scale import FROM_TAG, OBLIQUE
from cradle.capture.by_readings import COARSE, judged_by_calipers
from cradle.capture.outline_reader import read_outline, read_view
from cradle.capture.tracing import trace_picture
from cradle.finding import Finding, Severity
from cradle.project.picture import PictureSource
from cradle.project.section import SectionSpec
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec
from cradle.rulers.bent_rule import BOWED
from cradle.scale.scale_comparison import RULERS_DISAGREE

SCENE = (
    *sheet_of_colour(ellipse(60, 40, centre=(70, 120)), colour=BLUE, shadow_mm=0),
    *moved(moved(ruler_mm(length_mm=110), by_mm=(-55, 20)), by_mm=(90, 60)),
)
SPEC = PictureSource(file="a.png")
ONE_WAY = "scale-one-way"


def severities(findings, code):
    return [f.severity for f in findings if f.code == code]


@pytest.mark.slow
def test_calipers_both_ways_settle_it_and_none_or_one_are_told(tmp_path):
    save(render_scan(SCENE, page_mm=(180.0, 180.0), dpi=100), tmp_path / "a.png", grey="RGB")

    def said(**readings):
        section = SectionSpec(name="a", height_mm=1.0, source=SPEC, **readings)
        findings = read_outline(section, folder=tmp_path).findings
        assert any(f.code == "picture-scale" for f in findings)
        return [f for f in findings if f.code == ONE_WAY]

    assert said(width_mm=60.0, depth_mm=40.0) == []
    (none,), (one,) = said(), said(depth_mm=40.0)
    assert none.severity is one.severity is Severity.NOTE
    assert "no caliper reading corrects it" in none.message
    assert "the depth alone does not check it" in one.message


@pytest.mark.slow
def test_what_a_camera_leaves_open_is_warned_of_where_nothing_else_tells_the_size(tmp_path):
    """A photograph beside one rule: a note of the picture alone, a warning without readings, nothing where sections check it."""
    seen, ring = egg_beside_one_rule()
    seen.save(tmp_path / "a.png")
    x, y = seen.px_from_mm(ring).mean(axis=0).tolist()
    source = PictureSource(file="a.png", point_px=(x, y))
    assert severities(trace_picture(tmp_path / "a.png", source).findings, ONE_WAY) == ["note"]
    section = SectionSpec(name="a", height_mm=1.0, source=source)
    assert severities(read_outline(section, folder=tmp_path).findings, ONE_WAY) == ["warn"]
    view = ViewSpec(seen_from=Side.FRONT, source=source, scale=ViewScale.GIVEN)
    of_side = read_view(view, folder=tmp_path).findings
    assert severities(of_side, ONE_WAY) == []
    assert severities(of_side, "picture-scale") == ["note"]


@pytest.mark.parametrize("have", [{}, {"width_mm": 50.0}])
def test_what_helps_a_picture_without_a_ruler_is_no_second_one(have):
    """Beside a bank card a second ruler was to be laid across the first."""
    cure = "use the capture sheet, or lay two rulers along two sides of the piece, or measure both ways with calipers"
    left_open = Finding(code=ONE_WAY, severity=Severity.NOTE, message="it leaned", advice=cure, measured=1.0)
    (told,) = judged_by_calipers([left_open], **{"width_mm": None, "depth_mm": None, **have})
    assert told.severity is Severity.WARN
    assert told.advice == cure


@pytest.mark.parametrize(
    ("code", "left"),
    [(RULERS_DISAGREE, "note"), ("card-faint", "note"), (OBLIQUE, "warn"), (BOWED, "warn"), (COARSE, "warn")],
)
def test_a_scale_in_doubt_is_no_warning_where_width_and_depth_correct_it(code, left):
    """Both ways are scaled to the readings whatever the rulers say; edges seen aslant or too coarsely stay as they are."""
    doubt = Finding(code=code, severity=Severity.WARN, message="they disagree", advice="use calipers")
    half = judged_by_calipers([doubt], width_mm=50.0, depth_mm=None)
    assert severities(half, code) == ["warn"]
    (told,) = judged_by_calipers([doubt], width_mm=50.0, depth_mm=30.0)
    assert told.severity == left
    assert ("width and depth correct it" in told.message) is (left == "note") is (told.advice == "")


@pytest.mark.parametrize("off_mm", [0.2, 0.7, 2.0])
@pytest.mark.parametrize("readings", [(None, None), (50.0, None), (None, 30.0), (50.0, 30.0)])
def test_what_calipers_leave_open_is_a_warning_where_a_fit_would_feel_it(off_mm, readings):
    """Half a percent of a piece of 40 mm is less than any clearance; of one of 200 mm it is not."""
    note = Finding(
        code="scale-one-way", severity=Severity.NOTE, message="one way", measured=off_mm, limit=0.7
    )
    told = judged_by_calipers([note], width_mm=readings[0], depth_mm=readings[1])
    expected = [] if None not in readings else [Severity.WARN if off_mm >= 0.7 else Severity.NOTE]
    assert [f.severity for f in told] == expected


@pytest.mark.parametrize(
    ("width", "depth", "left"),
    [
        (None, None, (Severity.WARN, "confirms it")),
        (50.0, None, (Severity.NOTE, "the width corrects it, but for the other direction")),
        (None, 30.0, (Severity.NOTE, "the depth corrects it, but for the other direction")),
        (50.0, 30.0, None),
    ],
)
def test_a_tag_that_calipers_correct_is_no_longer_doubted(width, depth, left):
    """Sections are scaled to their readings: it was told all the same that nothing confirms the tag."""
    alone = Finding(code=FROM_TAG, severity=Severity.WARN, message="nothing in the picture confirms it")
    judged = judged_by_calipers([alone], width_mm=width, depth_mm=depth)
    assert [(f.severity, left is not None and left[1] in f.message) for f in judged] == (
        [(left[0], True)] if left else []
    )
