"""The page as a server on this machine: started, serving one project, ended by an interrupt."""

from __future__ import annotations

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

from cradle.errors import InputError
from cradle.page.desk import Desk
from cradle.page.guard import HERE, TOKEN, Guard
from cradle.page.holder_routes import holder_routes
from cradle.page.project_routes import project_routes
from cradle.page.terminal import keep_the_terminal_plain

WEB: Final = Path(__file__).parent / "web"
"""The page's own HTML, style sheets and scripts; those of its 3-D view it has from the report."""


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
            *project_routes(desk),
            *holder_routes(desk),
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


def serve(file: Path, *, folder: Path | None, port: int, on_ready: Callable[[str], None]) -> None:
    """Serve the page for a project file until the process is interrupted.

    Parameters
    ----------
    file : Path
        The project file; it need not exist.
    folder : Path, optional
        Where files go; else ``out`` beside the project file.
    on_ready : callable
        Called with the page's address once it can be opened.

    Raises
    ------
    InputError
        If the port is taken, or the file is no text.
    """
    desk = Desk(file, folder=folder)
    token = token_urlsafe(24)
    config = uvicorn.Config(
        Guard(application(desk), port=port, token=token),
        host=HERE,
        port=port,
        log_config=None,
        log_level="critical",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=1,
        lifespan="on",
    )
    server = _Server(config, desk=desk, on_ready=lambda: on_ready(f"http://{HERE}:{port}/?{TOKEN}={token}"))
    keep_the_terminal_plain()
    try:
        server.run()
    except KeyboardInterrupt:
        return
    except SystemExit as error:
        if server.started:
            raise
        raise InputError(
            f"port {port} cannot be used on {HERE}: something else may listen there",
            where="port",
            hint="give another number, 1024 to 65535",
        ) from error
    finally:
        desk.close()
