"""What the README shows works as it stands there."""

import re
import shlex
from pathlib import Path

import pytest

from cradle.cli.main import app, main
from cradle.project.reader import project_from_text
from cradle.project.thing import Hazard

ROOT = Path(__file__).parent.parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", README, re.DOTALL)
COMMANDS = sorted(
    {
        line.strip()
        for text in (*(text for kind, text in BLOCKS if kind == "sh"), *re.findall(r"`([^`\n]+)`", README))
        for line in re.findall(r"^cradle [a-z]+ [^#\n]+", text, re.MULTILINE)
    }
)


def test_the_project_in_it_is_whole():
    (text,) = (text for kind, text in BLOCKS if kind == "toml")
    project = project_from_text(text, file=Path("holder.toml"))
    assert [section.name for section in project.sections] == ["low", "top"]
    assert project.thing.hazards == (Hazard.WET,)


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_in_it_is_one_with_these_options(command):
    name, *rest = shlex.split(command)[1:]
    options = {flag for parameter in app.commands[name].params for flag in parameter.opts}
    assert {word for word in rest if word.startswith("-")} <= options | {"--help"}


def test_the_commands_are_found_at_all():
    assert len(COMMANDS) >= 7
    assert any("--nominal" in command for command in COMMANDS)


@pytest.mark.parametrize("hazard", list(Hazard))
def test_every_hazard_is_named(hazard):
    assert f'"{hazard}"' in README


@pytest.mark.slow
@pytest.mark.parametrize(("block", "demo"), [(0, "ocarina"), (1, "nozzle")])
def test_what_it_shows_of_a_demo_is_what_make_says(block, demo, tmp_path, capfd):
    shown = [text for kind, text in BLOCKS if kind == "text"][block]
    project = ROOT / "demo_data" / demo / "holder.toml"
    main(["make", str(project), "-o", str(tmp_path)])
    told = "".join(capfd.readouterr()).replace(str(project), "holder.toml")
    assert " ".join(shown.split()) in " ".join(told.split())
