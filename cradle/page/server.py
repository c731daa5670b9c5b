"""The page as a server on this machine: started, serving one project, ended by an interrupt."""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from secrets import token_urlsafe
from typing import Any, Final

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from cradle.errors import InternalError
from cradle.names import printable
from cradle.page.desk import Desk
from cradle.page.guard import HERE, TOKEN, Guard
from cradle.page.listening import Listening
from cradle.page.routes import routes

WEB: Final = Path(__file__).parent / "web"
"""The page's own HTML, style sheets and scripts; those of its 3-D view it has from the report."""
_LONGEST: Final = 300


def application(desk: Desk) -> Starlette:
    """What answers the windows; it opens the desk and closes it."""

    @asynccontextmanager
    async def at_work(_: Starlette) -> AsyncIterator[None]:
        desk.begin()
        yield
        desk.close()

    async def page(_: Request) -> Response:
        return FileResponse(WEB / "index.html", headers={"cache-control": "no-store"})

    return Starlette(
        routes=[
            Route("/", page),
            *routes(desk),
            Mount("/web", StaticFiles(directory=WEB, packages=[("cradle.report", "web")])),
        ],
        lifespan=at_work,
    )


class _Server(uvicorn.Server):
    """Tells when it can be asked, and ends the streams of events before it waits for requests to end."""

    def __init__(self, config: uvicorn.Config, *, desk: Desk, on_ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._desk, self._on_ready = desk, on_ready

    async def startup(self, sockets: Any = None) -> None:
        await super().startup(sockets)
        if self.started:
            self._on_ready()

    async def shutdown(self, sockets: Any = None) -> None:
        self._desk.close()
        await super().shutdown(sockets)


def serve(file: Path, *, folder: Path | None, place: Listening, on_ready: Callable[[str], None]) -> None:
    """Serve the page for a project file until the process is interrupted.

    Parameters
    ----------
    file : Path
        The project file; it need not exist.
    folder : Path, optional
        Where files go; else ``out`` beside the project file.
    place : Listening
        Where it listens.
    on_ready : callable
        Called with the page's address once it can be opened.

    Raises
    ------
    InputError
        If the file is no text.
    """
    desk = Desk(file, folder=folder)
    token = token_urlsafe(24)
    config = uvicorn.Config(
        Guard(application(desk), port=place.port, token=token),
        log_config=None,
        log_level="critical",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=1,
        lifespan="on",
        ws="none",
    )
    address = f"http://{HERE}:{place.port}/?{TOKEN}={token}"
    server = _Server(config, desk=desk, on_ready=lambda: on_ready(address))
    keep_the_terminal_plain()
    try:
        server.run(sockets=[place.place])
    except KeyboardInterrupt:
        return
    except SystemExit as error:
        if server.started:
            raise
        raise InternalError("the page's server did not start") from error
    finally:
        desk.close()


class PlainLines(logging.Handler):
    """Writes each record as one line on standard error, without traceback and without control characters.

    What a browser sends reaches records word for word; escape sequences in it
    must not reach the terminal.
    """

    def __init__(self) -> None:
        super().__init__(level=logging.WARNING)
        self._stream = logging.StreamHandler()
        self._last = ""

    def emit(self, record: logging.LogRecord) -> None:
        """Write a record, unless it says what the last one said."""
        line = plain_line(record)
        if line != self._last:
            self._last = line
            self._stream.emit(logging.makeLogRecord({"msg": line, "args": None}))


def plain_line(record: logging.LogRecord) -> str:
    r"""A record in one line of printable characters.

    Examples
    --------
    >>> plain_line(logging.makeLogRecord({"msg": "/\x1b[2Ja not found", "levelname": "WARNING"}))
    'cradle: page: /?[2Ja not found'
    """
    try:
        text = record.getMessage()
    except (TypeError, ValueError):  # a message that does not suit its arguments
        text = str(record.msg)
    words = " ".join(text.split("\n", 1)[0].split())
    error = record.exc_info[1] if record.exc_info else None
    if error is not None and str(error) not in words:
        words += f" ({type(error).__name__}: {' '.join(str(error).split())})"
    return f"cradle: page: {printable(words, instead='?')[:_LONGEST]}"


def keep_the_terminal_plain() -> None:
    """Let everything that libraries log in this process go through `PlainLines`."""
    for name in list(logging.root.manager.loggerDict):  # some libraries bring handlers of their own
        logger = logging.getLogger(name)
        logger.handlers.clear()
        logger.propagate = True
    logging.getLogger().addHandler(PlainLines())
