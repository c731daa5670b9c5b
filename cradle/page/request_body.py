"""What a request carries: never more than is allowed, and JSON only where it is an object."""

from __future__ import annotations

import json
from typing import Any, Final

from starlette.requests import Request

from cradle.errors import InputError

_MOST_JSON_BYTES: Final = 1_000_000


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
        json.dumps(
            data, ensure_ascii=False
        ).encode()  # half a letter, \ud800, goes into no file and no answer
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
