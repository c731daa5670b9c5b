import os
import re
from pathlib import Path

import pytest
from written import with_values

from cradle.errors import ExportError, InputError
from cradle.project.block import BlockSpec
from cradle.project.convert import AUTO
from cradle.project.fit import FitSpec
from cradle.project.opening import OpeningKind
from cradle.project.picture import PICTURE_ENDINGS
from cradle.project.printer import PieceSpec, PrinterSpec
from cradle.project.project import tables
from cradle.project.reader import project_from_text, read_project
from cradle.project.section import DRAWING, DRAWING_ENDINGS, MeasuredSource
from cradle.project.side import Side
from cradle.project.template import project_template, start_project
from cradle.project.thing import Hazard
from cradle.project.view import ViewScale
from cradle.report.summary import summary_of


def test_the_new_project_reads_back(tmp_path):
    (file,) = start_project(tmp_path / "new" / "deep", name='my "odd" thing {é}')
    project = read_project(file)
    assert file == tmp_path / "new" / "deep" / "holder.toml"
    assert project.thing.name == 'my "odd" thing {é}'
    assert len(project.sections) == 3
    assert all(isinstance(section.source, MeasuredSource) for section in project.sections)
    assert [p.name for p in file.parent.iterdir()] == ["holder.toml"]


def test_the_new_project_states_the_defaults():
    project = project_from_text(project_template(name="x"), file=Path("holder.toml"))
    # a new project asks for what old ones do without
    assert project.fit == FitSpec(clearance_mm=AUTO, between_mm=AUTO)
    assert project.printer == PrinterSpec()
    assert project.test_pieces == PieceSpec()
    assert project.block == BlockSpec(height_mm=34.0)
    assert project.sections[0].height_mm < project.block.height_mm < project.sections[-1].height_mm


def test_the_new_project_names_every_key():
    parts, table = {}, ""
    for line in project_template(name="x").splitlines():
        header = re.match(r"(?:# )?\[+([a-z._]+)\]+", line)
        key = re.match(r"(?:# )?([a-z_]+) = ", line)
        if header:
            table = header[1]
        elif key:
            parts.setdefault(table, set()).add(key[1])
    parts["view"] |= set(DRAWING.keys)  # said of sections
    parts["view.picture"] = parts["section.picture"]
    for name, wanted in tables():
        assert set(wanted.keys) <= parts[name] | parts.get(f"{name}.measured", set()), name
    assert set(DRAWING.keys) <= parts["section"]


def test_what_is_commented_out_reads_too_once_it_is_let_in():
    text = project_template(name="x")
    opened, count = re.subn(r"(?m)^# ((?:[a-z_]+ = |\[).*)$", r"\1", text)
    assert count > 25
    opened = opened.replace("corner = 4.0                  # rectangle", "# corner = 4.0 # rectangle", 1)
    # one way of saying it is enough
    for key in (
        "point",
        "back",
        "back_file",
        "scale",
        "mm_per_px",
        "dpi",
        "from",
        "to",
        "apart",
    ):
        opened = re.sub(rf"(?m)^{key} = .*\n", "", opened, count=1)
    # keys of the section under [section.measured] belong above it
    project = project_from_text(opened, file=Path("holder.toml"))
    assert [section.name for section in project.sections] == ["low", "middle", "high", "top", "rim"]
    assert len(project.openings) == len(OpeningKind)
    assert project.thing.hazards == (Hazard.SHARP, Hazard.WET)
    assert project.side.right == "outlines/right.csv"
    (view,) = project.views
    assert (view.seen_from, view.scale, view.distance_mm) == (Side.FRONT, ViewScale.FREE, 1200.0)


def test_the_new_project_names_the_endings_of_drawings_and_pictures():
    text = project_template(name="x")
    drawing, picture = (
        re.search(rf'(?m)^# {key} = "[^"]*" *# (.*)$', text)[1] for key in ("outline", "file")
    )
    assert set(re.findall(r"\.[a-z]+", drawing.split(",")[0])) == set(DRAWING_ENDINGS)
    longer = {".jpeg", ".tiff"}  # of endings named in their short form
    assert set(re.findall(r"\.[a-z]+", picture)) == set(PICTURE_ENDINGS) - longer


