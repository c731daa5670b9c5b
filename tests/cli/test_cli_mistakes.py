"""Input that is wrong ends with 2, impossible geometry with 3, each told on one line."""

import json
import re

import pytest
from permissions import where_permissions_bind
from tub import TUB
from tub_made import failing

from cradle.cli.main import main
from cradle.errors import HolderError, LoftError


@pytest.mark.parametrize("command", ["check", "make"])
def test_a_missing_project_is_told(command, tmp_path, capsys):
    code, lines = failing(command, tmp_path / "none.toml", capsys=capsys)
    assert code == 2
    assert len(lines) == 1
    assert "none.toml" in lines[0]


@pytest.mark.parametrize("command", ["check", "make"])
def test_a_folder_as_project_is_told(command, tmp_path, capsys):
    code, (line,) = failing(command, tmp_path, capsys=capsys)
    assert code == 2
    assert str(tmp_path) in line


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"[object\n", b"\x00" * 100, b""])
def test_an_unreadable_project_is_told(content, tub, capsys):
    tub.write_bytes(content)
    code, lines = failing("make", tub, capsys=capsys)
    assert code == 2
    assert "holder.toml" in lines[0]


@pytest.mark.parametrize(
    "arguments",
    [
        ("make", "loop.toml"),
        ("make", "row.toml"),
        ("make", "holder.toml", "-o", "loop"),
        ("start", "loop"),
        ("trace", "loop.png"),
        ("trace", "loop.png", "-o", "loop.svg"),
        ("sheet", "-o", "loop.pdf"),
        ("trial", "holder.toml", "--read", "20", "--nominal", "20.1"),
    ],
)
def test_links_that_lead_in_a_circle_are_told(arguments, tub, monkeypatch, capsys):
    monkeypatch.chdir(tub.parent)
    tub.with_name("row.toml").write_text(TUB + '[row]\nthings = ["loop.toml"]\n', encoding="utf-8")
    for name in ("loop", "loop.toml", "loop.png", "loop.svg", "loop.pdf", "trials.toml"):
        tub.with_name(name).symlink_to(name)
    code, (line, *_) = failing(*arguments, capsys=capsys)
    assert code in (2, 4)
    assert re.search(r"loop|trials", line)


@where_permissions_bind
def test_a_project_that_may_not_be_read_is_told(tub, capsys):
    tub.chmod(0)
    assert failing("make", tub, capsys=capsys)[0] == 2


def test_all_mistakes_are_told_at_once_one_a_line(tub, capsys):
    tub.write_text(
        TUB.replace("width = 30", "widht = 30").replace("height = 25", 'height = "tall"'), encoding="utf-8"
    )
    code, lines = failing("make", tub, capsys=capsys)
    assert code == 2
    assert len(lines) >= 2
    assert "width" in lines[0]
    assert all(re.search(r"holder\.toml: line \d+", line) for line in lines)


def test_mistakes_are_told_as_json_too(tub, capsys):
    tub.write_text(TUB.replace("width = 30", "widht = 30"), encoding="utf-8")
    assert main(["make", str(tub), "--json"]) == 2
    out, err = capsys.readouterr()
    result = json.loads(out)
    assert result["exit_code"] == 2
    assert result["errors"][0]["kind"] == "ProjectError"
    assert result["errors"][0]["line"] == TUB.splitlines().index("width = 30") + 1
    assert len(err.splitlines()) == len(result["errors"])


def test_a_missing_outline_is_told(tub, capsys):
    text = TUB.replace(
        '[section.measured]\nform = "rectangle"\nwidth = 30\ndepth = 20\ncorner = 4', 'outline = "none.svg"'
    )
    assert text != TUB
    tub.write_text(text, encoding="utf-8")
    code, lines = failing("make", tub, capsys=capsys)
    assert code == 2
    assert "none.svg" in lines[0]


@pytest.mark.parametrize("value", ["-0.2", "abc", "nan", "inf", "", "0.2 parsec", "1/0", "400", "1 in"])
def test_a_clearance_that_is_none_is_told(value, tub, capsys):
    code, (line,) = failing("make", tub, "--clearance", value, capsys=capsys)
    assert code == 2
    assert "--clearance" in line
    assert not (tub.parent / "out").exists()


@pytest.mark.parametrize(
    "arguments",
    [["nonsense"], ["make"], ["make", "a", "b"], ["make", "--nonsense"], ["make", "a", "-o"], ["start"]],
)
def test_a_command_line_that_is_wrong_is_told_on_one_line(arguments, capsys):
    code, lines = failing(*arguments, capsys=capsys)
    assert code == 2
    assert len(lines) == 1


