"""What the page writes is what the commands write, byte for byte."""

import asyncio

import pytest
from page_tub import a_maker

from cradle.cli.main import main
from cradle.page.server import add_routes


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def commanded(tub, tmp_path, capsys):
    """The files of a command, by name."""

    def run(command, *options):
        folder = tmp_path / f"by-{command}"
        assert main([command, str(tub), "-o", str(folder), *options]) in (0, 1)
        capsys.readouterr()
        return contents(folder)

    return run


def test_the_holder_s_files_are_those_of_make(tub, worker, commanded):
    async def write():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            await maker.presses("save the holder's files")
            return maker.text("said")

    said = asyncio.run(write())
    written = contents(tub.parent / "out")
    assert written == commanded("make")
    assert len(written) == 10
    assert said.startswith(f"10 files are in {tub.parent / 'out'}: ")
    assert all(name in said for name in written)


def test_files_with_moved_values_are_those_of_make_once_the_values_are_kept(tub, worker, commanded):
    async def write():
        async with a_maker(tub, worker=worker, folder=tub.parent / "tried") as maker:
            await maker.opens()
            maker.sets("fit.clearance", 0.42)
            maker.sets("block.height", 45.0)
            await maker.settled()
            await maker.presses("save the holder's files")
            assert (
                "values that are not saved in the project file: clearance per side 0.35 → 0.42 mm"
                in maker.text("said")
            )
            await maker.presses("save these values to holder.toml")

    asyncio.run(write())
    assert contents(tub.parent / "tried") == commanded("make")


def test_a_holder_that_should_not_be_printed_is_written_with_a_warning(tub, worker):
    async def write():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            maker.sets("block.floor", 0.1)  # less than one layer
            await maker.settled()
            assert "do not print" in maker.text("verdict")
            await maker.presses("save the holder's files")
            return maker.text("said")

    assert asyncio.run(write()).endswith(" Do not print it: see the verdict.")
    assert len(contents(tub.parent / "out")) == 10


def test_slices_are_those_of_the_command(tub, worker, commanded):
    async def write():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            await maker.ticks()
            await maker.presses("save test pieces")
            assert maker.text("said") == "Tick at least one clearance."
            await maker.ticks(0.3, 0.5)
            await maker.presses("save test pieces")

    asyncio.run(write())
    written = contents(tub.parent / "out")
    assert written == commanded("slices", "--clearance", "0.3", "--clearance", "0.5")
    assert "tub-slices-1.stl" in written


def test_the_report_and_the_view_are_of_what_is_shown(tub, worker, commanded):
    async def ask():
        async with a_maker(tub, worker=worker) as maker:
            add_routes(maker.state)
            await maker.opens()
            client = maker.user.http_client
            report = await client.get(f"/report/{maker.tab.token}")
            view = await client.get(f"/solid/{maker.tab.token}/1")
            assert (await client.get("/report/none")).status_code == 404
            assert (await client.get("/solid/none/1")).status_code == 404
            maker.sets("block.wall", -1.0)
            await maker.settled()
            refused = await client.get(f"/report/{maker.tab.token}")
            assert refused.status_code == 409
            assert "found -1.0 mm" in refused.text
            return report.content, view.text

    report, view = asyncio.run(ask())
    assert report == commanded("make")["fit-report.html"]
    assert "solid-data" in view
    assert '"keep":"view of tab' in view  # it stays turned when it is built anew


def test_a_place_that_cannot_be_written_is_told(tub, worker):
    (tub.parent / "out").write_text("a file is in the way", encoding="utf-8")

    async def write():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            await maker.presses("save the holder's files")
            return maker.text("said")

    assert "is a file, not a folder" in asyncio.run(write())


def test_a_worker_that_died_is_replaced(tub, worker):
    async def write():
        async with a_maker(tub, worker=worker) as maker:
            await maker.opens()
            worker._process.kill()
            worker._process.join()
            maker.sets("fit.clearance", 0.5)
            await maker.settled()
            return maker.tab.preview.asked_mm

    assert asyncio.run(write()) == 0.5
