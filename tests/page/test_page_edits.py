"""Many edits in a row by typing, two windows at once, and long work stopped: in a real browser."""

import json
import random
import shutil
import tomllib

import pytest
from made_demos import DEMOS
from page_window import NO_HOLDER
from visitor import Visitor, drawn, needs_browser

from cradle.cli.main import main

pytestmark = needs_browser
FIELDS = {
    "block.wall": (2.4, 6, 1),
    "block.floor": (2, 6, 1),
    "block.corner": (0, 6, 1),
    "block.chamfer": (0, 1, 1),
    "block.height": (20, 40, 0),
    "fit.clearance": (0.2, 0.6, 2),
    "object.mass": (50, 400, 0),
    "printer.inside_error": (0, 0.2, 2),
}
# The browser takes the drawing away, as it does when it has too many or its device is reset, and gives it back.
LOST_AND_RESTORED = """async () => {
  const gl = document.querySelector("#view canvas").getContext("webgl2"), taken = gl.getExtension("WEBGL_lose_context");
  const wait = () => new Promise((done) => setTimeout(done, 300));
  taken.loseContext();
  await wait();
  const lost = gl.isContextLost();
  taken.restoreContext();
  await wait();
  return [lost, gl.isContextLost()];
}"""
# Stop is pressed the moment it is there, however short the work, and where it stands before and after other words beside it is kept.
STOPS = """() => {
  const work = document.querySelector("#work");
  new MutationObserver((_, watch) => {
    const stop = work.querySelector("button"), x = () => stop.getBoundingClientRect().x;
    if (!stop) return;
    watch.disconnect();
    const before = x();
    work.querySelector(".at-work").textContent = "with many more words than it had before";
    window.stopStood = [before, x()];
    stop.click();
  }).observe(work, {childList: true});
}"""


def edit_at_random(person, chance):
    """One field typed anew in its step, or the last change undone."""
    deed = chance.random()
    if deed < 0.1 and person.state()["undo"]:
        person.undo()
        return
    key = chance.choice(sorted(FIELDS))
    low, high, digits = FIELDS[key]
    value = f"{chance.uniform(low, high):.{digits}f}"
    table, name = key.split(".")
    if float(value) != person.state()["values"].get(table, {}).get(name):
        unfold(person, "fit" if table == "fit" else "holder")
        person.type(key, value)


def unfold(person, step):
    """Go to a step, all its groups open."""
    if person.ask("document.querySelector('#steps [aria-current=step]').dataset.step") != step:
        person.go(step)
    person.ask("document.querySelectorAll('#controls details').forEach((one) => { one.open = true; })")


def edited_holder(file, visit, *, edits, drops=()):
    """What the page and the command make of a project after so many edits, and the edits' last text."""
    person, chance = visit(file, drops=drops), random.Random(11)
    for _ in range(edits):
        edit_at_random(person, chance)
    person.go("fit")
    person.press("Make the holder's files")
    person.says("#controls", "holder.stl")
    by_page = {one.name: one.read_bytes() for one in (file.parent / "out").iterdir()}
    there = file.parent / "by-command"
    assert main(["make", str(file), "-o", str(there)]) in (0, 1)
    return by_page, {one.name: one.read_bytes() for one in there.iterdir()}


@pytest.mark.slow
def test_some_edits_end_in_the_holder_that_the_command_makes(tub, visit):
    by_page, by_command = edited_holder(tub, visit, edits=6, drops=NO_HOLDER)
    assert by_page == by_command


@pytest.mark.further
def test_two_hundred_edits_by_typing_end_in_the_holder_that_the_command_makes(tmp_path, visit):
    shutil.copytree(DEMOS / "ocarina", tmp_path / "ocarina")
    by_page, by_command = edited_holder(tmp_path / "ocarina" / "holder.toml", visit, edits=200)
    assert by_page == by_command


