"""What this page adds to the report's look: two columns on a desk, one on a phone, its controls and buttons."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Final

from nicegui.elements.mixins.text_element import TextElement

from cradle.report.stylesheet import STYLE

PAGE_STYLE: Final = (
    STYLE
    + """
.nicegui-content { padding: 0; display: block; }
ol { list-style: decimal; }
.page { max-width: 76rem; margin: 0 auto; padding: 0 16px 32px; }
.page header { padding: 20px 0 0; max-width: none; }
.page h2 { line-height: 1.3; letter-spacing: 0; font-weight: 600; }
.page h1, .page h3 { letter-spacing: 0; font-weight: 600; }
.busy { min-height: 1.6em; color: var(--soft); font-size: .875rem; }
.busy.at-work { color: var(--sea); font-weight: 600; }
.busy.at-work::before { content: ""; display: inline-block; width: .7em; height: .7em; margin-right: .5em; border: 2px solid var(--sea);
  border-right-color: transparent; border-radius: 50%; animation: round 1s linear infinite; }
@keyframes round { to { transform: rotate(360deg); } }
@media (prefers-reduced-motion: reduce) { .busy.at-work::before { animation: none; } }
main.q-page { max-width: none; padding: 0; }
.columns { display: grid; grid-template-columns: minmax(0, 1fr); gap: 0 28px; }
.results .grid { grid-template-columns: repeat(auto-fit, minmax(min(100%, 17rem), 1fr)); }
.results figure svg { max-width: 400px; }
.panel { background: var(--panel); border: 1px solid var(--rule); padding: 4px 14px 14px; margin-top: 16px; }
.panel h2 { margin: .8rem 0 .6rem; }
.panel .pair { display: grid; grid-template-columns: minmax(0, 1fr) 7.5rem; gap: 14px; align-items: center; }
.panel .numbers { display: grid; grid-template-columns: repeat(auto-fill, minmax(9rem, 1fr)); gap: 10px; margin-top: 10px; }
.panel .ticks { display: flex; flex-wrap: wrap; gap: 0 6px; }
.panel .q-field { background: #fff; }
.panel .q-field__label { color: var(--soft); }
.panel .q-field--outlined .q-field__control { border-radius: 3px; }
.glance { min-height: 3em; margin: .4rem 0; }
.said { margin: .5rem 0 0; overflow-wrap: anywhere; }
.said:empty { display: none; }
.page button:not(.q-btn), a.button { display: inline-block; font: inherit; font-size: .875rem; line-height: 1.5; padding: 8px 12px; margin: 0 6px 6px 0;
  border: 1px solid var(--sea); border-radius: 3px; background: #fff; color: var(--sea); min-height: 40px; cursor: pointer; text-decoration: none; }
.page button.first { background: var(--sea); color: #fff; }
.page button:disabled { opacity: .5; cursor: default; }
.earlier { opacity: .5; }
.solid-frame { display: block; width: 100%; height: 32rem; border: 0; }
.page header p { overflow-wrap: anywhere; }
@media (min-width: 60rem) {
  .columns { grid-template: "side judged" auto "side results" 1fr / 22rem minmax(0, 1fr); align-items: start; }
  .side { grid-area: side; position: sticky; top: 0; max-height: 100vh; overflow-y: auto; }
  .solid-frame { height: 29rem; }
  .judged { grid-area: judged; } .results { grid-area: results; }
}
"""
)


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
