"""The page as a server on this machine: started, serving one project, ended by an interrupt."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from html import escape
from pathlib import Path
from secrets import token_urlsafe
from typing import Final

from nicegui import app, background_tasks, ui
from nicegui.server import Server
from starlette.responses import HTMLResponse, Response

from cradle.errors import InputError
from cradle.page.guard import HERE, TOKEN, Guard
from cradle.page.page import PageState, holder_page
from cradle.page.terminal import keep_the_terminal_plain
from cradle.page.worker import Worker
from cradle.report.stylesheet import STYLE

_WAIT_S: Final = 0.02
_AWAY_S: Final = 60.0
"""A browser that was asleep for so long finds its values as it left them."""
_ICON: Final = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><path fill="#e9d8bd" stroke="#5c4a2e"'
    ' d="M1 6h3v4q0 2 4 2t4-2V6h3v9H1z"/><path fill="#2b5d7d" d="M5.5 2h5v7q0 1-2.5 1T5.5 9z"/></svg>'
)


def serve(file: Path, *, folder: Path | None, port: int, on_ready: Callable[[str], None]) -> None:
    """Serve the page for a project file until the process is interrupted.

    Parameters
    ----------
    file : Path
        The project file.
    folder : Path, optional
        Where files go; else ``out`` beside the project file.
    port : int
    on_ready : callable
        Called with the page's address once it can be opened.

    Raises
    ------
    InputError
        If the port is taken.
    """
    state = PageState(file=file, folder=folder, worker=Worker())
    state.worker.start()
    add_routes(state)

    @ui.page("/")
    def page() -> None:
        holder_page(state)

    keep_the_terminal_plain()
    token = token_urlsafe(24)
    app.add_middleware(Guard, port=port, token=token)

    async def tell() -> None:
        while not Server.instance.started:
            await asyncio.sleep(_WAIT_S)
        on_ready(f"http://{HERE}:{port}/?{TOKEN}={token}")

    app.on_startup(lambda: background_tasks.create(tell()))
    app.on_shutdown(state.worker.stop)  # or the process would wait for what is being built
    try:
        ui.run(
            host=HERE,
            port=port,
            title="Holder",
            favicon=_ICON,
            show=False,
            reload=False,
            reconnect_timeout=_AWAY_S,
            tailwind=False,
            show_welcome_message=False,
            uvicorn_logging_level="critical",
            timeout_graceful_shutdown=1,
        )
    except KeyboardInterrupt:
        return
    except SystemExit as error:
        if Server.instance.started:
            raise
        raise InputError(
            f"port {port} cannot be used on {HERE}: something else may listen there",
            where="--port",
            hint="give another number, 1024 to 65535",
        ) from error
    finally:
        state.worker.stop()


def add_routes(state: PageState) -> None:
    """Add what is fetched beside the page: the 3-D view, and the fit report."""

    @app.get("/solid/{token}/{number}")
    def solid(token: str, number: int) -> Response:
        tab = state.tabs.get(token)
        if tab is None or tab.preview is None:
            return _words(f"View {number} is not there any more: load the page again.", status=404)
        head = '<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'
        return HTMLResponse(
            f'<!DOCTYPE html><html lang="en"><head>{head}<title>3-D view of the holder</title><style>{STYLE}</style></head>'
            f"<body>{tab.preview.solid}</body></html>"
        )

    @app.get("/report/{token}")
    async def report(token: str) -> Response:
        tab = state.tabs.get(token)
        if tab is None:
            return _words("The page this report belongs to is closed: open it again.", status=404)
        made = await tab.report()
        return HTMLResponse(made) if isinstance(made, bytes) else _words(made, status=409)


def _words(text: str, *, status: int) -> Response:
    return HTMLResponse(
        f'<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Holder</title><style>{STYLE}</style></head>'
        f"<body><main><p>{escape(text)}</p></main></body></html>",
        status_code=status,
    )
