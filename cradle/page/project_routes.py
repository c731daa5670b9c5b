"""What a window asks about the project itself: its state, edits, undo and redo, uploads, and the events."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from cradle.errors import InputError
from cradle.page.answers import careful, passed_on, refused
from cradle.page.desk import Desk
from cradle.page.fields import schema
from cradle.page.request_body import bytes_of, json_of, revision_in
from cradle.page.uploads import keep_upload, picture_inside, place_for

_LONGEST_LABEL = 120
_MOST_POINTS = 2000
_FARTHEST_PX = 1e6
"""A point of an outline lies no farther out."""


def project_routes(desk: Desk) -> list[Route]:
    """The routes of the project."""
    return [
        Route("/schema", careful(desk, _schema)),
        Route("/state", careful(desk, _state)),
        Route("/events", careful(desk, _events)),
        Route("/edit", careful(desk, _edit), methods=["POST"]),
        Route("/undo", careful(desk, _undo), methods=["POST"]),
        Route("/redo", careful(desk, _redo), methods=["POST"]),
        Route("/upload", careful(desk, _upload), methods=["POST"]),
        Route("/sections", careful(desk, _sections)),
        Route("/picture", careful(desk, _picture)),
        Route("/trace", careful(desk, _trace), methods=["POST"]),
        Route("/points", careful(desk, _points), methods=["POST"]),
    ]


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
