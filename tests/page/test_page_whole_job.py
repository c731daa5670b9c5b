"""From nothing but two pictures and four caliper readings to a holder in the hand, asked as a browser asks."""

import io
import tomllib

import pytest
import trimesh
from made_demos import DEMOS

from cradle.cli.main import main

PICTURES = DEMOS / "ocarina" / "pictures"


@pytest.mark.slow
def test_two_pictures_and_four_readings_become_a_holder(empty, tmp_path):
    for name, height, width, depth in (("low", "2", "28.55", "21.3"), ("broad", "28", "57", "43.25")):
        path = empty.upload(f"{name}.jpg", (PICTURES / f"{name}.jpg").read_bytes()).json()["path"]
        picture = {"do": "add", "key": "section", "values": {"name": name, "picture": {"file": path}}}
        assert empty.edit(picture, label=f"{name} added").status_code == 200
        number = len(empty.state["values"]["section"])
        for key, value in (("height", height), ("width", width), ("depth", depth)):
            assert empty.set(f"section[{number}].{key}", value).status_code == 200
    assert empty.set("block.height", "24").status_code == 200
    assert empty.state["sound"], empty.state["problems"]

    low, broad = empty.sections()["sections"]
    assert low["size"] == pytest.approx([28.55, 21.3], rel=0.03)  # traced against calipers: common practice
    assert broad["placed"]["size"] == pytest.approx([57.0, 43.25], abs=0.1)

    files = empty.post("/files", {}).json()["files"]
    stl = next(name for name in files if name.endswith("holder.stl"))
    data = empty.get(f"/file/{stl}").content
    summary = empty.get("/file/summary.json").json()
    assert summary["chance_of_fit"] < 0.5  # two sections do not tell a belly
    assert summary["fit"]["tight_because"]
    mesh = trimesh.load(io.BytesIO(data), file_type="stl")
    assert mesh.is_watertight  # trimesh, a reader of its own
    assert mesh.volume > 0
    assert (mesh.extents[:2] > [28.55 + 2 * 3, 21.3 + 2 * 3]).all()  # the foot of the thing and two walls
    gap = summary["clearance_least_mm"]  # as wide as "auto" goes
    assert gap == pytest.approx(2.0, abs=0.02)
    assert mesh.extents[2] == pytest.approx(24 + 4 + gap, abs=0.05)  # block, floor and gap

    there = tmp_path / "by-command"
    assert main(["make", str(tmp_path / "holder.toml"), "-o", str(there)]) in (0, 1)
    assert (there / stl).read_bytes() == data

    labels = []
    while empty.state["undo"]:
        labels.append(empty.state["undo"])
        empty.undo()
    assert len(labels) == 9
    assert tomllib.loads((tmp_path / "holder.toml").read_text()) == {}


@pytest.mark.slow
def test_an_outline_whose_points_were_moved_takes_the_picture_s_place_and_gives_it_back(empty, tmp_path):
    path = empty.upload("low.jpg", (PICTURES / "low.jpg").read_bytes()).json()["path"]
    values = {"name": "low", "height": "2", "picture": {"file": path}}
    empty.edit({"do": "add", "key": "section", "values": values})
    ring = empty.sections()["sections"][0]["outline"]
    lines = "".join(f"{x + 0.5 * (x > 0)},{y}\n" for x, y in ring)
    drawing = empty.upload("low by hand.csv", lines.encode()).json()["path"]
    put = {"do": "put", "key": "section[1]", "values": {"name": "low", "height": "2", "outline": drawing}}
    assert empty.edit(put).status_code == 200
    assert "picture" not in empty.state["values"]["section"][0]
    wide = empty.sections()["sections"][0]
    assert wide["problems"] == []
    empty.undo()
    assert empty.state["values"]["section"][0]["picture"] == {"file": path}
