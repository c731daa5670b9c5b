"""What a window is answered: a worker's result, or what was wrong, with the status that says which (RFC 9110, section 15)."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from cradle.errors import CradleError, Problem, StaleError
from cradle.page.desk import Desk
from cradle.page.error_text import problem_rows
from cradle.page.jobs import Answer


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
            said = {
                "stale": True,
                "problems": problem_rows(error.problems),
                "state": desk.session.state(),
            }
            return JSONResponse(said, status_code=409)
        except CradleError as error:
            return refused(error.problems)

    return careful_handle
