"""The project as the page edits it: saved at once, undone, never written over, never lost."""

import os
import random
import subprocess
import sys
import threading
import tomllib

import pytest
from daily import rest_further
from made_demos import DEMOS

from cradle.errors import InputError, ProjectError, StaleError
from cradle.page.session import ProjectSession

OWN = 'name = "Tub"     # ours'


def put(key, value):
    return [{"do": "set", "key": key, "value": value}]


def edit(session, steps, label="a change"):
    session.edit(steps, revision=session.revision, label=label)


def test_a_change_is_in_the_file_at_once_and_leaves_the_comments(tub):
    session = ProjectSession(tub)
    edit(session, put("fit.clearance", "0.4"))
    text = tub.read_text()
    assert "clearance = 0.4   # per side, as last time" in text
    assert OWN in text
    assert session.text == text


def test_everything_can_be_undone_and_done_again(tub):
    first = tub.read_text()
    session = ProjectSession(tub)
    edit(session, put("block.wall", "4"), "wall")
    edit(session, [{"do": "add", "key": "opening", "values": {"kind": "drain", "diameter": "6"}}], "drain")
    edit(session, [{"do": "remove", "key": "section[2]"}], "section")
    last = tub.read_text()
    labels = []
    while session.state()["undo"]:
        labels.append(session.state()["undo"])
        session.undo(revision=session.revision)
    assert labels == ["section", "drain", "wall"]
    assert tub.read_text() == first
    while session.state()["redo"]:
        session.redo(revision=session.revision)
    assert tub.read_text() == last
    session.undo(revision=session.revision)
    edit(session, put("block.wall", "5"))
    assert session.state()["redo"] is None


def test_an_edit_founded_on_an_older_revision_is_refused(tub):
    session = ProjectSession(tub)
    old = session.revision
    edit(session, put("block.wall", "4"))
    for change in (
        lambda: session.edit(put("block.wall", "5"), revision=old, label="late"),
        lambda: session.undo(revision=old),
        lambda: session.redo(revision=old),
        lambda: session.put_trials("", revision=old, label="late"),
    ):
        with pytest.raises(StaleError):
            change()
    assert "wall = 4" in tub.read_text()


def test_what_somebody_else_wrote_is_taken_over_and_never_written_over(tub):
    session = ProjectSession(tub)
    edit(session, put("block.wall", "4"))
    theirs = tub.read_text().replace("wall = 4", "wall = 7  # by hand")
    tub.write_text(theirs)
    with pytest.raises(StaleError):
        edit(session, put("block.wall", "5"))
    assert tub.read_text() == theirs
    assert session.text == theirs
    assert session.state()["undo"] is None  # undoing would take away what is not ours
    assert "changed outside" in session.state()["notice"]
    edit(session, put("block.floor", "5"))
    assert "wall = 7  # by hand" in tub.read_text()


def test_a_file_that_cannot_be_read_any_more_is_told_with_its_line_and_left_alone(tub):
    session = ProjectSession(tub)
    broken = tub.read_text().replace("[fit]", "[fit")
    tub.write_text(broken)
    assert session.look()
    state = session.state()
    assert not state["readable"]
    assert state["problems"][0]["line"] == broken.splitlines().index("[fit") + 1
    with pytest.raises((StaleError, ProjectError)):
        edit(session, put("block.wall", "5"))
    assert tub.read_text() == broken
    tub.write_bytes(b"\xff\xfe\x00")
    assert session.look()
    assert not session.state()["readable"]
    with pytest.raises(StaleError):
        edit(session, put("block.wall", "5"))
    assert tub.read_bytes() == b"\xff\xfe\x00"
    tub.write_text(broken.replace("[fit", "[fit]"))
    assert session.look()
    assert session.state()["sound"]


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("block.wall", "-1"),
        ("block.wall", "thick"),
        ("block.form", "round"),
        ("section[1].height", "50"),  # the other's
        ("section[2].height", "70"),
        ("fit.lift_out", "0 0 0"),
        ("object.name", "a\x00b"),
    ],
)
def test_a_value_that_cannot_stand_changes_nothing_and_is_told_at_its_field(tub, key, value):
    before = tub.read_text()
    session = ProjectSession(tub)
    with pytest.raises(ProjectError) as refused:
        edit(session, put(key, value))
    assert refused.value.problems[0].where.startswith(key.split("[")[0].split(".")[0])
    assert tub.read_text() == before
    assert session.revision == 1


def test_a_project_grows_from_nothing(tmp_path):
    file = tmp_path / "holder.toml"
    session = ProjectSession(file)
    assert not file.exists()
    assert not session.state()["sound"]
    edit(session, put("object.name", "Reel"))
    plain = {"form": "ellipse", "width": "40", "depth": "30"}
    edit(
        session,
        [{"do": "add", "key": "section", "values": {"name": "top", "height": "40", "measured": plain}}],
    )
    edit(
        session,
        [{"do": "add", "key": "section", "values": {"name": "low", "height": "0", "measured": plain}}],
    )
    edit(session, put("block.height", "30"))
    assert session.state()["sound"], session.problems
    assert session.state()["from_bottom"] == [2, 1]


@pytest.mark.parametrize("there", [True, False])
@pytest.mark.parametrize("name", ["photo.jpg", "profile.csv", "outline.dxf"])
def test_no_project_is_begun_in_a_drawing_or_a_picture(tmp_path, name, there):
    """A new project was begun under the name of a picture that was not there; a table was shown as one that is no TOML."""
    file = tmp_path / name
    if there:
        file.write_text("0,1\n5,2\n")
    with pytest.raises(
        InputError, match=r"no project file but a drawing or a picture; name the project's .toml"
    ):
        ProjectSession(file)


