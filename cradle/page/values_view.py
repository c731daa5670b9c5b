"""The view of the values: a slider and a number for the clearance, numbers for the block."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import TypeAlias

from nicegui import ui

from cradle.page.controls import BLOCK, CLEARANCE, Control
from cradle.page.session import Tab
from cradle.page.style import Button

OnMove: TypeAlias = Callable[[str], Awaitable[None]]
"""Told the key of each value that was moved."""


class ValuesView:
    """Controls that move a tab's values, and are moved with them.

    Parameters
    ----------
    tab : Tab
    on_move : callable
        Called after a value has changed.
    on_back : callable
        Called when the file's values are wanted again.
    """

    def __init__(self, tab: Tab, *, on_move: OnMove, on_back: Callable[[], Awaitable[None]]) -> None:
        self._tab, self._on_move, self._on_back = tab, on_move, on_back
        self._numbers: dict[str, ui.number] = {}
        self._following = False
        with ui.element("section").classes("panel").props('aria-label="values"'):
            ui.html("<h2>Clearance per side</h2>", sanitize=False)
            with ui.element("div").classes("pair"):
                self._slider = self._new_slider()
                self._new_number(CLEARANCE, label="per side")
            self._glance = ui.label().classes("glance").props('role="status"').mark("glance")
            for words in self._notes():
                ui.label(words).classes("small")
            ui.html("<h2>Block</h2>", sanitize=False)
            with ui.element("div").classes("numbers"):
                for control in BLOCK:
                    self._new_number(control, label=control.words)
            ui.html("<p></p>", sanitize=False)
            Button("undo my changes", on_click=on_back)

    def say(self, words: str) -> None:
        """Show what can be said of the clearance at once."""
        self._glance.set_text(words)

    def follow(self) -> None:
        """Let all controls show the values as they stand."""
        self._following = True
        for key, number in self._numbers.items():
            number.value = self._tab.shown_mm(key)
        self._slider.value = self._on_slider()
        self._following = False

    def _new_slider(self) -> ui.slider:
        slider = ui.slider(
            min=0,
            max=CLEARANCE.most_mm or 1,
            step=CLEARANCE.step_mm,
            value=self._on_slider(),
            on_change=lambda event: self._moved(CLEARANCE.key, event.value, by=self._slider),
        )
        return slider.props(f'aria-label="{CLEARANCE.words}, mm"').mark("clearance-slider")

    def _new_number(self, control: Control, *, label: str) -> None:
        number = ui.number(
            label=label, value=self._tab.shown_mm(control.key), step=control.step_mm, suffix="mm"
        )
        number.on_value_change(lambda event: self._moved(control.key, event.value, by=number))
        number.props(f'outlined dense inputmode="decimal" aria-label="{control.words}, mm"').mark(control.key)
        self._numbers[control.key] = number

    def _moved(self, key: str, value: float | None, *, by: ui.element) -> Awaitable[None] | None:
        """Take over what a control was moved to, unless it only follows; what is still to be awaited."""
        if self._following or not self._tab.move(key, None if value is None else round(float(value), 3)):
            return None
        if key == CLEARANCE.key:
            self._following = True
            if by is self._slider:
                self._numbers[key].value = self._tab.shown_mm(key)
            else:
                self._slider.value = self._on_slider()
            self._following = False
        return self._on_move(key)

    def _on_slider(self) -> float:
        shown = self._tab.shown_mm(CLEARANCE.key)
        return min(max(shown if shown is not None else 0.35, 0.0), CLEARANCE.most_mm or 1)

    def _notes(self) -> list[str]:
        notes = []
        project = self._tab.project
        own = [s for s in project.sections if s.clearance_mm is not None]
        if own:
            told = ", ".join(f"{s.name} {s.clearance_mm:g} mm" for s in own)
            notes.append(f"Sections with a clearance of their own keep it: {told}.")
        if project.row.things:
            notes.append("The other things in the row take theirs from their own project files.")
        if isinstance(project.fit.clearance_mm, str):
            notes.append("The project file leaves the clearance to the program.")
        return notes
