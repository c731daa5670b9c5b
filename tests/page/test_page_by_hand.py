"""The whole job by pressing, typing and dragging in a real browser: from an empty folder to a file to print."""

import io
import re
import subprocess
import sys

import pytest
import trimesh
from made_demos import DEMOS
from page_window import NO_HOLDER
from PIL import Image
from visitor import drawn, needs_browser

pytestmark = needs_browser
PICTURES = [DEMOS / "ocarina" / "pictures" / f"{name}.jpg" for name in ("low", "broad")]  # drawn by examples/
READINGS = {
    "section[1].width": "28.55",
    "section[1].depth": "21.3",
    "section[2].width": "57",
    "section[2].depth": "43.25",
    "section[1].height": "2",
    "section[2].height": "28",
}


def test_two_pictures_and_four_readings_become_a_file_to_print(tmp_path, visit):
    person = visit(tmp_path / "holder.toml")
    assert "a new thing" in person.words("#name")
    person.hand_over(*PICTURES)
    person.says("#controls", "Scale: ")
    person.says("#controls", "Outline: piece 1 of 1, 57")  # 57.0 mm by the demo's own shape
    assert "Height of low" in person.words("#controls")
    person.go("holder")
    person.type("block.height", "24")
    person.go("measure")
    for key, value in READINGS.items():
        person.type(key, value)
    person.says("#controls .card.chosen", "43.25 read")
    person.go("holder")
    person.built()
    person.says("#view", "clearance per side")
    assert drawn(person), "the 3-D view is empty"
    person.go("fit")
    person.says("#controls", "chance that it goes in")
    person.says("#controls", "What to do")
    person.press("Make the holder's files")
    person.says("#controls", "holder.stl")
    assert "to print" not in person.page.inner_text("#controls li:has(a[download$='body.stl'])")
    with person.page.expect_download() as saved:
        person.page.click("#controls a[download$='holder.stl']")
    mesh = trimesh.load(io.BytesIO(saved.value.path().read_bytes()), file_type="stl")
    assert mesh.is_watertight
    assert mesh.volume > 20_000  # mm³; a solid block of 60 × 50 × 28 has 84,000
    assert mesh.bounds[0][2] == pytest.approx(0, abs=1e-3)
    assert mesh.extents[0] > 57  # at its rim the thing is some 53 mm wide, and has a wall on both sides


@pytest.mark.further
def test_what_is_pointed_at_is_changed_and_undone(tub, visit):
    """Piece, scale, points, place, clearance and a trial, all by pointing."""
    file = tub
    person = visit(file)
    begun = file.read_text()
    person.built()

    person.go("outline")
    person.hand_over(PICTURES[1])
    person.says("#controls", "Scale: ruler")
    canvas = person.page.locator("#view .picture canvas").first
    box = canvas.bounding_box()
    person.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    undo_says(person, "piece of broad chosen")
    person.press("Scale by two points")
    for x in (0.2, 0.8):
        person.page.mouse.click(box["x"] + box["width"] * x, box["y"] + box["height"] * 0.85)
    person.page.fill("#apart-mm", "120")
    person.press("Use this scale")
    undo_says(person, "scale of broad by two points")
    person.says("#controls", "Scale: two points")
    person.press("Move its points")
    handle = person.page.locator("#view .handle").nth(4)
    before = handle.get_attribute("cx")
    person.drag(handle, 12, 6)
    assert handle.get_attribute("cx") != before
    person.page.click("#undo")  # the point alone
    assert handle.get_attribute("cx") == before
    person.page.click("#redo")
    person.press("Save the outline")
    undo_says(person, "points of broad")
    assert "picture" not in section(person, "broad")

    person.go("stack")
    shape = person.page.locator("#view path.mine[role=button]")
    shape.focus()
    for _ in range(3):
        person.page.keyboard.press("ArrowRight")
    undo_says(person, "moved")

    person.go("fit")
    whole, labels = file.read_text(), []
    while person.state()["undo"]:
        labels.append(person.undo())
    assert labels[-1] == "broad.jpg added"
    assert len(labels) == 5
    assert file.read_text() == begun
    for _ in labels:
        person.redo()
    assert file.read_text() == whole
    for _ in labels:
        person.undo()
    person.built()
    person.says("#controls", "chance that it goes in")
    slider = person.page.locator("#controls input[type=range]")
    slider.focus()
    for _ in range(5):
        person.page.keyboard.press("ArrowRight")
    undo_says(person, "Clearance")
    person.type("fit.clearance", "0,85")  # and Tab goes on to the slider, which follows
    person.until("the slider", "document.querySelector('#controls input[type=range]').value === '0.85'")
    person.page.locator("#controls .ring").first.click()
    person.page.click("#controls .card button:has-text('tight')")
    person.says("#controls", "mm: tight")
    undo_says(person, "a trial noted")


