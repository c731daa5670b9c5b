"""Values moved on the page: the figures follow, wrong ones are told, the project file is kept in order."""

import asyncio
import difflib
import re

import numpy as np
from made_demos import parts_of
from page_tub import TUB, a_maker

from cradle.pipeline import make
from cradle.project.reader import read_project


def width_mm(preview):
    return float(re.search(r"<dt>size</dt><dd>([0-9.]+) × ", preview.parts["figures"])[1])


def test_the_page_opens_with_the_verdict_and_all_figures(tub, worker):
    async def look():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            assert "verdict" in maker.text("verdict")
            assert "What to do" in maker.text("verdict")
            figures = maker.text("figures")
            for words in ("chance of fit", "least gap", "thinnest wall", "tips over at", "size"):
                assert words in figures
            assert "mass" in maker.text("printing")
            assert "nozzle and bed are hot" in maker.text("cautions")
            assert "/solid/" in maker.text("solid")
            assert maker.number("fit.clearance") == 0.35
            assert maker.text("busy") == "Same as the project file."

    asyncio.run(look())


def test_a_clearance_is_shown_at_once_and_then_as_built(tub, worker):
    async def move():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            before = maker.tab.preview
            maker.sets("clearance-slider", 0.5)
            await asyncio.sleep(0.02)
            assert maker.tab.preview is before  # not built yet
            assert maker.text("glance").startswith("At 0.50 mm per side chance that it goes in")
            assert "is being built" in maker.text("sections")
            assert (
                maker.text("sections").count("about 0.50 mm around it") == 1
            )  # the upper section is above the rim
            assert maker.number("fit.clearance") == 0.5  # the number goes with the slider
            guessed = int(maker.text("glance").split("about ")[1].split(" %")[0])
            await maker.settled()
            built = maker.tab.preview
            assert built.asked_mm == 0.5
            assert re.search(
                r"least gap measured, per side</dt><dd>(at least )?0\.5[01] mm", built.parts["figures"]
            )
            assert width_mm(built) > width_mm(before) + 0.15
            assert built.chance > before.chance
            assert abs(100 * built.chance - guessed) <= 3  # the guess was a fair one
            assert "0.50 mm" in maker.text("figures")
            assert "is being built" not in maker.text("sections")
            assert maker.text("busy") == "These values are not saved in the project file yet."

    asyncio.run(move())


def test_the_block_follows_and_is_what_the_pipeline_makes(tub, worker):
    async def move():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            for key, value in (
                ("height", 45.0),
                ("wall", 4.0),
                ("floor", 6.0),
                ("flare", 3.0),
                ("lead_in", 2.0),
            ):
                maker.sets(f"block.{key}", value)
            await maker.settled()
            return maker.tab.preview.parts, maker.tab.moved

    shown, moved = asyncio.run(move())
    assert len(moved) == 5
    file = tub.with_name("other.toml")
    text = TUB.replace("height = 25  ", "height = 45\nwall = 4\nfloor = 6\nflare = 3\nlead_in = 2\n#")
    file.write_text(text, encoding="utf-8")
    made = make(read_project(file))
    assert np.ptp(made.holder.mesh.vertices_mm[:, 2]) > 50
    parts = parts_of(made)
    assert len(parts) > 10
    for name in parts.keys() - {"findings", "verdict", "steps"}:  # these name the project's file
        assert shown[name] == parts[name], name


def test_of_many_moves_only_the_last_is_built(tub, worker):
    async def move():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            seen = []
            for value in (0.4, 0.45, 0.5):
                maker.tab.move("fit.clearance", value)
                seen.append(asyncio.ensure_future(maker.tab.see()))
                await asyncio.sleep(0.25)  # longer than the pause: each is on its way when the next comes
            assert await asyncio.gather(*seen) == [False, False, True]
            assert maker.tab.preview.asked_mm == 0.5

    asyncio.run(move())


def test_a_wrong_value_is_told_in_a_sentence_and_the_last_holder_stays(tub, worker):
    async def move():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            figures = maker.text("figures")
            maker.sets("block.wall", -1.0)
            await maker.settled()
            said = maker.text("verdict")
            assert "no holder with these values" in said
            assert "<p>wall: found -1.0 mm" in said
            assert "last holder that could be built" in said
            assert maker.text("figures") == figures
            await maker.presses("save the holder's files")
            assert "found -1.0 mm" in maker.text("said")
            await maker.presses("save these values to holder.toml")
            assert "found -1.0 mm" in maker.text("said")
            assert not (tub.parent / "out").exists()
            assert tub.read_text(encoding="utf-8") == TUB
            maker.sets("block.wall", 3.0)
            await maker.settled()
            assert "What to do" in maker.text("verdict")
            maker.sets("block.lead_in", 5.0)  # a sound value in itself, but the wall is thinner
            await maker.settled()
            assert "no holder with these values" in maker.text("verdict")
            assert "a wall of 3 mm less" in maker.text("verdict")
            assert maker.text("figures") == figures
            await maker.presses("save these values to holder.toml")
            assert "Not saved: wall: a wall of 3 mm less" in maker.text("said")
            assert tub.read_text(encoding="utf-8") == TUB

    asyncio.run(move())