def test_sections_stay_where_they_stand_and_their_order_is_told(tub):
    session = ProjectSession(tub)
    assert session.state()["from_bottom"] == [1, 2]
    edit(session, put("section[1].height", "55"))
    edit(session, [{"do": "add", "key": "section", "values": {"name": "mid"}}])
    assert [s["name"] for s in tomllib.loads(tub.read_text())["section"]] == ["low", "high", "mid"]
    assert session.state()["from_bottom"] == [2, 1, 3]  # where one without a height lies is not known
    edit(session, put("section[3].height", "5.2 cm"))
    assert session.state()["from_bottom"] == [2, 3, 1]


@pytest.mark.parametrize("section", ["3", "[1, 'a']", "{ height = 3 }"])
def test_what_are_no_sections_has_no_order_of_its_own(tub, section):
    tub.write_text(f"section = {section}\n")
    state = ProjectSession(tub).state()
    assert state["from_bottom"] == ([1, 2] if section.startswith("[") else [])
    assert not state["sound"]


@pytest.mark.slow
@pytest.mark.parametrize("demo", rest_further(["ocarina", "nozzle", "pair"], daily=[0]))
def test_random_edits_of_the_demos_read_back_and_are_undone_to_the_byte(tmp_path, demo):
    file = tmp_path / "holder.toml"
    first = (DEMOS / demo / "holder.toml").read_text()
    file.write_text(first)
    session = ProjectSession(file)
    chance = random.Random(4)
    changed = 0
    for _ in range(60):
        data = tomllib.loads(session.text)
        n = chance.randrange(len(data["section"])) + 1
        steps = chance.choice(
            [
                put("block.wall", f"{chance.uniform(2, 6):.2f}"),
                put("fit.clearance", f"{chance.uniform(0.1, 0.8):.2f}"),
                put(f"section[{n}].clearance", chance.choice(["", "0.3"])),
                put("block.corner", chance.choice(["", "3"])),
                [{"do": "add", "key": "opening", "values": {"kind": "drain", "diameter": "5"}}],
                [{"do": "remove", "key": f"opening[{len(data.get('opening', [])) or 1}]"}],
                put("object.name", chance.choice(["Ä thing", 'of "quotes"', "plain"])),
                put(f"section[{n}].height", f"{chance.uniform(1, 60):.1f}"),
            ]
        )
        try:
            edit(session, steps)
        except ProjectError:
            continue
        changed += 1
        assert tomllib.loads(file.read_text()) == tomllib.loads(session.text)
    assert changed > 30
    while session.state()["undo"]:
        session.undo(revision=session.revision)
    assert file.read_text() == first


def test_two_pages_on_one_project_lose_nothing(tub):
    one, other = ProjectSession(tub), ProjectSession(tub)
    edit(one, put("block.wall", "4"))
    with pytest.raises(StaleError):
        edit(other, put("block.floor", "5"))
    edit(other, put("block.floor", "5"))
    assert one.look()
    edit(one, put("block.corner", "2"))
    block = tomllib.loads(tub.read_text())["block"]
    assert (block["wall"], block["floor"], block["corner"]) == (4, 5, 2)


def test_the_file_keeps_its_mode(tub):
    tub.chmod(0o600)
    session = ProjectSession(tub)
    edit(session, put("block.wall", "4"))
    assert os.stat(tub).st_mode & 0o777 == 0o600


EDITOR = """\
import sys
import threading
from pathlib import Path
from cradle.errors import StaleError
from cradle.page.session import ProjectSession
session, key, done = ProjectSession(Path(sys.argv[1])), sys.argv[2], 0
while done < 15:
    session.look()
    step = {"do": "set", "key": key, "value": str(done + 1)}
    try:
        session.edit([step], revision=session.revision, label=key)
    except StaleError:
        continue
    assert f"{key.split('.')[1]} = {done + 1}" in session.text
    done += 1
"""


def test_two_processes_that_edit_at_once_lose_nothing(tub):
    keys = ("block.wall", "block.floor")
    editors = [
        subprocess.Popen([sys.executable, "-c", EDITOR, str(tub), key], stderr=subprocess.PIPE, text=True)
        for key in keys
    ]
    for editor in editors:
        _, err = editor.communicate(timeout=120)
        assert editor.returncode == 0, err
    block = tomllib.loads(tub.read_text())["block"]
    assert (block["wall"], block["floor"]) == (15, 15)
    assert OWN in tub.read_text()
    assert [path.name for path in tub.parent.iterdir()] == ["holder.toml"]


@pytest.mark.slow
def test_whoever_asks_meanwhile_is_told_revision_values_and_history_of_one_moment(tub):
    session, told = ProjectSession(tub), []

    def change():
        for n in range(60):
            edit(session, put("block.wall", f"{3 + n / 10:g}"), f"wall {3 + n / 10:g}")

    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)  # change threads as often as can be
    try:
        work = threading.Thread(target=change)
        work.start()
        while work.is_alive():
            told.append(session.state())
        work.join()
    finally:
        sys.setswitchinterval(usual)
    told.append(session.state())
    later = [state for state in told if state["revision"] > 1]
    assert later
    for state in later:
        assert state["undo"] == f"wall {state['values']['block']['wall']:g}"
        assert state["values"]["block"]["wall"] == pytest.approx(3 + (state["revision"] - 2) / 10)


def test_a_folder_instead_of_a_project_file_is_refused_with_the_name_to_give(tmp_path):
    with pytest.raises(
        InputError, match="this is a folder, not a file; name the project file in it, such as"
    ):
        ProjectSession(tmp_path)