@pytest.mark.slow
def test_everything_typed_is_undone_and_done_again_to_the_byte(tub, visit):
    begun, chance, labels = tub.read_bytes(), random.Random(5), []
    person = visit(tub, drops=NO_HOLDER)
    person.go("holder")
    for _ in range(5):
        key = chance.choice(["block.wall", "block.floor", "block.height"])
        person.type(key, f"{chance.uniform(3, 24):.2f}")
    whole = tub.read_bytes()
    while person.state()["undo"]:
        labels.append(person.undo())
    assert len(labels) == 5
    assert tub.read_bytes() == begun
    for _ in labels:
        person.redo()
    assert tub.read_bytes() == whole
    assert person.state()["redo"] is None


@pytest.mark.slow
def test_two_windows_on_one_project_lose_nothing(tub, visit):
    one = visit(tub, drops=NO_HOLDER)
    other = visit(one)
    for person in (one, other):
        person.go("holder")
    one.type("block.wall", "3.5")
    other.until("told of it", "document.querySelector('[data-key=\"block.wall\"] input').value === '3.5'")
    other.type("block.floor", "5")
    one.until("told of it", "document.querySelector('[data-key=\"block.floor\"] input').value === '5'")
    assert one.undo() == "floor"
    other.until("undone there too", "document.querySelector('[data-key=\"block.floor\"] input').value === ''")
    assert tomllib.loads(tub.read_text())["block"] == {"height": 25, "wall": 3.5}


@pytest.mark.slow
def test_files_are_not_offered_again_while_they_are_written(tub, visit):
    one, held = visit(tub, drops=NO_HOLDER), []
    other = visit(one)
    one.go("fit")
    other.go("holder")
    one.page.route("**/files", lambda route: held.append(route))
    one.press("Make the holder's files")
    one.says("#controls", "Writing")
    other.type("block.floor", "5")
    one.until("told of it", "document.querySelector('#undo').title.includes('floor')")
    press = one.page.locator('#controls button:has-text("Make the holder\'s files")')
    assert press.is_disabled()
    held[0].fulfill(status=200, json={"folder": "out", "files": []})
    one.says("#controls", "Written to out")
    assert press.is_enabled()


@pytest.mark.slow
def test_what_is_told_while_a_window_opens_reaches_it(tub, chromium, host):
    with host.serving(tub) as place:
        window, context = place.window(), chromium.new_context()

        def late(route):
            """What the project said while its holder was built, answered when all of that has ended."""
            state = route.fetch().json()
            window.set("block.wall", "4")
            window.holder()
            route.fulfill(json=state | {"step": "judging the holder", "building": True})

        context.route("**/state", late, times=1)
        person = Visitor(context, window.address)
        person.go("holder")
        person.until("the work has ended", "document.querySelector('#work').childElementCount === 0")
        person.says("#view .status", "clearance per side")
        assert person.page.input_value('[data-key="block.wall"] input') == "4"
        assert person.faults == []
        context.close()


def field(person, key):
    return person.page.locator(f'[data-key="{key}"] input').first


def refuse(person, key, typed):
    """Type what is refused, and wait for the reason."""
    field(person, key).fill(typed)
    field(person, key).press("Tab")
    stays(person, key, typed)


def stays(person, key, typed):
    """What was typed stands in the field of a key with its reason, and nowhere else."""
    refused = (
        "JSON.stringify([...document.querySelectorAll('#controls .field')]"
        ".filter((one) => one.querySelector('.error')?.textContent.includes('The project keeps'))"
        ".map((one) => [one.dataset.key, one.querySelector('input').value]))"
    )
    wanted = json.dumps([[key, typed]], separators=(",", ":"))
    person.until(f"{typed} in {key}", f"{refused} === {wanted!r}")


