"""A computing process: newest request first, stopped and gone when it is told to, with nobody left waiting."""

import asyncio

import pytest
from made_demos import DEMOS

from cradle.page.build_job import Builder
from cradle.page.jobs import Answer, Doers, DroppedError, Job, Task, Watch, answered
from cradle.page.kept_outlines import KeptOutlines
from cradle.page.worker import Worker
from cradle.project.reader import project_text

OCARINA = DEMOS / "ocarina" / "holder.toml"
QUIET = Watch(step=lambda name: None, part=lambda data: None)


def job(*, ticket=0, task=Task.BUILD, text=None, file=OCARINA):
    text = project_text(OCARINA) if text is None else text
    return Job(task=task, ticket=ticket, text=text, file=file, folder=file.parent / "out")


def test_an_old_request_is_dropped_at_its_next_step():
    steps = []

    def step(name):
        steps.append(name)
        if len(steps) == 4:
            raise DroppedError

    assert answered(job(), doers=Doers(), watch=Watch(step=step, part=QUIET.part)) == Answer(dropped=True)
    assert len(steps) == 4


def test_a_mistake_and_a_fault_of_ours_are_answers():
    refused = answered(job(text="[fit]\nclearance = -1\n"), doers=Doers(), watch=QUIET)
    assert "fit.clearance" in [p.where for p in refused.problems]

    class Broken(Doers):
        def of(self, task):
            raise RuntimeError("odd")

    broken = answered(job(), doers=Broken(), watch=QUIET)
    assert broken.problems[0].found == "internal error: RuntimeError: odd"


def test_a_mistake_in_the_file_of_a_thing_beside_it_leads_to_no_field_of_this_one(tub):
    """It named section 2 of the other file, and so led to that of the project on the page."""
    (tub.parent / "other.toml").write_text(tub.read_text().replace("depth = 24", "depth = -24"))
    row = '[row]\nthings = ["other.toml", "gone.toml"]\n'
    refused = answered(job(text=tub.read_text() + row, file=tub), doers=Doers(), watch=QUIET)
    other, gone = refused.problems
    assert other.where.startswith(f"in {tub.parent / 'other.toml'}, line ")
    assert other.where.endswith(": section[2].measured.depth")
    assert gone.where == "row.things[2]"  # a field, without the file it stands in
    assert gone.found.endswith("gone.toml: there is no such file")


def test_the_builder_keeps_what_it_built_and_tells_parts_early(tub):
    parts, text = [], tub.read_text(encoding="utf-8")
    watch = Watch(step=QUIET.step, part=parts.append)
    builder = Builder(KeptOutlines())
    builder.answer(job(text=text, file=tub), watch)
    assert [part["stage"] for part in parts] == ["body", "rough"]
    made = builder._last.made
    report = builder.answer(job(task=Task.REPORT, text=text, file=tub), watch)
    assert report["html"].startswith(b"<!DOCTYPE html>")
    builder.answer(job(text=text, file=tub), watch)
    assert builder._last.made is made  # not built again
    assert len(parts) == 2


def test_a_worker_that_is_ended_leaves_nobody_waiting():
    async def end():
        worker = Worker("reader", ahead=())
        worker.start()
        process = worker._process
        asked = asyncio.create_task(worker.ask(job()))
        await asyncio.sleep(0.2)
        assert not asked.done()
        worker.stop()
        worker.stop()  # twice does no harm
        answer = await asyncio.wait_for(asked, timeout=30)
        assert answer.result is None
        assert not process.is_alive()
        assert (await worker.ask(job())).dropped  # and it does not come back

    asyncio.run(end())


@pytest.mark.slow
def test_what_is_being_built_can_be_stopped_and_the_worker_works_on():
    async def stop():
        worker, told = Worker("reader", ahead=()), []
        worker.start()
        asked = asyncio.create_task(worker.ask(job(ticket=worker.ticket()), on_told=told.append))
        while not told:
            await asyncio.sleep(0.02)
        await worker.stop_work()
        answer = await asyncio.wait_for(asked, timeout=30)
        assert answer.dropped or answer.problems[0].found == "stopped"
        assert answer.result is None
        sections = await worker.ask(job(task=Task.SECTIONS))
        worker.stop()
        assert len(sections.result["sections"]) == 4

    asyncio.run(stop())


@pytest.mark.slow
def test_a_drawing_that_was_drawn_again_is_read_again(tmp_path):
    def drawn(half):
        corners = [(-half, -half), (half, -half), (half, half), (-half, half)]
        (tmp_path / "square.csv").write_text("".join(f"{x},{y}\n" for x, y in corners))

    text = "".join(f'[[section]]\nheight = {h}\noutline = "square.csv"\n' for h in (0, 50))
    text += "[fit]\nclearance = 0.35\n"
    asked = job(text=text, file=tmp_path / "holder.toml")
    builder = Builder(KeptOutlines())
    for half in (20, 25.5):
        drawn(half)
        low, high = builder.answer(asked, QUIET)["size"]
        assert high[0] - low[0] == pytest.approx(2 * half + 2 * (0.35 + 3), abs=0.1)  # gap and wall
