"""A plain button in the report's look."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from nicegui.elements.mixins.text_element import TextElement


class Button(TextElement):
    """A button with words on it.

    Parameters
    ----------
    words : str
    on_click : callable
        Called when it is pressed; may be a coroutine function.
    """

    def __init__(self, words: str, *, on_click: Callable[[], Awaitable[None] | None]) -> None:
        super().__init__(tag="button", text=words)
        self.props('type="button"')
        self.on("click", lambda _: on_click())
