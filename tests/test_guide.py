"""What the guide for developers says of rooms and files is so."""

import re

from test_architecture import MODULES, PACKAGE, ROOMS, ROOT

GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FLOW, BY_FILE = GUIDE.split("### File by file")
ROW = re.compile(r"^\| `(\w+)` \|(.*)", re.MULTILINE)
LIST = re.compile(r"^\*\*`(\w+)`\*\*(.*?)(?=^\*\*`|^#)", re.MULTILINE | re.DOTALL)


def test_rooms_stand_in_the_order_in_which_they_may_see_each_other():
    order = re.search(r"```\n(noun .*?)```", FLOW, re.DOTALL)[1]
    assert [re.split(r"[\s|]+", group.strip()) for group in order.split("<")] == ROOMS
    assert set(dict(ROW.findall(FLOW))) == {room for group in ROOMS[1:] for room in group}


def test_every_file_is_named_in_its_room_and_no_other_is():
    told = dict(ROW.findall(FLOW))
    for room, files in LIST.findall(BY_FILE):
        told[room] += files
    there = {room: {m.stem for m in MODULES if m.parent == PACKAGE / room} - {"__init__"} for room in told}
    there["cli"] = {"entry", "main"}  # and one file for each command
    assert {
        room: set(re.findall(r"`(\w+)\.py`", text)) - {"__init__"} for room, text in told.items()
    } == there
