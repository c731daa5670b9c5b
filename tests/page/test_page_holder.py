"""The holder as it comes, its files, test pieces and trials, asked of the page."""

import io
import tomllib
import zipfile

import pytest
import trimesh
from page_window import served

from cradle.pipeline import make
from cradle.project.reader import read_project
from cradle.report.doubts import doubts_about, seeing_to
from cradle.report.facts import measured_facts

SQUARE = b"-20,-15\n20,-15\n20,15\n-20,15\n"


def test_the_holder_comes_in_stages_and_is_judged(tub):
    with served(tub) as (new_window, desk):
        window = new_window()
        holder = window.holder()
        assert {"body", "rough"} <= set(desk.parts)
        assert holder["stage"] == "done"
        chances = [p for _, p in holder["curve"]]
        assert chances == sorted(chances)
        assert holder["cause"]["because"]
        assert window.until("/holder", lambda found: found["causes"])["causes"][0]["because"]
        assert holder["cautions"]
        known = [g for g in holder["thing"]["gaps"] if g < 255]
        assert holder["thing"]["gap_asked"] == [0.35]
        assert min(known) * holder["thing"]["gap_most"] / 250 == pytest.approx(1, abs=0.06)
        low, high = holder["size"]
        assert high[2] - low[2] == pytest.approx(25 + 4 + 0.35, abs=0.02)  # block, floor and gap
        window.set("block.height", "30")
        holder = window.holder()
        assert holder["size"][1][2] == pytest.approx(34.35, abs=0.02)
        made = make(read_project(tub))
        assert [tuple(fact) for fact in holder["figures"][:-1]] == measured_facts(made)
        doubts = doubts_about(made)
        assert [p["message"] for p in holder["verdict"]["points"]] == [p.message for p in doubts]
        assert [p["place"] for p in holder["verdict"]["points"]] == [p.place for p in doubts]
        assert holder["verdict"]["first"] == list(seeing_to(doubts)) != []
        window.set("fit.clearance", "0.33")  # between two steps of the curve
        holder = window.holder()
        assert dict(holder["curve"])[holder["asked"]] == pytest.approx(holder["chance"], abs=1e-5)


@pytest.mark.slow
def test_values_that_cannot_be_built_are_told_and_the_page_lives(building):
    building.holder()
    building.edit({"do": "add", "key": "opening", "values": {"kind": "drain", "diameter": "90"}})
    holder = building.holder()
    assert holder["problems"]
    assert holder["earlier"]
    assert holder["stage"] == "done"  # the last one that could be built
    building.undo()
    assert building.holder()["problems"] == []


@pytest.mark.slow
def test_a_section_without_a_file_is_told_at_its_place_and_the_others_are_shown(bare):
    outline = bare.upload("low.csv", SQUARE).json()["path"]
    bare.edit({"do": "add", "key": "section", "values": {"name": "low", "height": "2", "outline": outline}})
    bare.edit(
        {
            "do": "add",
            "key": "section",
            "values": {"name": "top", "height": "30", "outline": "outlines/gone.csv"},
        }
    )
    low, top = bare.sections()["sections"]
    assert low["size"] == pytest.approx([40.0, 30.0])
    assert top["problems"][0]["where"] == "section[2]"
    assert "gone.csv" in top["problems"][0]["found"]
    holder = bare.holder()
    assert holder["problems"][0]["where"] == "outlines/gone.csv"
    bare.edit({"do": "set", "key": "section[2].outline", "value": outline})
    assert bare.holder()["stage"] == "done"


def test_files_are_written_fetched_and_read_back(window, tmp_path):
    assert window.get("/file/tub-holder.stl").status_code == 422
    made = window.post("/files", {}).json()
    assert {"fit-report.html", "tub-workshop.pdf", "summary.json"} <= set(made["files"])
    stl = next(name for name in made["files"] if name.endswith("holder.stl"))
    mesh = trimesh.load(io.BytesIO(window.get(f"/file/{stl}").content), file_type="stl")
    assert mesh.is_watertight  # trimesh, a reader of its own
    threemf = next(name for name in made["files"] if name.endswith(".3mf"))
    assert zipfile.ZipFile(io.BytesIO(window.get(f"/file/{threemf}").content)).testzip() is None
    assert window.get("/file/tub-workshop.pdf").content[:5] == b"%PDF-"
    assert (tmp_path / "out" / stl).is_file()
    report = window.get("/report")
    assert "Fit report" in report.text
    assert "script-src 'unsafe-inline'" in report.headers["content-security-policy"]


