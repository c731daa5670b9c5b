"""A groove that winds around the thing: a pocket that spans it takes the thing in where one that follows it does not."""

from dataclasses import replace

import numpy as np
import pytest

from cradle.geometry.region_measures import distances
from cradle.pipeline import foreseen, model_row
from cradle.pipeline.modelling import model_thing
from cradle.project.reader import project_from_text
from cradle.project.section import Hollows
from cradle.sections.hollows import hollows_of

HEIGHTS = (2.0, 21.0, 40.0)
WINDS_DEG_PER_MM = 2.0
DEEP_MM = 6.0


def true_outline(height, *, count=360):
    """A round of 60 mm with a groove that winds around it."""
    t = np.arange(count) * 2 * np.pi / count
    away = np.angle(np.exp(1j * (t - np.radians(WINDS_DEG_PER_MM * height))))
    radius = 30.0 - DEEP_MM * np.exp(-((away / 0.12) ** 2))
    return np.column_stack([radius * np.cos(t), radius * np.sin(t)])


@pytest.fixture
def grooved(tmp_path):
    """Its project, drawn in one frame."""
    lines = ['[object]\nname = "grooved"\nhazards = []\n[loft]\nalign = "drawing"\n']
    for number, height in enumerate(HEIGHTS):
        np.savetxt(tmp_path / f"{number}.csv", true_outline(height), delimiter=",", fmt="%.4f")
        lines.append(f'[[section]]\nname = "s{number}"\nheight = {height}\noutline = "{number}.csv"\n')
    lines.append("[block]\nheight = 38\n")
    return project_from_text("".join(lines), file=tmp_path / "holder.toml")


def followed(project):
    return replace(project, loft=replace(project.loft, hollows=Hollows.FOLLOWED))


def reaches_out_mm(model):
    """How far the true thing reaches out of the body half way between the sections."""
    heights = np.array([11.5, 30.5])
    levels = model.body.levels_at(heights)
    return max(
        float(distances(true_outline(height), level).max())
        for height, level in zip(heights, levels, strict=True)
    )


def test_what_winds_between_the_sections_hardly_leaves_a_body_that_spans_it(grooved):
    spans, follows = model_thing(grooved), model_thing(followed(grooved))
    # the chord across the groove's mouth lies inside the round by the sagitta, w² / 8 r (any geometry text)
    (mouth,) = {round(hollow.width_mm, 1) for hollow in hollows_of(true_outline(2.0), trace_mm=0.1)}
    assert reaches_out_mm(spans) < 1.05 * mouth**2 / 8 / 30
    assert reaches_out_mm(follows) > 0.5 * DEEP_MM  # a rib stands where the groove is not


def test_it_is_told_and_so_is_the_other_way(grooved):
    spans, follows = model_thing(grooved), model_thing(followed(grooved))
    (told,) = (finding for finding in spans.findings if finding.code == "hollows-spanned")
    assert 'hollows = "followed" under [loft]' in told.advice
    assert told.measured == pytest.approx(DEEP_MM, abs=1.5)
    assert not any(finding.code == "hollows-spanned" for finding in follows.findings)


@pytest.mark.slow
def test_where_hollows_are_followed_and_it_may_be_too_tight_spanning_them_is_advised(grooved):
    tight = replace(grooved, fit=replace(grooved.fit, clearance_mm=0.3))
    spans, follows = (
        " ".join(finding.advice for finding in foreseen(model_row(project)).findings)
        for project in (tight, followed(tight))
    )
    assert 'say hollows = "spanned" under [loft]' in follows
    assert '"spanned"' not in spans


def test_sections_are_followed_to_the_point_where_that_is_asked_for(grooved):
    model = model_thing(followed(grooved))
    for section, height in zip(model.sections, HEIGHTS, strict=True):
        assert np.abs(section.points_mm - true_outline(height)).max() < 1e-3


def test_of_a_thing_without_hollows_both_ways_are_the_same(grooved, tmp_path):
    for number, height in enumerate(HEIGHTS):
        t = np.arange(120) * 2 * np.pi / 120
        ring = (20 + height / 4) * np.column_stack([1.2 * np.cos(t), np.sin(t)])
        np.savetxt(tmp_path / f"{number}.csv", ring, delimiter=",", fmt="%.4f")
    spans, follows = model_thing(grooved), model_thing(followed(grooved))
    assert np.array_equal(spans.body.mesh.vertices_mm, follows.body.mesh.vertices_mm)
    assert np.array_equal(spans.learned.model.influences.mean_mm, follows.learned.model.influences.mean_mm)
