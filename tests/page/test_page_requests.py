"""What a window may ask, and what it is told: edits, undo, uploads, paths, two windows, the holder, its files."""

import io
import json
import tomllib
import zipfile

import httpx
import numpy as np
import pytest
import trimesh
from made_demos import DEMOS
from page_window import TUB, served

PICTURE = (DEMOS / "ocarina" / "pictures" / "broad.jpg").read_bytes()
SQUARE = b"-20,-15\n20,-15\n20,15\n-20,15\n"


def test_the_page_and_all_that_it_fetches_come_from_here(window):
    seen, waiting = set(), ["/"]
    while waiting:
        path = waiting.pop()
        if path in seen:
            continue
        seen.add(path)
        answer = window.get(path)
        assert answer.status_code == 200, path
        assert "script-src 'self'" in answer.headers["content-security-policy"]
        text = answer.text
        assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")
        assert "https://" not in text
        if path == "/":
            waiting += [part.split('"')[0] for part in text.split('="') if part.startswith("/")]
            assert "<script>" not in text
        elif path.endswith(".js"):
            folder = path.rsplit("/", 1)[0]
            for part in text.split('from "')[1:]:
                waiting.append(str(httpx.URL(f"http://h{folder}/").join(part.split('"')[0]).path))
    assert {"/web/main.js", "/web/desk.js", "/web/steps/outline.js", "/web/style.css"} <= seen


def test_an_edit_is_saved_and_told_with_its_undo(window, tub):
    answer = window.set("block.wall", "4.5")
    assert answer.status_code == 200
    assert window.state["undo"] == "block.wall"
    assert "wall = 4.5" in tub.read_text()
    assert window.undo().json()["redo"] == "block.wall"
    assert tub.read_text() == TUB
    assert window.redo().status_code == 200
    assert "wall = 4.5" in tub.read_text()


def test_a_mistake_is_told_at_its_field_and_changes_nothing(window, tub):
    answer = window.set("block.wall", "-4")
    assert answer.status_code == 422
    (problem,) = answer.json()["problems"]
    assert problem["where"] == "block.wall"
    assert problem["words"].startswith("Found -4.0 mm")
    assert tub.read_text() == TUB


def test_two_windows_lose_nothing(tub):
    with served(tub) as (new_window, _):
        one, other = new_window(), new_window()
        one.set("block.wall", "4")
        late = other.set("block.floor", "5")
        assert late.status_code == 409
        assert late.json()["stale"]
        assert late.json()["state"]["values"]["block"]["wall"] == 4
        other.look()
        assert other.set("block.floor", "5").status_code == 200
    block = tomllib.loads(tub.read_text())["block"]
    assert (block["wall"], block["floor"]) == (4, 5)


def test_a_change_by_hand_is_told_to_every_window(tub):
    with served(tub) as (new_window, _):
        window = new_window()
        with window.client.stream("GET", "/events") as events:
            lines = events.iter_lines()
            next(lines)
            tub.write_text(TUB.replace("height = 25", "height = 26"))
            kinds = []
            for line in lines:
                if line.startswith("event: "):
                    kinds.append(line)
                if line == "event: state":
                    break
        assert window.look()["values"]["block"]["height"] == 26
        assert "outside" in window.state["notice"]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[]",
        b"{",
        b'{"revision": true, "steps": []}',
        b'{"revision": 99}',
        b"[" * 100000,
        b"\xff",
        b'"a"',
    ],
)
def test_garbage_is_refused_and_the_page_stays(window, content):
    for path in ("/edit", "/undo", "/trace", "/trial", "/pieces"):
        assert window.client.post(path, content=content).status_code in (400, 404, 409, 422)
    assert window.look()["sound"]


@pytest.mark.parametrize(
    "step",
    [
        {"do": "explode", "key": "block.wall"},
        {"do": "set", "key": "block"},
        {"do": "set", "key": "section[9].width", "value": "3"},
        {"do": "set", "key": "../x", "value": "3"},
        {"do": "add", "key": "nothing", "values": {}},
        {"do": "add", "key": "opening", "values": {"diameter": "5"}},
        {"do": "add", "key": "section", "values": {"strange": "5"}},
        {"do": "remove", "key": "section[9]"},
        {"do": "set", "key": "block.wall", "value": {"a": 1}},
        {"do": "set", "key": "object.name", "value": "x\n[block]"},
    ],
)
def test_a_strange_step_is_refused(window, tub, step):
    assert window.edit(step).status_code == 422
    assert tub.read_text() == TUB


