"""The view of the holder: verdict, cautions, figures, findings, gap, sections, the 3-D view."""

from __future__ import annotations

from html import escape

from nicegui import ui

from cradle.page.preview import Glance, Preview

_PARTS = ("cautions", "figures", "findings", "fit", "sections", "solid", "sides", "inspection", "printing")


class VerdictView:
    """What to do about it, in words; or why no holder could be built."""

    def __init__(self) -> None:
        self._verdict = ui.html("", sanitize=False).classes("judged").mark("verdict")

    def show(self, preview: Preview) -> None:
        """Show the verdict on a holder."""
        self._verdict.classes(remove="earlier")
        self._verdict.set_content(preview.parts["verdict"] + preview.parts["steps"])

    def wait(self) -> None:
        """Show that the verdict is on the holder before."""
        self._verdict.classes("earlier")

    def refuse(self, sentences: tuple[str, ...], *, earlier: Preview | None) -> None:
        """Show why there is no holder with these values, and what is shown instead."""
        self._verdict.classes(remove="earlier")
        rest = (
            f"<p>Below is the last holder that could be built, with {escape(earlier.clearance_words)}.</p>"
            if earlier is not None
            else ""
        )
        said = "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)
        self._verdict.set_content(
            f'<section class="verdict stop" role="alert"><strong>no holder with these values</strong>{said}{rest}</section>'
        )


class ResultView:
    """Everything that is shown of a holder below its verdict."""

    def __init__(self, *, token: str) -> None:
        self._token, self._shown = token, 0
        self._area = ui.element("div").classes("results").mark("results")
        with self._area:
            self._parts = {name: ui.html("", sanitize=False).mark(name) for name in _PARTS}

    def show(self, preview: Preview) -> None:
        """Show a built holder."""
        self._shown += 1
        for name, part in self._parts.items():
            if name == "solid":
                part.set_content(self._solid() if preview.solid else "")
            else:
                part.set_content(preview.parts[name])
        self._area.classes(remove="earlier")

    def glance(self, glance: Glance | None) -> None:
        """Show what can be said at once; all else is of the holder before."""
        for name, part in self._parts.items():
            if name == "sections" and glance is not None:
                part.set_content(glance.sections)
            elif name != "cautions":
                part.classes("earlier")

    def settle(self) -> None:
        """Show that what stands there is what was built last."""
        for part in self._parts.values():
            part.classes(remove="earlier")

    def _solid(self) -> str:
        return (
            f'<h2>3-D view</h2><iframe class="solid-frame" src="/solid/{self._token}/{self._shown}"'
            ' title="3-D view of the holder, to turn"></iframe>'
        )
