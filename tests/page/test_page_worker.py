"""The building process: newest request first, gone when it is told to, with nobody left waiting."""

import asyncio

import pytest
from made_demos import DEMOS

from cradle.page.jobs import PLACES, Answer, Builder, Job, Task
from cradle.page.preview import Preview
from cradle.page.worker import Worker
from cradle.project.reader import text_of

OCARINA = DEMOS / "ocarina" / "holder.toml"


def job(*, ticket=0, tab=1, task=Task.PREVIEW, text=None):
    text = text_of(OCARINA) if text is None else text
    return Job(task=task, tab=tab, ticket=ticket, text=text, file=OCARINA, folder=OCARINA.parent)


def test_an_old_request_is_dropped_before_and_while_it_is_built():
    class Newest(list):
        """Says after a few questions that a newer request has come."""

        asked = 0

        def __getitem__(self, place):
            self.asked += 1
            return 2 if self.asked > 5 else 1

    never = [0] * PLACES
    never[1] = 7
    assert Builder(never).answer(job(ticket=6)) == Answer()
    newest = Newest()
    assert Builder(newest).answer(job(ticket=1)) == Answer()
    assert newest.asked == 6


def test_the_builder_keeps_what_it_built_and_answer_mistakes_in_sentences():
    builder = Builder([0] * PLACES)
    first = builder.answer(job()).result
    assert isinstance(first, Preview)
    assert builder.answer(job(task=Task.REPORT)).result.startswith(b"<!DOCTYPE html>")
    made = builder._made
    assert builder.answer(job()).result.sections is first.sections  # not built again
    assert builder._made is made
    (said,) = builder.answer(job(text="[fit]\nclearance = -1\n[[section]]\n")).refused[:1]
    assert said.endswith(".")
    assert builder.answer(job()).result.sections is first.sections


def test_a_worker_that_is_stopped_leaves_nobody_waiting():
    async def stop():
        worker = Worker()
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
        assert await worker.ask(job()) == Answer()  # and it does not come back

    asyncio.run(stop())


def test_a_drawing_that_was_drawn_again_is_read_again(tmp_path):
    def drawn(half):
        corners = [(-half, -half), (half, -half), (half, half), (-half, half)]
        (tmp_path / "square.csv").write_text("".join(f"{x},{y}\n" for x, y in corners))

    text = "".join(f'[[section]]\nheight = {h}\noutline = "square.csv"\n' for h in (0, 40))
    asked = Job(
        task=Task.PREVIEW, tab=1, ticket=0, text=text, file=tmp_path / "holder.toml", folder=tmp_path / "out"
    )
    builder = Builder([0] * PLACES)
    drawn(20)
    assert builder.answer(asked).result.sections[0].traced_mm == pytest.approx((40.0, 40.0))
    drawn(25.5)
    assert builder.answer(asked).result.sections[0].traced_mm == pytest.approx((51.0, 51.0))