def test_a_picture_becomes_a_section_with_its_scale_and_outline(empty, tmp_path):
    path = empty.upload("../My Card.JPG", PICTURE).json()["path"]
    assert path == "pictures/my-card.jpg"
    assert (tmp_path / path).read_bytes() == PICTURE
    assert empty.upload("my card.jpg", PICTURE).json()["path"] == path  # the same is kept once
    answer = empty.edit(
        {"do": "add", "key": "section", "values": {"name": "card", "picture": {"file": path}}}
    )
    assert answer.status_code == 200
    found = empty.post(
        "/trace", {"path": path, "picture": empty.state["values"]["section"][0]["picture"]}
    ).json()
    assert found["scales"][0]["kind"] == "ruler"
    assert [piece["picked"] for piece in found["pieces"]] == [True]
    assert found["pieces"][0]["size"] == pytest.approx([57.0, 43.25], abs=0.5)  # calipers, demo's own
    (row,) = empty.sections()["sections"]
    assert row["size"] == pytest.approx(found["pieces"][0]["size"], abs=0.02)
    assert row["height"] is None
    shown = empty.get("/picture", params={"path": path})
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.content[:3] == b"\xff\xd8\xff"


def test_points_moved_over_a_picture_are_told_in_mm(empty, tmp_path):
    path = empty.upload("low.jpg", (DEMOS / "ocarina" / "pictures" / "low.jpg").read_bytes()).json()["path"]
    empty.edit(
        {"do": "add", "key": "section", "values": {"name": "low", "height": "2", "picture": {"file": path}}}
    )
    (piece,) = empty.post("/trace", {"path": path, "picture": {"file": path}}).json()["pieces"]
    ask = {"path": path, "picture": {"file": path}, "points": piece["whole"]}
    ring = np.array(empty.post("/points", ask).json()["ring"])
    assert np.ptp(ring, axis=0) == pytest.approx(piece["size"], abs=0.05)  # as it was traced
    across = max(p[0] for p in piece["whole"]) - min(p[0] for p in piece["whole"])
    px_mm = piece["size"][0] / across
    moved = [[x + 10, y] for x, y in piece["whole"]]
    shifted = np.array(empty.post("/points", ask | {"points": moved}).json()["ring"])
    assert (shifted - ring).mean(axis=0) == pytest.approx([10 * px_mm, 0], abs=0.02 + 10 * px_mm * 0.05)
    for points in (None, [], [[1, 2]], [[1, 2], [3], [4, 5]], [[1, 2], [3, True], [4, 5]], [[1, 2]] * 5000):
        assert empty.post("/points", ask | {"points": points}).status_code in (400, 422)
    lost = empty.post("/points", ask | {"picture": {"file": path, "pick": 9}})
    assert lost.status_code in (400, 422)
    assert "choose the piece" in lost.text


def test_two_points_on_the_ruler_give_the_scale(empty):
    path = empty.upload("card.jpg", PICTURE).json()["path"]
    keys = {"file": path}
    ruler = empty.post("/trace", {"path": path, "picture": keys}).json()
    ends, size = ruler["scales"][0]["ends"][0], ruler["pieces"][0]["size"]
    apart = ((ends[1][0] - ends[0][0]) ** 2 + (ends[1][1] - ends[0][1]) ** 2) ** 0.5
    keys |= {
        "from": ends[0],
        "to": ends[1],
        "apart": 2 * apart * size[0] / _width(ruler["pieces"][0]["ring"]),
    }
    double = empty.post("/trace", {"path": path, "picture": keys}).json()
    assert double["scales"][0]["kind"] == "points"
    assert double["pieces"][0]["size"][0] == pytest.approx(2 * size[0], rel=0.01)


