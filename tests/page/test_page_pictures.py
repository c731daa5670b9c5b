"""Pictures handed over: their scale, the outlines in them, points moved by hand."""

import io

import numpy as np
import pytest
from made_demos import DEMOS
from page_window import NO_HOLDER, served

PICTURE = (DEMOS / "ocarina" / "pictures" / "broad.jpg").read_bytes()


@pytest.fixture(scope="module")
def card(tmp_path_factory):
    """A window on a folder with one picture and a section of it; the picture's path, and what was found in it."""
    folder = tmp_path_factory.mktemp("card")
    with served(folder / "holder.toml", drops=NO_HOLDER) as (new_window, _):
        window = new_window()
        path = window.upload("../My Card.JPG", PICTURE).json()["path"]
        added = {"do": "add", "key": "section", "values": {"name": "card", "picture": {"file": path}}}
        assert window.edit(added).status_code == 200
        keys = window.state["values"]["section"][0]["picture"]
        yield window, path, window.post("/trace", {"path": path, "picture": keys}).json(), folder


def test_a_picture_becomes_a_section_with_its_scale_and_outline(card):
    window, path, found, folder = card
    assert path == "pictures/my-card.jpg"
    assert (folder / path).read_bytes() == PICTURE
    assert window.upload("my card.jpg", PICTURE).json()["path"] == path  # the same is kept once
    assert found["scales"][0]["kind"] == "ruler"
    assert [piece["picked"] for piece in found["pieces"]] == [True]
    assert found["pieces"][0]["size"] == pytest.approx([57.0, 43.25], abs=0.5)  # calipers, demo's own
    (row,) = window.sections()["sections"]
    assert row["size"] == pytest.approx(found["pieces"][0]["size"], abs=0.02)
    assert row["height"] is None
    shown = window.get("/picture", params={"path": path})
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.content[:3] == b"\xff\xd8\xff"


@pytest.mark.slow
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


def test_two_points_on_the_ruler_give_the_scale(card):
    window, path, ruler, _ = card
    ends, size = ruler["scales"][0]["ends"][0], ruler["pieces"][0]["size"]
    apart = ((ends[1][0] - ends[0][0]) ** 2 + (ends[1][1] - ends[0][1]) ** 2) ** 0.5
    keys = {
        "file": path,
        "from": ends[0],
        "to": ends[1],
        "apart": 2 * apart * size[0] / _width(ruler["pieces"][0]["ring"]),
    }
    double = window.post("/trace", {"path": path, "picture": keys}).json()
    assert double["scales"][0]["kind"] == "points"
    assert double["pieces"][0]["size"][0] == pytest.approx(2 * size[0], rel=0.01)


def _width(ring):
    return max(x for x, _ in ring) - min(x for x, _ in ring)


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
    assert found["any_size"]
    (piece,) = found["pieces"]
    assert piece["size"] is None
    assert _width(piece["ring"]) == pytest.approx(260, abs=2)
    keys = {"file": path, "from": [120, 200], "to": [380, 200], "apart": 52}
    assert empty.post("/trace", {"path": path, "picture": keys}).json()["pieces"][0]["size"] == pytest.approx(
        [52, 44], abs=0.5
    )


def test_a_picture_that_cannot_be_read_is_refused(empty):
    """It is not told as one without outlines."""
    path = empty.upload("broken.png", b"\x89PNG\r\n\x1a\n" + bytes(100)).json()["path"]
    answer = empty.post("/trace", {"path": path, "picture": {"file": path}})
    assert answer.status_code == 422
    assert "broken.png" in answer.json()["problems"][0]["where"]
