"""The workshop page, read back by a PDF library that nobody here wrote."""

import io
from dataclasses import replace

import pytest
from made_demos import made_demo

from cradle.drawing.views import holder_views
from cradle.project.printer import Paper
from cradle.report.summary import summary_of
from cradle.report.workshop import workshop_pdf

pypdf = pytest.importorskip("pypdf")


PAPER = {"A4": (210, 297), "Letter": (215.9, 279.4)}
"""ISO 216; 8.5 by 11 in (common practice, no source)."""


def workshop_of(made):
    return workshop_pdf(made, holder_views(made.holder, made.things))


def text_of(data, *, paper="A4"):
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert len(reader.pages) <= 2
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
    assert any(v in text for v in ("Print it", "Print test pieces first", "Do not print"))
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


def test_a_wide_holder_s_drawing_has_a_page_of_its_own_at_true_size():
    made = made_demo("pair")
    text = text_of(workshop_of(made))
    assert "small ocarina and ocarina" in text
    for row in summary_of(made)["inspection_dimensions"]:
        assert f"{row['length_mm']:.2f}" in text
    assert "Plan and cuts, scale 1:1" in text


def test_hundreds_of_readings_and_long_cautions_still_find_room():
    made = made_demo("ocarina")
    many = tuple(replace(made.inspection[0], name=f"pocket width at section number {k}") for k in range(400))
    cautions = ("Keep fingers and eyes away from what is sharp or hot, always. " * 3,) * 6
    text = text_of(workshop_of(replace(made, inspection=many, cautions=cautions)))
    assert "of 400; all are in fit-report.html" in text
    assert "Take care" in text
    assert text.count("always.") == 18


@pytest.mark.parametrize("count", [3, 12, 20, 26, 60])
def test_every_caution_is_on_the_page_or_counted_there(count):
    made = made_demo("ocarina")
    cautions = tuple(
        f"Caution number{k}: keep fingers, hair, clothes and cables away from whatever turns, cuts, falls or gets"
        " hot while the holder is printed, drilled, fitted or cleaned."
        for k in range(count)
    )
    text = text_of(workshop_of(replace(made, cautions=cautions)))
    shown = sum(f"number{k}:" in text for k in range(count))
    assert text.count("or cleaned.") == shown  # each shown one to its end
    assert shown == count or f"{count - shown} more: see fit-report.html" in text
    assert shown >= min(count, 9)


def test_letters_the_typeface_lacks_do_not_stop_the_page():
    made = made_demo("ocarina")
    project = replace(made.project, thing=replace(made.project.thing, name="ocarina 笛 α"))
    own = replace(made.own, model=replace(made.own.model, project=project))
    assert "ocarina ? ?" in text_of(workshop_of(replace(made, project=project, things=(own,))))