def test_values_are_kept_with_the_comments_and_nothing_else_changes(tub, worker):
    async def keep():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            maker.sets("fit.clearance", 0.42)
            maker.sets("block.wall", 3.6)
            await maker.settled()
            await maker.presses("save these values to holder.toml")
            assert maker.text("said") == (
                "Saved to holder.toml: clearance per side 0.35 → 0.42 mm; wall 3 → 3.6 mm."
            )
            assert maker.text("busy") == "Same as the project file."
            await maker.presses("save these values to holder.toml")
            assert "Nothing to save" in maker.text("said")

    asyncio.run(keep())
    after = tub.read_text(encoding="utf-8")
    changed = [
        line
        for line in difflib.ndiff(TUB.splitlines(), after.splitlines())
        if line[:2] in ("- ", "+ ") and line[2:].strip()
    ]
    assert changed == [
        "- clearance = 0.35   # per side, as last time",
        "+ clearance = 0.42   # per side, as last time",
        "+ wall = 3.6",
    ]
    project = read_project(tub)
    assert (project.fit.clearance_mm, project.block.wall_mm) == (0.42, 3.6)


def test_a_file_edited_meanwhile_is_not_overwritten(tub, worker):
    async def keep():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            maker.sets("fit.clearance", 0.42)
            await maker.settled()
            edited = TUB.replace("mass = 100", "mass = 120")
            tub.write_text(edited, encoding="utf-8")
            assert maker.tab.state().startswith("The project file was changed since")
            await maker.presses("save these values to holder.toml")
            assert "was changed since this page read it, so nothing was kept" in maker.text("said")
            assert tub.read_text(encoding="utf-8") == edited
            await maker.opens()  # loaded again: read again
            assert maker.tab.project.thing.mass_g == 120
            assert maker.number("fit.clearance") == 0.35
            maker.sets("fit.clearance", 0.42)
            await maker.settled()
            await maker.presses("save these values to holder.toml")
            assert tub.read_text(encoding="utf-8") == edited.replace("0.35", "0.42")

    asyncio.run(keep())


def test_two_tabs_do_not_write_over_each_other(tub, worker):
    async def keep():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            first = maker.tab
            await maker.opens()
            second = maker.tab
            assert first is not second
            first.move("fit.clearance", 0.40)
            second.move("fit.clearance", 0.50)
            assert await asyncio.gather(first.see(), second.see()) == [True, True]
            assert [t.preview.asked_mm for t in (first, second)] == [0.40, 0.50]
            assert (await first.keep()).startswith("Saved")
            assert "nothing was kept" in await second.keep()
            assert read_project(tub).fit.clearance_mm == 0.40
            assert await first.write() != await second.write()  # one after the other, each its own holder

    asyncio.run(keep())
    names = {path.name for path in (tub.parent / "out").iterdir()}
    assert "summary.json" in names
    assert not any(name.startswith(".") for name in names)


def test_a_clearance_left_to_the_program_is_shown_and_can_be_moved(tub, worker):
    tub.write_text(TUB.replace("clearance = 0.35", 'clearance = "auto"'), encoding="utf-8")

    async def move():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            taken = maker.tab.preview.taken_mm["fit.clearance"]
            assert maker.number("fit.clearance") == taken
            maker.sets("fit.clearance", 0.3)
            await maker.settled()
            assert maker.tab.preview.asked_mm == 0.3
            await maker.presses("undo my changes")
            await maker.settled()
            assert maker.tab.moved == {}
            assert maker.number("fit.clearance") == taken
            return taken

    assert asyncio.run(move()) > 0.1


def test_a_file_with_mistakes_is_answered_with_sentences(tub, worker):
    tub.write_text(TUB.replace("width = 30", "width = -30").replace("[block]", "[blok]"), encoding="utf-8")

    async def look():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            return maker.text("verdict")

    said = asyncio.run(look())
    assert "the project file has mistakes" in said
    assert "found -30.0 mm" in said
    assert "did you mean block?" in said
