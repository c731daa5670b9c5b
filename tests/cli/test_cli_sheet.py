from __future__ import annotations

import json

import pytest
from pypdf import PdfReader

from cradle.capture_sheet.sheet import SHEETS, sheet_pdf
from cradle.cli.main import main


@pytest.mark.parametrize(("asked", "name"), [((), "A4"), (("--paper", "letter"), "Letter")])
def test_the_sheet_is_written_under_its_size(asked, name, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", *asked]) == 0
    file = tmp_path / f"capture-sheet-{name.lower()}.pdf"
    assert file.read_bytes() == sheet_pdf(SHEETS[name])
    assert len(PdfReader(file).pages) == 1
    out = capsys.readouterr().out
    assert "print at 100 %" in out
    assert "150.0 mm" in out


def test_the_sheet_goes_where_it_is_asked_to_and_says_so_as_json(tmp_path, capsys):
    file = tmp_path / "new" / "marks.pdf"
    assert main(["sheet", "-o", str(file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["files"] == [str(file)]
    assert told["paper"] == "A4"
    assert file.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("name", ["holder.toml", "outline.svg", "sheet"])
def test_what_is_no_pdf_is_not_replaced_by_the_sheet(name, tmp_path, capsys):
    (tmp_path / name).write_text("mine")
    assert main(["sheet", "-o", str(tmp_path / name)]) == 2
    assert f"{name}: the sheet is written as PDF" in "".join(capsys.readouterr().err.splitlines())
    assert (tmp_path / name).read_text() == "mine"


def test_an_unknown_paper_is_bad_input_and_writes_nothing(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", "--paper", "A3"]) == 2
    assert "choose A4 or Letter" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_made_is_a_write_error(tmp_path, capsys):
    (tmp_path / "taken").write_text("a file")
    assert main(["sheet", "-o", str(tmp_path / "taken" / "marks.pdf")]) == 4
    assert capsys.readouterr().err
