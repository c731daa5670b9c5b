"""Outlines read once: traced anew when their picture or its keys change, and not when a reading does."""

import os
import shutil
from dataclasses import replace

import numpy as np
import pytest
from made_demos import DEMOS

from cradle.capture import tracing
from cradle.capture.outline_reader import read_outline
from cradle.errors import CaptureError, CradleError
from cradle.page import kept_outlines
from cradle.page.jobs import Job, Task, Watch
from cradle.page.kept_outlines import KeptOutlines
from cradle.page.trace_job import Tracer
from cradle.placing.to_place import ToPlace
from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, Form, MeasuredSource, SectionSpec
from cradle.sections.profiles import Profiles

PICTURE = SectionSpec(name="low", height_mm=2.0, source=PictureSource(file="low.jpg"))


@pytest.fixture
def read(tmp_path, monkeypatch):
    """Reads from a folder with a picture and a drawing that names no unit; the sections really read are in ``seen``."""
    shutil.copy(DEMOS / "ocarina" / "pictures" / "low.jpg", tmp_path / "low.jpg")
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 30"><path d="M0 0H40V30H0Z"/></svg>'
    )
    one_s, seen, source = KeptOutlines(), [], kept_outlines.source_outline

    def counted(spec, **where):
        seen.append(spec.name)
        return source(spec, **where)

    monkeypatch.setattr(kept_outlines, "source_outline", counted)

    def one(spec):
        return one_s.read(spec, folder=tmp_path)

    one.seen, one.folder = seen, tmp_path
    return one


@pytest.mark.slow
def test_readings_and_heights_do_not_have_a_picture_traced_again(read):
    for changed in ({}, {"height_mm": 3.0}, {"width_mm": 28.5}, {"width_mm": 28.5, "depth_mm": 21.0}):
        spec = replace(PICTURE, **changed)
        known, plainly = read(spec), read_outline(spec, folder=read.folder)
        assert np.array_equal(known.points_mm, plainly.points_mm)
        assert known.findings == plainly.findings  # as the readings leave them
    assert read.seen == ["low"]


@pytest.mark.slow
def test_a_picture_is_traced_again_when_its_keys_or_its_file_change(read):
    read(PICTURE)
    read(replace(PICTURE, source=replace(PICTURE.source, dpi=200.0)))
    assert len(read.seen) == 2
    os.utime(read.folder / "low.jpg", ns=(1, 1))
    read(PICTURE)
    assert len(read.seen) == 3


def test_a_drawing_s_unit_is_doubted_until_there_is_a_reading(read):
    spec = SectionSpec(name="a", height_mm=1.0, source=DrawingSource(path="a.svg"))
    typed = [spec, replace(spec, width_mm=40.0), spec, replace(spec, depth_mm=30.0)]
    doubted = [[f.code for f in read(s).findings] for s in typed]
    assert doubted == [["unit-unknown"], [], ["unit-unknown"], []]
    assert doubted == [[f.code for f in read_outline(s, folder=read.folder).findings] for s in typed]
    assert read.seen == ["a"]


def test_what_cannot_be_read_is_told_each_time_without_trying_again(read):
    spec = replace(PICTURE, source=PictureSource(file="none.jpg"))
    told = []
    for _ in range(3):
        with pytest.raises(CradleError) as refused:
            read(spec)
        told.append(str(refused.value))
    assert len(set(told)) == 1
    assert read.seen == ["low"]


@pytest.mark.slow
def test_a_picture_that_is_looked_at_and_used_is_traced_once(read):
    traced = []

    def counted(path, spec):
        traced.append(spec.file)
        return tracing.trace_picture(path, spec)

    own = KeptOutlines(counted)
    own.read(PICTURE, folder=read.folder)
    asked = {"path": "low.jpg", "picture": {"file": "low.jpg"}}
    job = Job(task=Task.TRACE, text="", file=read.folder / "holder.toml", folder=read.folder, given=asked)
    told = Tracer(own).answer(job, Watch(step=lambda name: None, part=lambda data: None))
    assert [piece["picked"] for piece in told["pieces"]] == [True]
    assert traced == ["low.jpg"]


def test_what_the_last_two_tracings_gave_is_kept_errors_too(tmp_path):
    traced = []

    def trace(path, spec):
        traced.append(spec.mm_per_px)
        if spec.mm_per_px is None:
            raise CaptureError("no scale was found", where=spec.file)
        return spec.mm_per_px

    own = KeptOutlines(trace)
    bare = PictureSource(file="a.jpg")
    for _ in range(2):
        with pytest.raises(CaptureError, match="no scale was found"):
            own.traced(tmp_path / "a.jpg", bare)
        assert own.traced(tmp_path / "a.jpg", replace(bare, mm_per_px=0.1)) == 0.1
    assert traced == [None, 0.1]
    for size in (0.2, 0.1, 0.3, 0.1):
        assert own.traced(tmp_path / "a.jpg", replace(bare, mm_per_px=size)) == size
    assert traced == [None, 0.1, 0.2, 0.3, 0.1]


@pytest.mark.slow
def test_sections_are_placed_anew_when_a_reading_changes_and_not_for_the_same(read, monkeypatch):
    placings, place = [], kept_outlines.place_sections

    def counted(given):
        placings.append(len(given.outlines))
        return place(given)

    monkeypatch.setattr(kept_outlines, "place_sections", counted)
    own = KeptOutlines()
    high = SectionSpec(
        name="high",
        height_mm=20.0,
        source=MeasuredSource(form=Form.ELLIPSE, width_mm=40.0, depth_mm=30.0),
    )

    def placed(*specs, profiles=None):
        outlines = tuple(own.read(spec, folder=read.folder) for spec in specs)
        return own.placed(ToPlace(outlines=outlines, specs=specs, profiles=profiles or Profiles()))

    first = placed(PICTURE, high)
    assert placed(PICTURE, replace(high)) is first
    assert len(placings) == 1
    moved = placed(PICTURE, replace(high, height_mm=21.0))
    assert moved.sections[1].height_mm == 21.0
    assert placed(replace(PICTURE, width_mm=28.5), high).sections[0].scale != first.sections[0].scale
    left = Profiles(left=np.array([[0.0, -14.0], [30.0, -21.0]]))
    assert placed(PICTURE, high, profiles=left) is not first
    assert len(placings) == 4