def _width(ring):
    return max(x for x, _ in ring) - min(x for x, _ in ring)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.exe", b"MZ"),
        ("a", b"x"),
        ("a.png", b"<html>"),
        ("a.jpg", b""),
        ("a.svg.html", b"<svg/>"),
        ("..", b"x"),
        ("/etc/passwd", b"x"),
        ("a.toml", b"[block]"),
    ],
)
def test_a_file_of_another_kind_is_refused(empty, tmp_path, name, data):
    assert empty.upload(name, data).status_code == 422
    assert [p.name for p in tmp_path.iterdir()] == []


def test_a_file_that_is_too_large_is_refused_before_it_is_read(empty, tmp_path):
    def endless():
        for _ in range(100):
            yield b"\x89PNG\r\n\x1a\n" + bytes(1_000_000)

    try:
        status = empty.client.post("/upload", params={"name": "a.png"}, content=endless()).status_code
    except httpx.HTTPError:  # the line is closed while it is still sent
        status = 422
    assert status == 422
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "path",
    [
        "../secret.png",
        "/etc/passwd",
        "/etc/x.png",
        "pictures/../../secret.png",
        "holder.toml",
        "a\0.png",
        "",
        "out.png",
    ],
)
def test_no_path_leads_out_of_the_folder(tmp_path, path):
    inner = tmp_path / "inner"
    inner.mkdir()
    (tmp_path / "secret.png").write_bytes(PICTURE)
    (inner / "out.png").symlink_to(tmp_path / "secret.png")
    with served(inner / "holder.toml") as (new_window, _):
        window = new_window()
        assert window.get("/picture", params={"path": path}).status_code in (404, 422)
        assert window.post("/trace", {"path": path, "picture": {"file": path}}).status_code == 422
        for name in ("holder.toml", "..%2fholder.toml", "%2e%2e/secret.png"):
            assert window.get(f"/file/{name}").status_code in (404, 422)
        for name in ("../server.py", "..%2fserver.py", "%2e%2e/%2e%2e/errors.py"):
            assert window.get(f"/web/{name}").status_code == 404


def test_an_upload_does_not_follow_a_link_out_of_the_folder(tmp_path):
    inner, outer = tmp_path / "inner", tmp_path / "outer"
    inner.mkdir()
    outer.mkdir()
    (inner / "pictures").symlink_to(outer)
    with served(inner / "holder.toml") as (new_window, _):
        assert new_window().upload("a.jpg", PICTURE).status_code == 422
    assert list(outer.iterdir()) == []


def test_a_section_without_a_file_is_told_at_its_place_and_the_others_are_shown(empty, tmp_path):
    outline = empty.upload("low.csv", SQUARE).json()["path"]
    empty.edit({"do": "add", "key": "section", "values": {"name": "low", "height": "2", "outline": outline}})
    empty.edit(
        {
            "do": "add",
            "key": "section",
            "values": {"name": "top", "height": "30", "outline": "outlines/gone.csv"},
        }
    )
    low, top = empty.sections()["sections"]
    assert low["size"] == pytest.approx([40.0, 30.0])
    assert top["problems"][0]["where"] == "section[2]"
    assert "gone.csv" in top["problems"][0]["found"]
    holder = empty.holder()
    assert holder["problems"][0]["where"] == "outlines/gone.csv"
    empty.edit({"do": "set", "key": "section[2].outline", "value": outline})
    assert empty.holder()["stage"] == "done"


def test_the_residual_and_where_a_section_lies_follow_a_reading(window):
    before = window.sections()["sections"][0]
    assert before["placed"]["size"] == pytest.approx([30.0, 20.0])
    assert before["placed"]["decides"]
    assert window.set("section[1].measured.width", "33").status_code == 200
    assert window.sections()["sections"][0]["placed"]["size"] == pytest.approx([33.0, 20.0])


