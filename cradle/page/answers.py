"""Requests of windows, read up to the size that is allowed, and the answers to them.

A worker's result, or what was wrong, with the status that says which (RFC 9110, section 15).
"""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from typing import Any, Final

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from cradle.errors import CradleError, InputError, Problem, StaleError
from cradle.page.desk import Desk
from cradle.page.error_text import problem_rows
from cradle.page.jobs import Answer

_MOST_JSON_BYTES: Final = 1_000_000


def refused(problems: tuple[Problem, ...], *, status: int = 422) -> JSONResponse:
    """The answer that tells mistakes."""
    return JSONResponse({"problems": problem_rows(problems)}, status_code=status)


def passed_on(answer: Answer) -> JSONResponse:
    """A worker's answer as one to a window."""
    if answer.result is not None:
        return JSONResponse(answer.result)
    if answer.dropped:
        return JSONResponse({"dropped": True}, status_code=409)
    return refused(answer.problems)


def careful(
    desk: Desk, handle: Callable[[Request, Desk], Awaitable[Response]]
) -> Callable[[Request], Awaitable[Response]]:
    """A handler whose errors become answers: what was wrong, or that the project has changed, with its state."""

    async def careful_handle(request: Request) -> Response:
        try:
            return await handle(request, desk)
        except StaleError as error:
            said = {"stale": True, "problems": problem_rows(error.problems), "state": desk.session.state()}
            return JSONResponse(said, status_code=409)
        except CradleError as error:
            return refused(error.problems)

    return careful_handle


async def bytes_of(request: Request, *, most: int) -> bytes:
    """The content of a request.

    Raises
    ------
    InputError
        If it is larger than allowed: no more than that is read.
    """
    too_large = InputError(
        f"up to {most / 1e6:.0f} MB are taken at once", where="upload", hint="choose a smaller file"
    )
    if int(request.headers.get("content-length") or 0) > most:
        raise too_large
    content = bytearray()
    async for piece in request.stream():
        content += piece
        if len(content) > most:
            raise too_large
    return bytes(content)


async def json_of(request: Request) -> dict[str, Any]:
    """The JSON object that a request carries.

    Raises
    ------
    InputError
        If it carries something else.
    """
    content = await bytes_of(request, most=_MOST_JSON_BYTES)
    try:
        data = json.loads(content or b"{}")
        # half a letter, \ud800, goes into no file and no answer
        json.dumps(data, ensure_ascii=False).encode()
    except (ValueError, RecursionError) as error:
        raise InputError("expected a JSON object", where="request") from error
    if not isinstance(data, dict):
        raise InputError("expected a JSON object", where="request")
    return data


def revision_in(data: dict[str, Any]) -> int:
    """The revision that a request is founded on.

    Raises
    ------
    InputError
        If it names none.
    """
    revision = data.get("revision")
    if isinstance(revision, bool) or not isinstance(revision, int):
        raise InputError("expected the revision as a whole number", where="revision")
    return revision
