"""The view of what is handed over: the holder's files, test pieces, the project file, the fit report."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from nicegui import ui

from cradle.page.session import Tab
from cradle.page.style import Button

_USUAL_MM = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)


class FilesView:
    """Buttons that write, and what came of it.

    Parameters
    ----------
    tab : Tab
    on_kept : callable
        Called after the project file may have been changed.
    """

    def __init__(self, tab: Tab, *, on_kept: Callable[[], None]) -> None:
        self._tab, self._on_kept = tab, on_kept
        with ui.element("section").classes("panel").props('aria-label="files"'):
            ui.html("<h2>Test pieces</h2>", sanitize=False)
            ui.label("A test ring at each height, for each clearance ticked (mm per side):").classes("small")
            with ui.element("div").classes("ticks"):
                own = tab.project.slices.clearances_mm
                self._ticks = {
                    value: ui.checkbox(f"{value:g}", value=value in own).mark(f"slice-{value:g}")
                    for value in sorted({*own, *_USUAL_MM})
                }
            ui.label("Sharp, hot, on mains or for a child? Read “Take care” first.").classes("small")
            slices = Button("save test pieces", on_click=self._slices)
            ui.html("<h2>Holder</h2>", sanitize=False)
            files = Button("save the holder's files", on_click=self._files).classes("first")
            keep = Button(f"save these values to {tab.file.name}", on_click=self._keep)
            ui.html(
                f'<a class="button" href="/report/{tab.token}" target="_blank" rel="noopener">open the fit report</a>',
                sanitize=False,
            )
            self._said = ui.label().classes("said").props('role="status"').mark("said")
        self._buttons = (slices, files, keep)

    async def _slices(self) -> None:
        ticked = tuple(value for value, tick in self._ticks.items() if tick.value)
        await self._do("saving test pieces …", lambda: self._tab.write_slices(ticked))

    async def _files(self) -> None:
        await self._do("saving the files …", self._tab.write)

    async def _keep(self) -> None:
        await self._do("saving these values …", self._tab.keep)
        self._on_kept()

    async def _do(self, words: str, work: Callable[[], Awaitable[str]]) -> None:
        """Say what is being done, do it, and say what came of it; no button works meanwhile."""
        self._said.set_text(words)
        for button in self._buttons:
            button.props("disabled")
        try:
            self._said.set_text(await work())
        finally:
            for button in self._buttons:
                button.props(remove="disabled")