def test_the_holder_comes_in_stages_and_is_judged(tub):
    with served(tub) as (new_window, desk):
        window = new_window()
        holder = window.holder()
        assert set(desk.parts) == {"body", "rough"}
        assert holder["stage"] == "done"
        chances = [p for _, p in holder["curve"]]
        assert chances == sorted(chances)
        assert holder["cautions"]
        assert holder["figures"][0][0] == "least gap measured, per side"
        known = [g for g in holder["thing"]["gaps"] if g < 255]
        assert min(known) * holder["thing"]["gap_most"] / 250 == pytest.approx(0.35, abs=0.02)
        low, high = holder["size"]
        assert high[2] - low[2] == pytest.approx(25 + 4 + 0.35, abs=0.02)  # block, floor and gap
        window.set("block.height", "30")
        assert window.holder()["size"][1][2] == pytest.approx(34.35, abs=0.02)


def test_values_that_cannot_be_built_are_told_and_the_page_lives(window):
    window.holder()
    window.edit({"do": "add", "key": "opening", "values": {"kind": "drain", "diameter": "90"}})
    holder = window.holder()
    assert holder["problems"]
    assert holder["earlier"]
    assert holder["stage"] == "done"  # the last one that could be built
    window.undo()
    assert window.holder()["problems"] == []


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


def test_test_pieces_are_made_and_a_trial_is_noted_and_undone(window, tmp_path):
    made = window.post("/pieces", {"clearances": [0.2, 0.4], "paper": "Letter"}).json()
    assert any("paper" in name and name.endswith(".pdf") for name in made["files"]), made
    assert window.post("/pieces", {"clearances": []}).status_code == 200  # those about the holder's own
    assert window.post("/pieces", {"clearances": [-1]}).status_code == 422
    told = window.get("/trials").json()
    assert told["sections"] == ["low", "high"]
    trial = {"revision": window.state["revision"], "section": "low", "clearance": 0.4, "seen": "tight"}
    noted = window.post("/trial", trial)
    assert noted.status_code == 200, noted.text
    assert "tight" in (tmp_path / "trials.toml").read_text()
    assert noted.json()["trials"][0]["section"] == "low"
    assert noted.json()["changes"][0][2] > 0  # too tight: more gap next time
    window.state = noted.json()["state"]
    assert window.post("/trial", trial).status_code == 409
    window.undo()
    assert "tight" not in (tmp_path / "trials.toml").read_text()
    assert (
        window.post("/trial", trial | {"revision": window.state["revision"], "seen": "odd"}).status_code
        == 422
    )


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


def test_the_schema_is_json(window):
    assert json.loads(window.get("/schema").text)["block"]["title"] == "Block"


def test_a_plain_shape_begins_without_sizes_and_grows(empty):
    empty.edit({"do": "add", "key": "section", "values": {"name": "low", "measured": {"form": "ellipse"}}})
    missing = {p["where"] for p in empty.state["problems"] if p["found"] == "missing"}
    assert missing == {"section[1].height", "section[1].measured.width", "section[1].measured.depth"}
    (row,) = empty.sections()["sections"]
    assert "outline" not in row
    for key, value in (("measured.width", "40"), ("measured.depth", "30"), ("height", "0")):
        assert empty.set(f"section[1].{key}", value).status_code == 200
    (row,) = empty.sections()["sections"]
    assert row["placed"]["size"] == pytest.approx([40.0, 30.0], abs=0.02)


def test_outlines_are_shown_where_nothing_tells_the_scale(empty, tmp_path):
    from PIL import Image, ImageDraw

    bare = Image.new("RGB", (500, 400), "white")
    ImageDraw.Draw(bare).ellipse((120, 90, 380, 310), fill="black")
    content = io.BytesIO()
    bare.save(content, "PNG")
    path = empty.upload("bare.png", content.getvalue()).json()["path"]
    found = empty.post("/trace", {"path": path, "picture": {"file": path}}).json()
    assert found["problems"]
    assert found["scales"] == []
    (piece,) = found["pieces"]
    assert piece["size"] is None
    assert _width(piece["ring"]) == pytest.approx(260, abs=2)
    keys = {"file": path, "from": [120, 200], "to": [380, 200], "apart": 52}
    assert empty.post("/trace", {"path": path, "picture": keys}).json()["pieces"][0]["size"] == pytest.approx(
        [52, 44], abs=0.5
    )
