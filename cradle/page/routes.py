"""What a window asks: of the project its state, edits and uploads; of the holder what was built, its files, trials and report."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from html import escape
from typing import Any, Final

from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from cradle.errors import InputError, Problem
from cradle.page.answers import bytes_of, careful, json_of, passed_on, refused, revision_in
from cradle.page.desk import Desk
from cradle.page.error_text import problem_words
from cradle.page.fields import schema
from cradle.page.guard import REPORT_POLICY
from cradle.page.jobs import Task
from cradle.page.uploads import keep_upload, picture_inside, place_for

_LONGEST_LABEL = 120
_MOST_POINTS = 2000
_FARTHEST_PX = 1e6
"""A point of an outline lies no farther out."""
_TRIAL_KEYS: Final = ("section", "height", "clearance", "seen", "piece", "side", "read", "nominal")


async def _schema(_: Request, __: Desk) -> Response:
    return JSONResponse(schema())


async def _state(_: Request, desk: Desk) -> Response:
    if await asyncio.to_thread(desk.session.look):
        desk.changed()
    return JSONResponse(_with_progress(desk))


async def _events(_: Request, desk: Desk) -> Response:
    return StreamingResponse(
        desk.events.stream(), media_type="text/event-stream", headers={"cache-control": "no-store"}
    )


async def _edit(request: Request, desk: Desk) -> Response:
    """``{revision, label, steps}``: all the steps, or none where one of them cannot stand."""
    data = await json_of(request)
    steps, label = data.get("steps"), str(data.get("label") or "a change")[:_LONGEST_LABEL]
    if not isinstance(steps, list) or not steps or not all(isinstance(step, Mapping) for step in steps):
        raise InputError("expected a list of steps", where="steps")
    await asyncio.to_thread(desk.session.edit, steps, revision=revision_in(data), label=label)
    return _changed(desk)


async def _undo(request: Request, desk: Desk) -> Response:
    await asyncio.to_thread(desk.session.undo, revision=revision_in(await json_of(request)))
    return _changed(desk)


async def _redo(request: Request, desk: Desk) -> Response:
    await asyncio.to_thread(desk.session.redo, revision=revision_in(await json_of(request)))
    return _changed(desk)


def _changed(desk: Desk) -> Response:
    desk.changed()
    return JSONResponse(_with_progress(desk))


def _with_progress(desk: Desk) -> dict[str, object]:
    """The project's state, what is being done, and the revision of the last holder."""
    return desk.session.state() | desk.progress | {"built": desk.holder["revision"]}


async def _upload(request: Request, desk: Desk) -> Response:
    """A file, its name in ``?name=``: kept in the project's folder, whose path to it is returned."""
    name = request.query_params.get("name", "")
    data = await bytes_of(request, most=place_for(name).most_bytes)
    path = await asyncio.to_thread(keep_upload, desk.session.folder, name, data)
    return JSONResponse({"path": path})


async def _sections(_: Request, desk: Desk) -> Response:
    return JSONResponse(desk.sections)


async def _picture(request: Request, desk: Desk) -> Response:
    """A picture of the project, upright, as JPEG."""
    name = request.query_params.get("path", "")
    picture_inside(desk.session.folder, name)
    answer = await desk.show(name)
    if answer.result is None:
        return refused(answer.problems, status=404)
    return Response(answer.result["jpeg"], media_type="image/jpeg", headers={"cache-control": "no-store"})


async def _trace(request: Request, desk: Desk) -> Response:
    """``{path, picture}``: the scales of a picture and all outlines in it, by the keys of its table."""
    given = _picture_keys(await json_of(request), desk)
    return passed_on(await desk.look_at(given))


async def _points(request: Request, desk: Desk) -> Response:
    """``{path, picture, points}``: an outline whose points were moved in the picture, in mm."""
    data = await json_of(request)
    given = _picture_keys(data, desk) | {"points": _places(data.get("points"))}
    return passed_on(await desk.look_at(given))


def _picture_keys(data: Mapping[str, Any], desk: Desk) -> dict[str, Any]:
    name, keys = str(data.get("path", "")), data.get("picture", {})
    picture_inside(desk.session.folder, name)
    if not isinstance(keys, dict):
        raise InputError("expected the keys of a picture", where="picture")
    return {"path": name, "picture": keys}


def _places(points: object) -> list[list[float]]:
    """Points as JSON gives them: pairs of finite numbers.

    Raises
    ------
    InputError
        If they are something else, or too few or too many for an outline.
    """
    if not isinstance(points, list) or not 3 <= len(points) <= _MOST_POINTS:
        raise InputError(f"expected 3 to {_MOST_POINTS} points", where="points")
    if not all(isinstance(p, list) and len(p) == 2 and all(map(_is_place, p)) for p in points):
        raise InputError("expected pairs of numbers", where="points")
    return [[float(x), float(y)] for x, y in points]


def _is_place(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < _FARTHEST_PX


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
    said = "".join(f"<p>{escape(problem_words(problem))}</p>" for problem in problems)
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


def routes(desk: Desk) -> list[Route]:
    """All that a window can ask for, and all that it can have done."""
    asked = {
        "/schema": _schema,
        "/state": _state,
        "/events": _events,
        "/sections": _sections,
        "/picture": _picture,
        "/holder": _holder,
        "/part/{stage}": _part,
        "/file/{name}": _file,
        "/report": _report,
        "/trials": _trials,
    }
    done = {
        "/edit": _edit,
        "/undo": _undo,
        "/redo": _redo,
        "/upload": _upload,
        "/trace": _trace,
        "/points": _points,
        "/build": _build,
        "/stop": _stop,
        "/files": _files,
        "/pieces": _pieces,
        "/trial": _trial,
    }
    return [
        *(Route(path, careful(desk, answer)) for path, answer in asked.items()),
        *(Route(path, careful(desk, answer), methods=["POST"]) for path, answer in done.items()),
    ]
