"""The page's own scripts, run without a browser: every step fills, every field has a name, nothing undefined is shown."""

import json
import shutil
import subprocess
from pathlib import Path

import pytest
from made_demos import DEMOS
from page_window import served

from cradle.page.server import WEB

NODE = shutil.which("node")
HERE = Path(__file__).parent / "browser"
pytestmark = pytest.mark.skipif(NODE is None, reason="the scripts are run by Node, which is not here")


def walked(new_window, *, wait):
    window = new_window()
    if wait:
        window.holder()
    cookie = "; ".join(f"{name}={value}" for name, value in window.client.cookies.items())
    done = subprocess.run(
        [NODE, str(HERE / "walk.mjs"), window.base, cookie, str(WEB)],
        capture_output=True,
        text=True,
        timeout=200,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("script", sorted(WEB.rglob("*.js")), ids=lambda path: path.name)
def test_every_script_is_sound_and_short(script):
    text = script.read_text(encoding="utf-8")
    done = subprocess.run(
        [NODE, "--input-type=module", "--check"], input=text, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert text.count("\n") <= 400
    assert "innerHTML" not in text  # what a project says is never taken for HTML
    assert "eval(" not in text


def test_every_step_shows_a_made_project(tmp_path):
    shutil.copytree(DEMOS / "nozzle", tmp_path / "nozzle")
    with served(tmp_path / "nozzle" / "holder.toml") as (new_window, _):
        seen = walked(new_window, wait=True)
    assert seen["errors"] == []
    assert list(seen["steps"]) == ["outline", "measure", "stack", "holder", "fit"]
    for name, step in seen["steps"].items():
        assert step["words"] > 100, name
        assert step["inputs"] == step["labelled"], name
        assert step["unnamed"] == 0, name
        assert step["inputs"] > 0 or name == "outline", name  # its first section is a plain shape
    assert seen["steps"]["stack"]["svg"] >= 3
    assert {"block.wall", "object.hazards", "spread.trace", "plate.width"} <= set(
        seen["steps"]["holder"]["keys"]
    )


def test_every_step_shows_an_empty_project(tmp_path):
    with served(tmp_path / "holder.toml") as (new_window, _):
        seen = walked(new_window, wait=False)
    assert seen["errors"] == []
    assert len(seen["steps"]) == 5


def test_the_chance_is_read_off_the_curve_straight_between_its_points():
    script = (
        f"import {{chanceAt, glance}} from {json.dumps((WEB / 'chance.js').as_uri())};"
        "const curve = [[0, 0], [0.5, 0.8], [1, 1]];"
        "const holder = {stage: 'done', curve, thing_name: 'it', cause: {height: 1, where: 'a', because: 'b'}};"
        "console.log(JSON.stringify([0.25, -1, 0.75, 3].map((c) => chanceAt(curve, c)).concat(glance(holder, 0.25).words)));"
    )
    done = subprocess.run(
        [NODE, "--input-type=module", "-e", script], capture_output=True, text=True, check=True
    )
    *chances, words = json.loads(done.stdout)
    assert chances == pytest.approx([0.4, 0.0, 0.9, 1.0])
    assert "about 40 %" in words


@pytest.mark.slow
def test_the_whole_job_is_done_by_pressing_and_typing(tmp_path):
    pictures = [DEMOS / "ocarina" / "pictures" / f"{name}.jpg" for name in ("low", "broad")]
    with served(tmp_path / "holder.toml") as (new_window, _):
        window = new_window()
        cookie = "; ".join(f"{name}={value}" for name, value in window.client.cookies.items())
        done = subprocess.run(
            [NODE, str(HERE / "act.mjs"), window.base, cookie, str(WEB), *map(str, pictures)],
            capture_output=True,
            text=True,
            timeout=400,
            check=False,
        )
    assert done.returncode == 0, done.stdout + done.stderr
    seen = json.loads(done.stdout)
    assert "57 read" in seen["residual"]
    assert "Found -3.0 mm" in seen["mistake"]
    assert seen["found"]
    assert seen["glance"]["words"].startswith("At 0.8 mm per side, chance that it goes in without touching")
    assert {"a trial noted", "clearance", "broad moved", "points of low"} <= set(seen["undone"])
    assert len(seen["undone"]) >= 12
    assert any(name.endswith("holder.stl") for name in seen["files"])