def test_why_there_is_no_report_is_told_as_a_page(window):
    window.edit({"do": "add", "key": "plate", "values": {"width": "20", "height": "9", "screw": "M4"}})
    answer = window.get("/report")
    assert answer.status_code == 422
    assert answer.headers["content-type"].startswith("text/html")
    assert "A plate of 20.0 × 9.0 mm hides behind the block" in answer.text


def test_what_the_page_made_is_what_the_command_makes(window, tub, tmp_path):
    from cradle.cli.main import main

    for key, value in [
        ("block.wall", "3.6"),
        ("fit.clearance", "0.42"),
        ("block.form", "oval"),
        ("object.name", "Tub 2"),
    ]:
        window.set(key, value)
    files = window.post("/files", {}).json()["files"]
    there = tmp_path / "there"
    assert main(["make", str(tub), "-o", str(there)]) in (0, 1)
    assert {p.name for p in there.iterdir()} == set(files)
    for name in files:
        assert (there / name).read_bytes() == window.get(f"/file/{name}").content, name


@pytest.mark.slow
def test_a_trial_of_the_holder_is_of_the_one_made_last(building, tmp_path):
    window = building
    assert window.get("/trials").json()["printed"] is None
    assert window.post("/files", {}).status_code == 200
    assert window.set("fit.clearance", "0.6").status_code == 200  # of the next one, not of the print
    assert window.get("/trials").json()["printed"] == 0.35
    tried = {"revision": window.state["revision"], "piece": "holder", "seen": "good"}
    assert window.post("/trial", tried).json()["trials"][0]["clearance_mm"] == 0.35
    (noted,) = tomllib.loads((tmp_path / "trials.toml").read_text())["trial"]
    assert min(gap for _, gap, *_ in noted["room"]) == 0.35


@pytest.mark.slow
def test_test_pieces_are_made_and_a_trial_is_noted_and_undone(window, tmp_path):
    made = window.post("/pieces", {"clearances": [0.2, 0.4]}).json()
    assert any(
        "set step to 0.01" in told for told in made["findings"]
    )  # as a form says it, not as a file does
    assert any("paper" in name and name.endswith(".pdf") for name in made["files"]), made
    assert window.post("/pieces", {"clearances": []}).status_code == 200  # those about the holder's own
    assert window.post("/pieces", {"clearances": [-1]}).status_code == 422
    told = window.get("/trials").json()
    low = {"name": "low", "section": "low", "height": None}
    assert told["places"] == [low]  # "high" lies above the rim: no ring is cut there
    trial = {"revision": window.state["revision"], "section": "low", "clearance": 0.4, "seen": "tight"}
    noted = window.post("/trial", trial)
    assert noted.status_code == 200, noted.text
    assert "tight" in (tmp_path / "trials.toml").read_text()
    assert noted.json()["trials"][0]["section"] == "low"
    learned = noted.json()["learned"]
    assert learned["corrections"][0]["gap_mm"] > 0  # too tight: more gap next time
    gap = noted.json()["gaps"][0]
    assert gap["where"] == 'gap at "low"'
    assert gap["after_mm"] > gap["before_mm"]
    assert learned["inside_error_after_mm"] != learned["inside_error_before_mm"]
    window.state = noted.json()["state"]
    assert window.post("/trial", trial).status_code == 409
    window.undo()
    assert window.set("test_pieces.heights", "12").status_code == 200
    (there,) = window.get("/trials").json()["places"][1:]
    assert there == {"name": "at 12", "section": None, "height": 12}
    noted = window.post(
        "/trial", trial | {"revision": window.state["revision"], "section": None, "height": 12}
    )
    assert noted.status_code == 200, noted.text
    assert [(t["section"], t["height_mm"]) for t in noted.json()["trials"]] == [(None, 12)]
    window.state = noted.json()["state"]
    window.undo()
    assert "tight" not in (tmp_path / "trials.toml").read_text()
    wrongs = (  # what the file would not take, and what no piece can be
        {"seen": "odd"},
        {"clearance": 21},
        {"side": "top"},
        {"section": "gone"},
        {"height": 900, "section": None},
    )
    for wrong in wrongs:
        told = window.post("/trial", trial | {"revision": window.state["revision"]} | wrong)
        assert told.status_code == 422
        assert told.json()["problems"][0]["where"] == f"trial.{next(iter(wrong))}"
