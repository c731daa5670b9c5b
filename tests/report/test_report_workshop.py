"""The workshop pages, read back by a PDF library that nobody here wrote."""

import io
import re
from dataclasses import replace

import numpy as np
import pytest
from made_demos import made_demo

from cradle.drawing.holder_views import holder_views
from cradle.finding import Finding, Severity
from cradle.project.printer import Paper
from cradle.report.recommendation import recommendation
from cradle.report.summary import summary_of
from cradle.report.workshop import workshop_pdf

pypdf = pytest.importorskip("pypdf")


PAPER = {"A4": (210, 297), "Letter": (215.9, 279.4)}
"""ISO 216; 8.5 by 11 in (common practice, no source)."""


def workshop_of(made):
    return workshop_pdf(made, holder_views(made.holder, made.things))


def text_of(data, *, paper="A4"):
    reader = pypdf.PdfReader(io.BytesIO(data))
    for page in reader.pages:
        size = [float(v) * 25.4 / 72 for v in (page.mediabox.width, page.mediabox.height)]
        assert size == pytest.approx(PAPER[paper], abs=0.01)
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("name", ["ocarina", "nozzle"])
def test_the_page_holds_the_verdict_and_every_reading(name):
    made = made_demo(name)
    data = workshop_of(made)
    assert data == workshop_of(made)
    text = text_of(data)
    assert made.project.thing.name in text
    assert any(
        v in text for v in ("Print it", "Measure more first", "Print test pieces first", "Do not print")
    )
    for row in summary_of(made)["inspection_dimensions"]:
        assert f"{row['length_mm']:.2f}" in text
    assert "cut B–B, from the right" in text
    assert "scale 1:1" in text or "scale 1:2" in text


def test_on_letter_paper_the_page_holds_as_much():
    made = made_demo("nozzle")
    made = replace(
        made, project=replace(made.project, printer=replace(made.project.printer, paper=Paper.LETTER))
    )
    text = text_of(workshop_of(made), paper="Letter")
    for row in summary_of(made)["inspection_dimensions"]:
        assert f"{row['length_mm']:.2f}" in text
    assert "Take care" in text


def test_a_wide_holder_s_drawing_has_a_page_of_its_own():
    made = made_demo("pair")
    text = text_of(workshop_of(made))
    assert "small ocarina and ocarina" in text
    for row in summary_of(made)["inspection_dimensions"]:
        assert f"{row['length_mm']:.2f}" in text
    assert "Plan and cuts, scale 1:1" in text or "Plan and cuts, scale 1:2" in text
    for thing in made.things:  # whose pocket is measured at which height
        assert re.search(rf"\d\d\.\d\d {thing.label}", text)


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("count", "name"), [(2, "{} of my grandfather, {}" * 3), (6, "{} of my grandfather {}")]
)
def test_names_take_no_room_from_a_row_s_drawing(count, name):
    """Names beside the heights made it a tenth as large, or left it out."""
    made = made_demo("pair")
    things = [replace(made.things[k % 2], label=name.format(*f"thing {k}".split() * 3)) for k in range(count)]
    scales = []
    for labels in ([str(k) for k in range(count)], [thing.label for thing in things]):
        named = [replace(thing, label=label) for thing, label in zip(things, labels, strict=True)]
        text = text_of(workshop_pdf(made, holder_views(made.holder, named)))
        scales.append(re.findall(r"scale \d:\d", text))
    assert scales[0] == scales[1] != []


def test_hundreds_of_readings_and_long_cautions_all_stand_on_as_many_pages_as_they_take():
    made = made_demo("ocarina")
    many = tuple(
        replace(made.inspection[0], name=f"pocket width at level number{k:03}", length_mm=100.0 + k)
        for k in range(400)
    )
    cautions = ("Keep fingers and eyes away from what is sharp or hot, always. " * 3,) * 6
    text = text_of(workshop_of(replace(made, inspection=many, cautions=cautions)))
    assert all(f"number{k:03}" in text and f"{100 + k}.00" in text for k in range(400))
    assert "Take care" in text
    assert text.count("always.") == 18


@pytest.mark.slow
@pytest.mark.parametrize("count", [3, 26, 60, 200])
def test_every_caution_is_on_the_pages_to_its_end(count):
    made = made_demo("ocarina")
    cautions = tuple(
        f"Caution number{k}: keep fingers, hair, clothes and cables away from whatever turns, cuts, falls or gets"
        " hot while the holder is printed, drilled, fitted or cleaned."
        for k in range(count)
    )
    text = text_of(workshop_of(replace(made, cautions=cautions)))
    assert all(f"number{k}:" in text for k in range(count))
    assert text.count("or cleaned.") == count


@pytest.mark.parametrize("count", [1, 12, 90])
def test_every_doubt_stands_on_the_pages_with_its_place_and_what_helps(count):
    made = made_demo("ocarina")
    findings = tuple(
        Finding(
            code="few-points",
            severity=Severity.WARN,
            where=f'section "level{k}"',
            message=f"doubt{k} is told to its very end, with all that was found, in as many words as it takes",
            advice=f"remedy{k} comes after it",
        )
        for k in range(count)
    )
    text = text_of(workshop_of(replace(made, findings=findings)))
    assert "chance of fit" in text
    for k in range(count):
        assert f'section "level{k}": Doubt{k} is told to its very end' in text
        assert f"as it takes. Remedy{k} comes after it." in text
    for step in recommendation(replace(made, findings=findings)).actions:
        assert " ".join(step.split()) in text


@pytest.mark.parametrize("name", ["ocarina", "nozzle", "pair"])
def test_every_cut_that_the_plan_marks_is_drawn(name):
    made = made_demo(name)
    views = holder_views(made.holder, made.things)
    text = text_of(workshop_pdf(made, views))
    for view in views:
        assert text.count(view.title) == 1
    for plane in views[0].planes:
        assert f"cut {plane.letter}–{plane.letter}" in text


def letter_sizes(data):
    """Sizes of all letters on the pages, points, and what is written in them."""
    found = []
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        page.extract_text(
            visitor_text=lambda text, own, at, _font, size: found.append(
                (size * float(np.hypot(*(np.reshape(at[:2], (1, 2)) @ np.reshape(own[:4], (2, 2)))[0])), text)
            )
        )
    return [(size, text.strip()) for size, text in found if text.strip()]


@pytest.mark.parametrize("name", ["ocarina", "pair"])
def test_no_letters_are_smaller_than_seven_points(name):
    # seven points are the least for continuous reading (common practice, no source)
    made = made_demo(name)
    sizes = letter_sizes(workshop_of(made))
    assert len(sizes) > 50
    assert min(size for size, _ in sizes) >= 7.0


@pytest.mark.parametrize("name", ["ocarina", "pair"])
def test_the_readings_names_are_all_of_one_size(name):
    made = made_demo(name)
    names = {row.name for row in made.inspection}
    sizes = {
        round(size, 2)
        for size, text in letter_sizes(workshop_of(made))
        if len(text) > 5 and any(name.startswith(text) for name in names)
    }
    assert len(sizes) == 1


def test_letters_the_typeface_lacks_do_not_stop_the_page():
    made = made_demo("ocarina")
    project = replace(made.project, thing=replace(made.project.thing, name="ocarina 笛 α"))
    own = replace(made.own, model=replace(made.own.model, project=project))
    assert "ocarina ? ?" in text_of(workshop_of(replace(made, project=project, things=(own,))))