def undo_says(person, words):
    said = f"fetch('/state').then((a) => a.json()).then((s) => (s.undo || '').includes({words!r}))"
    person.until(words, said)


def section(person, name):
    return next(one for one in person.state()["values"]["section"] if one["name"] == name)


@pytest.mark.slow
def test_what_goes_wrong_is_told_beside_its_cause_and_the_page_lives(tub, visit, tmp_path):
    evil = {
        "../../escape.svg": b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        "holder.exe": b"MZ\x90\x00",
        "scan.png": b"not a picture",
        "empty.csv": b"",
    }
    person = visit(tub)
    person.go("outline")
    for name, data in evil.items():
        files = {"name": name, "mimeType": "application/octet-stream", "buffer": data}
        person.page.set_input_files("#controls input[type=file][multiple]", files)
        person.until(
            f"an answer to {name}",
            f"document.querySelector('#controls .error').textContent.includes({name!r})"
            f" || (fetch('/state'), document.querySelector('#undo').title.includes({name!r}))",
        )
    assert sorted(p.name for p in tmp_path.rglob("*") if p.is_file()) == ["escape.svg", "holder.toml"]
    person.until("no more faults", "document.querySelectorAll('#controls button').length > 3")

    person.go("holder")
    wall = person.page.locator('[data-key="block.wall"] input')
    wall.fill("-3")
    wall.press("Tab")
    person.says('[data-key="block.wall"]', "-3")
    assert wall.get_attribute("aria-invalid") == "true"
    assert "wall" not in person.state()["values"]["block"]

    tub.write_text(tub.read_text().replace("height = 25 ", "height = 26 "), encoding="utf-8")
    person.says("#saved", "was changed outside this page")
    assert person.page.input_value('[data-key="block.height"] input') == "26"
    assert wall.input_value() == "-3"  # what was refused stays with its reason
    assert "The project keeps it empty" in person.words('[data-key="block.wall"]')
    wall.press("Escape")
    assert wall.input_value() == ""
    assert "-3" not in person.words('[data-key="block.wall"]')
    tub.write_text("[block\n", encoding="utf-8")
    person.says("#trouble", "line 1")
    assert person.ask("document.querySelector('#controls').inert")  # nothing can be changed, nor is it gone
    assert person.page.input_value('[data-key="block.height"] input') == "26"
    tub.write_text("", encoding="utf-8")
    person.until("the trouble is over", "document.querySelector('#trouble').textContent === ''")


def advised(person, step):
    """The verdict that stands in a step, once it does."""
    person.go(step)
    person.built()
    verdict = person.page.locator("#controls .verdict")
    verdict.wait_for()
    return verdict


@pytest.mark.slow
def test_nothing_is_advised_of_a_project_that_lacks_something(tub, visit):
    person = visit(tub)
    verdict = advised(person, "holder")
    sound = tub.read_text()
    tub.write_text(sound + '\n[[opening]]\nkind = "notch"\nthrough = "front"\nwidth = 9\n', encoding="utf-8")
    person.says("#controls", "Still to be given")
    assert not verdict.is_visible()
    tub.write_text(sound, encoding="utf-8")
    verdict.wait_for()


