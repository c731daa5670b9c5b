"""The page: its views, and what passes between them and the tab."""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape
from pathlib import Path

from nicegui import ui

from cradle.errors import CradleError
from cradle.page.error_text import sentences
from cradle.page.files_view import FilesView
from cradle.page.result_view import ResultView, VerdictView
from cradle.page.session import Tab
from cradle.page.style import PAGE_STYLE
from cradle.page.values_view import ValuesView
from cradle.page.worker import Worker

_BUILDING = "building the holder …"


@dataclass(slots=True, kw_only=True)
class PageState:
    """What all tabs share: the project file, the folder for files, the worker, and the tabs by token."""

    file: Path
    folder: Path | None
    worker: Worker
    tabs: dict[str, Tab] = field(default_factory=dict)


def holder_page(state: PageState) -> None:
    """Build the page for a browser's tab that has just been opened, or loaded again."""
    ui.add_head_html(f"<style>{PAGE_STYLE}</style>")
    ui.colors(primary="#0f5c63")
    try:
        tab = Tab(state.file, folder=state.folder, worker=state.worker)
    except CradleError as error:
        _refusal(state.file, sentences(error))
        return
    state.tabs[tab.token] = tab
    ui.page_title(f"Holder for: {tab.project.thing.name}")
    ui.context.client.on_delete(lambda: _left(state, tab))
    _HolderPage(tab)


class _HolderPage:
    def __init__(self, tab: Tab) -> None:
        self._tab = tab
        with ui.element("div").classes("page"):
            ui.html(
                f"<header><h1>Holder for: {escape(tab.project.thing.name)}</h1><p>{escape(str(tab.file.resolve()))}</p></header>",
                sanitize=False,
            )
            self._busy = ui.label("").classes("busy").props('role="status"').mark("busy")
            with ui.element("div").classes("columns"):
                self._verdict = VerdictView()
                with ui.element("div").classes("side"):
                    self._values = ValuesView(tab, on_move=self._moved, on_back=self._back)
                    FilesView(tab, on_kept=self._kept)
                self._result = ResultView(token=tab.token)
        ui.timer(0.0, self._see, once=True)

    async def _moved(self, key: str) -> None:
        glance = self._tab.glance() if key == "fit.clearance" else None
        self._verdict.wait()
        self._result.glance(glance)
        self._values.say(glance.words if glance is not None else "")
        await self._see()

    async def _back(self) -> None:
        self._tab.put_back()
        self._values.follow()
        await self._moved("fit.clearance")

    def _kept(self) -> None:
        if self._busy.text != _BUILDING:
            self._state()

    async def _see(self) -> None:
        self._busy.set_text(_BUILDING)
        self._busy.classes("at-work")
        if not await self._tab.see():
            return
        preview = self._tab.preview
        if self._tab.refused:
            self._verdict.refuse(self._tab.refused, earlier=preview)
            if preview is not None:
                self._result.show(preview)
        elif preview is not None:
            self._verdict.show(preview)
            self._result.show(preview)
            self._values.say(preview.words)
            if not self._tab.moved:
                self._values.follow()
        self._result.settle()
        self._state()

    def _state(self) -> None:
        self._busy.classes(remove="at-work")
        self._busy.set_text(self._tab.state())


def _refusal(file: Path, said: tuple[str, ...]) -> None:
    """Show why the project file cannot be used."""
    lines = "".join(f"<p>{escape(sentence)}</p>" for sentence in said)
    ui.page_title("Holder")
    with ui.element("div").classes("page"):
        ui.html(
            f"<header><h1>{escape(file.name)}</h1></header>"
            f'<section class="verdict stop" role="alert"><strong>the project file has mistakes</strong>{lines}'
            "<p>Correct the file, then reload this page.</p></section>",
            sanitize=False,
        ).mark("verdict")


def _left(state: PageState, tab: Tab) -> None:
    """Forget a tab that was closed."""
    state.tabs.pop(tab.token, None)
    tab.leave()