@pytest.mark.slow
def test_what_was_refused_goes_with_its_section(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    person.go("measure")
    refuse(person, "section[2].measured.width", "-3")
    person.press("Add a plain shape")
    person.until("a third", "document.querySelector('[data-key=\"section[3].height\"]') !== null")
    stays(person, "section[2].measured.width", "-3")
    person.type("section[3].height", "20")  # below the second
    stays(person, "section[2].measured.width", "-3")
    person.type("section[3].name", "brim")
    person.says(".card.chosen h3", "brim")
    stays(person, "section[2].measured.width", "-3")
    person.go("outline")
    person.go("measure")
    stays(person, "section[2].measured.width", "-3")
    other = visit(person)
    other.go("measure")
    other.press("Remove", '#controls .card:has([data-key="section[1].name"])')
    stays(person, "section[1].measured.width", "-3")
    person.type("section[1].measured.width", "37")
    person.until(
        "nothing refused", "!document.querySelector('#controls').textContent.includes('The project keeps')"
    )
    assert person.state()["values"]["section"][0]["measured"]["width"] == 37


@pytest.mark.slow
def test_what_was_refused_goes_with_its_opening_and_goes_when_that_goes(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    person.go("holder")
    person.page.click("#controls summary:has-text('Openings')")
    for number in (1, 2):
        person.press("Add this opening")
        person.until("an opening", f"document.querySelector('[data-key^=\"opening[{number}]\"]') !== null")
    refuse(person, "opening[2].diameter", "-4")
    person.press("Remove", '#controls .card:has([data-key="opening[1].diameter"])')
    stays(person, "opening[1].diameter", "-4")
    assert person.undo() == "opening 1 removed"
    stays(person, "opening[1].diameter", "-4")  # nothing tells two that are alike from each other
    person.type("opening[2].diameter", "8")
    person.press("Remove", '#controls .card:has([data-key="opening[1].diameter"])')
    person.until("one only", "document.querySelector('[data-key^=\"opening[2]\"]') === null")
    assert "The project keeps" not in person.words("#controls")
    assert field(person, "opening[1].diameter").input_value() == "8"


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("fold", "key", "value", "more", "then"),
    [
        ("Several side by side", "row.things", ["a b/one.toml", "two.toml"], "; 3.toml", ["a b/one.toml", "two.toml", "3.toml"]),
        ("Printer", "printer.bed", ["8 in", "7 1/2 in", 200], "", None),
    ],
)  # fmt: skip
def test_several_values_in_a_field_are_read_back_as_shown(fold, key, value, more, then, tub, visit):
    table, name = key.split(".")
    tub.write_text(tub.read_text() + f"[{table}]\n{name} = {json.dumps(value)}\n")
    person = visit(tub, drops=NO_HOLDER)
    person.go("holder")
    summaries = person.page.locator(f"#controls details:has-text({fold!r}) summary")
    for number in range(summaries.count()):
        summaries.nth(number).click()
    shown = field(person, key).input_value()
    person.type(key, "220 220 250" if then is None else shown + more)
    if then is None:
        person.type(key, shown)
    assert person.state()["values"][table][name] == (then or value)


def test_what_was_unfolded_and_held_stays_so_when_the_form_grows(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    person.go("holder")
    for words in ("Printer", "Openings"):
        person.page.click(f"#controls summary:has-text({words!r})")
    add = person.page.locator("#controls button:has-text('Add this opening')")
    add.focus()
    person.page.keyboard.press("Enter")
    person.until("the opening", "document.querySelector('[data-key^=\"opening[1]\"]') !== null")
    assert person.page.is_visible('[data-key="printer.bed"]')
    assert "Add this opening" in person.ask("document.activeElement.textContent")
    assert person.undo() == "drain added"


@pytest.mark.first_daily
@pytest.mark.parametrize(("kind", "lacks"), [("notch", "depth"), ("screw", "screw")])
def test_what_a_new_opening_still_lacks_is_not_folded_away(kind, lacks, tub, visit):
    """One of several keys may be given, so that none of them counts as a usual one."""
    person = visit(tub, drops=NO_HOLDER)
    person.go("holder")
    person.page.click("#controls summary:has-text('Openings')")
    person.page.select_option('[aria-label="kind of opening"]', kind)
    person.press("Add this opening")
    place = f'[data-key="opening[1].{lacks}"]'
    person.until("the opening", f"document.querySelector('{place}') !== null")
    assert person.page.is_visible(place)
    assert "still to be given" in person.words(place)


@pytest.mark.slow
def test_what_is_being_built_is_told_and_can_be_stopped(tub, visit):
    person = visit(tub)
    person.built()
    person.go("holder")
    person.ask(STOPS)
    person.type("block.wall", "4")
    person.until("it is told what is done, and stopped", "window.stopStood !== undefined")
    before, after = person.ask("window.stopStood")
    assert before == after, "what is pressed moves with the words beside it"
    person.settle()
    assert person.ask("document.querySelector('#work').childElementCount === 0"), "it has ended"
    if "Stopped" in person.words("#view .status"):  # else it was done already
        person.press("Build again", "#view")
    person.built()
    person.says("#view .status", "clearance per side")


@pytest.mark.slow
def test_a_view_in_3_d_is_given_back_with_its_step_and_drawn_anew_where_the_browser_lost_it(tub, visit):
    person = visit(tub)
    person.built()
    for _ in range(12):  # a browser has sixteen drawings at most, and complains of more
        for step in ("stack", "holder"):
            person.go(step)
    person.says("#view .status", "clearance per side")
    assert person.faults == []
    assert person.ask(LOST_AND_RESTORED) == [True, False]
    assert drawn(person), "the 3-D view is empty"


@pytest.mark.slow
def test_a_section_in_the_hand_is_not_drawn_anew_though_it_stands_where_it_began(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    window = person.place.window()
    person.go("stack")
    shape = person.page.locator("#view path.mine[role=button]")
    shape.wait_for()
    box = shape.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    person.page.mouse.move(x, y)
    person.page.mouse.down()
    window.set("block.wall", "4")  # from another window: all is told and drawn again
    person.until("told", "document.querySelector('#undo').title.includes('wall')")
    person.page.mouse.move(x + 12, y + 4)
    person.page.mouse.up()
    person.until("moved", "fetch('/state').then((a) => a.json()).then((s) => 'shift' in s.values.section[1])")


def test_dragging_one_section_alone_is_told_where_it_was_dragged(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    person.go("stack")
    shape = person.page.locator("#view path.mine[role=button]")
    shape.wait_for()
    assert "alone" not in person.words("#controls")
    person.drag(shape, 12, 4)
    person.says("#controls .findings", "moves the whole thing")
    person.says("#controls .card.chosen", "not where this section lies beside the others")
    person.type("section[1].shift", "0, 0")  # and the other's, from the same zero
    person.says("#controls .card:not(.chosen)", "hangs on the shift as given or drawn")
    assert "alone" not in person.words("#controls")


def test_what_is_said_of_a_section_leads_to_it_whatever_it_is_called(tub, visit):
    text = tub.read_text().replace('"low"', "'the \"wide\" one'").replace('"high"', "\"the 'low' one\"")
    tub.write_text(text)
    person = visit(tub, drops=NO_HOLDER)
    script = """where => Promise.all([import('/web/places.js'), fetch('/state').then((said) => said.json())]).then(
        ([places, state]) => places.fieldOf({state, schema: {}}, where))"""
    for number, name in enumerate(('the "wide" one', "the 'low' one"), start=1):
        to = person.ask(script, f'section "{name}"')
        assert to == {"key": f"section[{number}].height", "step": "measure", "words": name}
    assert person.ask(script, 'section "rim"') is None


def test_a_doubt_about_openings_leads_to_each_of_them(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    script = """where => import('/web/places.js').then((places) => {
        const desk = {state: {values: {}, places: {}}, schema: {}}, gone = [];
        const ways = places.waysOf({desk, go: (step, key) => gone.push(key)}, {where});
        for (const way of ways.children) way.click();
        return [places.fieldOf(desk, where).words, gone];
    })"""
    both = person.ask(script, "opening[1], opening[3]")
    assert both == ["opening 1, opening 3", ["opening[1]", "opening[3]"]]
    assert person.ask(script, "opening[2], pocket 4") == ["opening 2, pocket 4", ["opening[2]"]]
    tub.write_text(tub.read_text() + '[[opening]]\nkind = "drain"\ndiameter = 6\n')
    person.go("holder")
    person.until("its card", "document.querySelector('h3[data-key=\"opening[1]\"]') !== null")