@pytest.mark.slow
def test_nothing_is_advised_where_no_holder_can_be_made_and_what_writes_files_names_the_place(tub, visit):
    person = visit(tub)
    verdict = advised(person, "fit")
    sound = tub.read_text()
    tub.write_text(sound + '\n[row]\nthings = ["gone.toml"]\n', encoding="utf-8")
    person.says("#view", "No holder with these values")
    opacity = (
        "[...document.querySelectorAll('#found, #found .error')].map((one) => getComputedStyle(one).opacity)"
    )
    assert person.ask(opacity) == ["1", "1"]
    assert not verdict.is_visible()
    person.press("Make the holder's files")
    person.says("#controls", "gone.toml: there is no such file")
    assert "other things: " in person.words("#controls")
    tub.write_text(sound, encoding="utf-8")
    verdict.wait_for()


@pytest.mark.slow
def test_a_picture_in_which_no_piece_lies_is_not_said_to_lack_a_scale(tmp_path, visit):
    buffer = io.BytesIO()
    Image.new("L", (900, 700), 250).save(buffer, "PNG")
    person = visit(tmp_path / "holder.toml")
    scan = {"name": "scan.png", "mimeType": "image/png", "buffer": buffer.getvalue()}
    person.page.set_input_files("#controls input[type=file][multiple]", scan)
    person.says("#controls", "of a drawn line say shape “a drawn line”")
    assert "tells its scale" not in person.words("#controls")
    assert "not chosen yet" in person.words("#controls")


@pytest.mark.slow
def test_pages_from_elsewhere_get_nothing(tub, chromium, host):
    """A page of another origin in the same browser, which has the cookie, reads nothing and changes nothing."""
    elsewhere = tub.parent / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "index.html").write_text("<title>elsewhere</title>", encoding="utf-8")
    serving = [
        sys.executable,
        "-u",
        "-m",
        "http.server",
        "0",
        "--bind",
        "127.0.0.1",
        "--directory",
        elsewhere,
    ]
    other = subprocess.Popen(serving, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    port = re.search(r"port (\d+)", other.stdout.readline())[1]
    before = tub.read_bytes()
    attack = """async (base) => {
      const tell = (work) => work.then((a) => a.text()).catch((error) => "refused");
      const body = JSON.stringify({revision: 1, label: "x", steps: [{do: "set", key: "block.wall", value: "9"}]});
      const image = new Image();
      const seen = new Promise((done) => { image.onload = () => done("seen"); image.onerror = () => done("refused"); });
      image.src = base + "/web/style.css";
      const frame = document.createElement("iframe");
      frame.src = base + "/";
      document.body.append(frame);
      await new Promise((done) => { frame.onload = done; setTimeout(done, 1500); });
      let inside = "refused";
      try { inside = frame.contentDocument ? "refused" : "refused"; if (frame.contentWindow.document.title) inside = "seen"; }
      catch { inside = "refused"; }
      return [await tell(fetch(base + "/state", {credentials: "include"})),
              await tell(fetch(base + "/edit", {method: "POST", body, credentials: "include"})),
              await tell(fetch(base + "/edit", {method: "POST", body, mode: "no-cors", credentials: "include"})),
              await seen, inside];
    }"""
    try:
        with host.serving(tub, drops=NO_HOLDER) as place:
            window = place.window()
            context = chromium.new_context()
            page = context.new_page()
            page.goto(window.address)
            page.goto(f"http://127.0.0.1:{port}/")
            said = page.evaluate(attack, window.base)
            context.close()
            assert said == ["refused", "refused", "", "refused", "refused"]
            assert window.look()["revision"] == 1
            assert tub.read_bytes() == before
    finally:
        other.kill()
        other.communicate()
