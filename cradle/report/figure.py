"""A figure as an SVG element: drawn in mm with y up, shown at a scale, words kept upright."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Final

from cradle.geometry.arrays import Floats

WIDTH: Final = 340.0
"""Width of a figure in its own units; a phone shows it about as wide in CSS pixels."""


def svg_element(
    parts: Iterable[str], *, label: str, height: str, width: float = WIDTH, attributes: str = ""
) -> str:
    """Pieces of SVG as one element, by the sizes they are drawn in.

    Parameters
    ----------
    label : str
        What it shows, for those who cannot see it.
    attributes : str
        What else holds for all pieces.
    """
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height}" role="img"'
        f' aria-label="{escape(label)}"{attributes}>{"".join(parts)}</svg>'
    )


_TALLEST: Final = 1.25 * WIDTH
"""What fills the width is drawn no taller: a long outline would fill several screens."""


def fitting_scale(wide_mm: float, tall_mm: float, *, room: float) -> float:
    """Figure units per mm at which a drawing fills the room from left to right, unless that would make it very tall.

    Examples
    --------
    >>> fitting_scale(60.0, 45.0, room=300.0), fitting_scale(20.0, 170.0, room=300.0)
    (5.0, 2.5)
    """
    return min(room / wide_mm, _TALLEST / tall_mm)


class Figure:
    """Pieces of one SVG element.

    Parameters
    ----------
    low_mm, high_mm : (float, float)
        Corners of what is drawn.
    title : str
        What the figure shows, for those who cannot see it.
    margins : (float, float, float, float)
        Room left, right, above and below for words, in figure units.
    scale : float, optional
        Figure units per mm; by default `fitting_scale`.
    """

    def __init__(
        self,
        low_mm: tuple[float, float],
        high_mm: tuple[float, float],
        *,
        title: str,
        margins: tuple[float, float, float, float],
        scale: float | None = None,
    ) -> None:
        left, right, above, below = margins
        self._room = WIDTH - left - right
        wide, tall = high_mm[0] - low_mm[0], high_mm[1] - low_mm[1]
        self.scale = scale or fitting_scale(wide, tall, room=self._room)
        spare = (self._room - self.scale * wide) / 2
        self._x0, self._y1 = left + spare - self.scale * low_mm[0], above + self.scale * high_mm[1]
        self.height = above + self.scale * tall + below
        self._title = title
        self._parts: list[str] = []

    def place(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Where a point lands, figure units, y down."""
        return self._x0 + self.scale * x_mm, self._y1 - self.scale * y_mm

    def path(self, rings: Sequence[Floats], kind: str, *, closed: bool) -> None:
        """Polylines ``(n, 2)``, mm, drawn as one path of a kind (a class of the style sheet)."""
        self._parts.append(
            f'<path class="{kind}" d="{"".join(self._trail(r, closed=closed) for r in rings)}"/>'
        )

    def line(self, a: tuple[float, float], b: tuple[float, float], kind: str) -> None:
        """A straight line between two points, mm."""
        (x1, y1), (x2, y2) = self.place(*a), self.place(*b)
        self._parts.append(f'<path class="{kind}" d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}"/>')

    def words(
        self,
        text: str,
        at: tuple[float, float],
        *,
        anchor: str = "start",
        shift: tuple[float, float] = (0, 0),
    ) -> None:
        """Words at a point, mm, shifted by figure units (y down)."""
        x, y = self.place(*at)
        side = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self._parts.append(f'<text x="{x + shift[0]:.1f}" y="{y + shift[1]:.1f}"{side}>{escape(text)}</text>')

    def raw(self, part: str) -> None:
        """A piece of SVG in figure units."""
        self._parts.append(part)

    def svg(self) -> str:
        """The element."""
        return svg_element(self._parts, label=self._title, height=f"{self.height:.1f}")

    def _trail(self, points: Floats, *, closed: bool) -> str:
        pairs = "L".join(
            f"{x:.1f} {y:.1f}"
            for x, y in zip(
                (self._x0 + self.scale * points[:, 0]).tolist(),
                (self._y1 - self.scale * points[:, 1]).tolist(),
                strict=True,
            )
        )
        return f"M{pairs}{'Z' if closed else ''}"