def test_the_new_project_warns():
    text = project_template(name="x")
    for word in (
        "unplug",
        "sheath",
        "burns",
        "sharp blade",
        "hot",
        "softens",
        "food-safe",
        "children",
        "mains",
        "wall above people",
    ):
        assert word in re.sub(r"\n# ", " ", text)
    assert max(map(len, text.splitlines())) <= 110


def test_a_project_is_never_overwritten(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_text("mine")
    with pytest.raises(InputError, match=r"holder.toml: there is a project already; name another folder"):
        start_project(tmp_path, name="x")
    assert file.read_text() == "mine"


def test_of_two_that_start_at_once_only_one_does(tmp_path, monkeypatch):
    file, flush = tmp_path / "new" / "holder.toml", os.fsync

    def meanwhile(descriptor):
        file.write_text("another's")  # since it was looked whether there is one
        flush(descriptor)

    monkeypatch.setattr("cradle.files.writing.os.fsync", meanwhile)
    with pytest.raises(InputError, match="there is a project already"):
        start_project(file.parent, name="x")
    assert file.read_text() == "another's"
    assert [p.name for p in file.parent.iterdir()] == ["holder.toml"]


def test_a_dangling_link_is_not_overwritten_either(tmp_path):
    (tmp_path / "holder.toml").symlink_to(tmp_path / "gone.toml")
    with pytest.raises(InputError, match="there is a project already"):
        start_project(tmp_path, name="x")


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "a").write_text("")
    with pytest.raises(InputError, match="this is a file, not a folder"):
        start_project(tmp_path / "a", name="x")
    with pytest.raises(ExportError, match="is a file, not a folder") as caught:
        start_project(tmp_path / "a" / "b", name="x")
    assert caught.value.exit_code == 4


@pytest.mark.parametrize("name", ["", " ", "a\nb", "a\0b"])
def test_a_name_is_one_line(tmp_path, name):
    with pytest.raises(InputError, match="name: expected a name"):
        start_project(tmp_path, name=name)
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_leaves_nothing_behind(tmp_path, monkeypatch):
    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("cradle.files.writing.os.fsync", full)
    with pytest.raises(ExportError, match=r"the disk is full.*make room or name a folder you may write to"):
        start_project(tmp_path, name="x")
    assert list(tmp_path.iterdir()) == []


def test_the_new_project_can_be_made_as_it_stands():
    from cradle import pipeline
    from cradle.finding import Severity

    made = pipeline.make(project_from_text(project_template(name="x"), file=Path("holder.toml")))
    assert summary_of(made)["mesh_closed"] is True
    assert summary_of(made)["volume_cm3"] > 10
    # the good way is the default: the gap that the readings need, reached, and nothing to warn of
    assert made.own.clearance.least_mm < 1.4
    assert made.own.gap.least_mm >= made.own.clearance.least_mm - 0.005
    assert summary_of(made)["chance_of_fit"] == pytest.approx(0.95, abs=0.005)
    assert {finding.severity for finding in made.findings} <= {Severity.NOTE}


def test_one_even_gap_is_two_plain_values():
    from cradle import pipeline

    text = with_values(project_template(name="x"), {"fit.clearance": 0.35, "fit.between": 0})
    made = pipeline.make(project_from_text(text, file=Path("holder.toml")))
    asked = made.own.clearance
    assert (asked.least_mm, asked.greatest_mm) == (0.35, 0.35)
    assert made.own.gap.least_mm == pytest.approx(0.35, abs=0.02)


@pytest.mark.parametrize(("name", "instead"), [("lamp.toml", "lamp:"), ("lamp/holder.toml", "lamp:")])
def test_a_project_file_is_not_taken_for_the_name_of_its_folder(tmp_path, name, instead):
    with pytest.raises(InputError, match="the folder of a new project is wanted") as refused:
        start_project(tmp_path / name, name="x")
    assert f"such as {tmp_path / instead}" in refused.value.hint
    assert not list(tmp_path.iterdir())
    (tmp_path / "odd.toml").mkdir()
    assert start_project(tmp_path / "odd.toml", name="x") == [tmp_path / "odd.toml" / "holder.toml"]
