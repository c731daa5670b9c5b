"""What a window asks about the holder: what was built, files, test pieces, trials, the report."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from html import escape
from typing import Final

from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from cradle.errors import InputError, Problem
from cradle.page.answers import careful, passed_on
from cradle.page.desk import Desk
from cradle.page.error_text import sentence
from cradle.page.guard import REPORT_POLICY
from cradle.page.jobs import Task
from cradle.page.request_body import json_of, revision_in

_TRIAL_KEYS: Final = ("section", "height", "clearance", "seen", "piece", "side", "read", "nominal")


def holder_routes(desk: Desk) -> list[Route]:
    """The routes of the holder."""
    return [
        Route("/holder", careful(desk, _holder)),
        Route("/part/{stage}", careful(desk, _part)),
        Route("/build", careful(desk, _build), methods=["POST"]),
        Route("/stop", careful(desk, _stop), methods=["POST"]),
        Route("/files", careful(desk, _files), methods=["POST"]),
        Route("/pieces", careful(desk, _pieces), methods=["POST"]),
        Route("/file/{name}", careful(desk, _file)),
        Route("/report", careful(desk, _report)),
        Route("/trials", careful(desk, _trials)),
        Route("/trial", careful(desk, _trial), methods=["POST"]),
    ]


async def _holder(_: Request, desk: Desk) -> Response:
    return JSONResponse(desk.holder)


async def _part(request: Request, desk: Desk) -> Response:
    return JSONResponse(desk.parts.get(request.path_params["stage"], {"revision": 0}))


async def _build(_: Request, desk: Desk) -> Response:
    desk.build_again()
    return JSONResponse({})


async def _stop(_: Request, desk: Desk) -> Response:
    await desk.stop_building()
    return JSONResponse({})


async def _files(_: Request, desk: Desk) -> Response:
    return passed_on(await desk.make(Task.FILES))


async def _pieces(request: Request, desk: Desk) -> Response:
    """``{clearances}``: test rings and pegs, and the paper check."""
    data = await json_of(request)
    given = {"clearances": data.get("clearances")}
    if not isinstance(given["clearances"], list):
        raise InputError("expected a list of clearances", where="test_pieces.clearances")
    return passed_on(await desk.make(Task.PIECES, given))


async def _file(request: Request, desk: Desk) -> Response:
    """A file that was written since the page was opened."""
    name = request.path_params["name"]
    file = desk.folder / name
    if name not in desk.written or not file.is_file():
        raise InputError("this file was not written from here", where=name[:80], hint="make the files again")
    return FileResponse(file, filename=name)


async def _report(_: Request, desk: Desk) -> Response:
    answer = await desk.make(Task.REPORT)
    if answer.result is None:
        return HTMLResponse(_refusal(answer.problems), status_code=422)
    return HTMLResponse(answer.result["html"], headers={"content-security-policy": REPORT_POLICY})


def _refusal(problems: Sequence[Problem]) -> str:
    """Why there is no report, as a page: it is opened in a window of its own."""
    said = "".join(f"<p>{escape(sentence(problem))}</p>" for problem in problems)
    return f'<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>No report</title><h1>No report yet</h1>{said}</html>'


async def _trials(_: Request, desk: Desk) -> Response:
    return passed_on(await desk.reader.ask(desk.job(Task.TRIAL)))


async def _trial(request: Request, desk: Desk) -> Response:
    """``{revision, do, section, clearance, seen ...}``: a trial noted, or the last one undone."""
    data = await json_of(request)
    revision = revision_in(data)
    do = "take back" if data.get("do") == "take back" else "note"
    given = {"do": do} | {key: data.get(key) for key in _TRIAL_KEYS}
    answer = await desk.reader.ask(desk.job(Task.TRIAL, given=given))
    if answer.result is None:
        return passed_on(answer)
    text = answer.result.pop("text")
    label = "a trial noted" if do == "note" else "a trial undone"
    await asyncio.to_thread(desk.session.put_trials, text, revision=revision, label=label)
    desk.changed()
    return JSONResponse(answer.result | {"state": desk.session.state()})
