"""What a window may ask, and what it is told: the page, edits, undo, mistakes, two windows."""

import json
import tomllib

import httpx
import numpy as np
import pytest
from page_window import NO_HOLDER, TUB, served


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
    with served(tub, drops=NO_HOLDER) as (new_window, _):
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
    with served(tub, drops=NO_HOLDER) as (new_window, _):
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
        b'{"revision": 1, "steps": [{"do": "set", "key": "object.name", "value": "\\ud800"}]}',
        b'{"revision": 1, "steps": [{"do": "remove", "key": "\\ud800"}]}',
    ],
)
def test_garbage_is_refused_and_the_page_stays(untouched, content):
    window, file = untouched
    for path in ("/edit", "/undo", "/trace", "/trial", "/pieces"):
        assert window.client.post(path, content=content).status_code in (400, 404, 409, 422)
    assert window.look()["sound"]
    assert file.read_text() == TUB


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
def test_a_strange_step_is_refused(untouched, step):
    window, file = untouched
    assert window.edit(step).status_code == 422
    assert file.read_text() == TUB


def test_the_residual_and_where_a_section_lies_follow_a_reading(window):
    before = window.sections()["sections"][0]
    assert before["placed"]["size"] == pytest.approx([30.0, 20.0])
    assert before["placed"]["decides"]
    assert window.set("section[1].measured.width", "33").status_code == 200
    assert window.sections()["sections"][0]["placed"]["size"] == pytest.approx([33.0, 20.0])


def test_a_view_is_shown_as_it_lies_on_the_sections(window, tub):
    assert window.sections()["side"] == {}
    (tub.parent / "front.csv").write_text("0,0\n60,0\n67.2,120\n-7.2,120\n")  # in half millimetres, as drawn
    view = {"from": "front", "outline": "front.csv", "unit": "mm", "scale": "free"}
    assert window.edit({"do": "add", "key": "view", "values": view}).status_code == 200
    sides = window.sections()["side"]
    assert sides.keys() == {"left", "right"}
    for name, outward in (("left", -1), ("right", 1)):
        heights, reach = np.array(sides[name]).T
        at = np.linspace(2, 48, 5)
        # half the width there, 30 mm at the foot and 36 mm at 50 mm, but for the steps of levels
        assert outward * np.interp(at, heights, reach) == pytest.approx(15 + 3 * at / 50, abs=0.3)


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