def test_more_clearances_than_a_list_holds_are_told(tub, capsys):
    many = [word for k in range(25) for word in ("--clearance", f"0.{k + 10}")]
    for command in ("make", "pieces"):
        code, (line,) = failing(command, tub, *many, capsys=capsys)
        assert code == 2
        assert "--clearance: found 25, allowed are at most 24" in line


def test_the_bare_command_shows_the_help(capsys):
    assert main([]) == 2
    assert "Commands:" in capsys.readouterr().out


def test_a_project_is_never_overwritten(tub, capsys):
    code, (line,) = failing("start", tub.parent, capsys=capsys)
    assert code == 2
    assert "already" in line
    assert tub.read_text(encoding="utf-8") == TUB


def test_a_file_as_folder_of_a_new_project_is_told(tub, capsys):
    assert failing("start", tub, capsys=capsys)[0] == 2


def test_a_pocket_that_cannot_be_had_gives_3_and_names_the_clearance(tub, tmp_path, monkeypatch, capsys):
    def impossible(_, *, clearance_mm, **__):
        raise HolderError("the pocket breaks through the wall", where="block.wall")

    monkeypatch.setattr("cradle.pipeline.build", impossible)
    code, (line,) = failing("make", tub, "-o", tmp_path / "out", "--clearance", "0.4", capsys=capsys)
    assert code == 3
    assert line == f"cradle: {tub}: line 28: clearance 0.4 mm: block.wall: the pocket breaks through the wall"
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("how", ["as text", "--json"])
def test_what_no_holder_can_have_is_told_by_check_with_the_sections_that_were_read(how, tub, capsys):
    narrow = '[plate]\nwidth = 30\nheight = 20\nscrew = "M4"\n'
    tub.write_text(TUB + narrow, encoding="utf-8")
    code = main(["check", str(tub), *(["--json"] if how == "--json" else [])])
    out, err = capsys.readouterr()
    assert code == 3
    assert err.startswith(f"cradle: {tub}: line 30: plate: a plate of 30.0 × 20.0 mm hides behind the block")
    if how == "--json":
        (error,) = json.loads(out)["errors"]
        assert (error["where"], error["file"], error["line"]) == ("plate", str(tub), 30)
    else:
        assert re.search(r"high.*50\.00.*36\.00×24\.00", out)


def test_what_speaks_against_printing_is_told_by_check(tub, capsys):
    tub.write_text(TUB + "[printer]\nbed = [30, 30, 30]\n", encoding="utf-8")
    assert main(["check", str(tub)]) == 1
    assert "do not print: printer.bed: the holder is" in capsys.readouterr().out


@pytest.mark.parametrize("kind", [HolderError, LoftError])
def test_impossible_geometry_gives_3(kind, tub, monkeypatch, capsys):
    def impossible(*_, **__):
        raise kind("the pocket breaks through the floor", where="block.floor", hint="raise it")

    monkeypatch.setattr("cradle.pipeline.model_row", impossible)
    code, lines = failing("make", tub, capsys=capsys)
    assert (code, lines) == (
        3,
        [f"cradle: {tub}: line 28: block.floor: the pocket breaks through the floor; raise it"],
    )


@pytest.mark.parametrize(
    ("added", "line", "key"),
    [
        ("lead_in = 3", 28, "block.wall"),  # the key is not there: its table is
        ("chamfer = 20\nwall = 40", 30, "block.chamfer"),
        (
            '[[opening]]\nkind = "drain"\ndiameter = 5\n[[opening]]\nkind = "drain"\ndiameter = 70',
            33,
            "opening[2]",
        ),
        (
            '[[opening]]\nkind = "window"\nthrough = "left"\nwidth = 8\nheight = 9\nat = [0, 40]',
            30,
            "opening[1]",
        ),
        ('[plate]\nwidth = 90\nthickness = 2\nscrew = "M6"', 30, "plate"),
    ],
)
def test_what_is_impossible_is_told_with_its_line_what_is_allowed_and_what_to_do(
    added, line, key, tub, capsys
):
    tub.write_text(f"{TUB}{added}\n", encoding="utf-8")
    assert main(["check", str(tub)]) == 3
    words = capsys.readouterr().err
    assert words.startswith(f"cradle: {tub}: line {line}: {key}: ")
    assert "; " in words
