"""What the values of a project must satisfy together, once each is sound by itself.

A check takes the values of a table by field name and yields mistakes, each
``at`` the key it concerns. A value that was mistaken is absent, so a check
looks before it compares.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final, TypeAlias

from cradle.project.convert import Mistake, amount
from cradle.project.picture_spec import PictureSource, Traced
from cradle.project.spec import AUTO, Form, MeasuredSource
from cradle.tolerances import DEFAULT

Values: TypeAlias = dict[str, Any]
"""Values of a table by the field they fill."""
Check: TypeAlias = Callable[[Values], Iterator[Mistake]]

STEEPEST_INSERTION_DEG: Final = 30.0
"""From straight up; ``insertion = "auto"`` looks no further either."""


def nothing_to_check(values: Values) -> Iterator[Mistake]:
    """Yield nothing."""
    del values
    yield from ()


def _mm(value: float) -> str:
    return amount(value, "mm")


def check_measured(values: Values) -> Iterator[Mistake]:
    """Yield what contradicts the form of a measured section."""
    form, corner, diagonal = (values.get(key) for key in ("form", "corner_mm", "diagonal_mm"))
    if form is None:
        return
    if form is not Form.BOX and corner:
        yield Mistake(
            found=f"found a corner radius on the form {form}", hint="only a box has corners", at=("corner",)
        )
    if form is not Form.SUPERELLIPSE and diagonal is not None:
        yield Mistake(
            found=f"found a diagonal on the form {form}",
            hint="only a superellipse needs it",
            at=("diagonal",),
        )
    if form is Form.SUPERELLIPSE and "diagonal_mm" in values and diagonal is None:
        yield Mistake(
            found="missing",
            hint="a superellipse needs the largest extent along the diagonal of its box, in mm",
            at=("diagonal",),
        )
    if not {"width_mm", "depth_mm"} <= values.keys():
        return
    width, depth = values["width_mm"], values["depth_mm"]
    if form is Form.BOX and corner is not None and corner > min(width, depth) / 2:
        yield Mistake(
            found=f"found {_mm(corner)}, allowed is at most {_mm(min(width, depth) / 2)}",
            hint="a corner radius is no more than half the smaller side",
            at=("corner",),
        )
    most = math.hypot(width, depth)
    if form is Form.SUPERELLIPSE and diagonal is not None and not most / 2 < diagonal < most:
        yield Mistake(
            found=f"found {_mm(diagonal)}, allowed is above {_mm(most / 2)} and below {_mm(most)}",
            hint="a diamond has half the diagonal of the box around it, the box itself all of it",
            at=("diagonal",),
        )


def check_section(values: Values) -> Iterator[Mistake]:
    """Yield what contradicts the source of a section."""
    if values.get("half") and isinstance(values.get("source"), MeasuredSource):
        yield Mistake(
            found="found true on a measured section",
            hint="only a drawing can be a half outline",
            at=("half",),
        )


def check_view(values: Values) -> Iterator[Mistake]:
    """Yield a top that is not above the bottom, and a silhouette that would be two hollows joined."""
    bottom, top, source = (values.get(key) for key in ("bottom_mm", "top_mm", "source"))
    if isinstance(bottom, float) and top is not None and top <= bottom:
        yield Mistake(
            found=f"{_mm(top)} is not above the bottom ({_mm(bottom)})",
            hint="both are heights above the resting plane, of the outline's highest and lowest edge",
            at=("top",),
        )
    if isinstance(source, PictureSource) and source.shape is Traced.NOTCH:
        yield Mistake(
            found=f"found {Traced.NOTCH} in a view",
            hint='a view is a closed outline: use shape = "piece" or shape = "line"',
            at=("picture", "shape"),
        )


def check_fit(values: Values) -> Iterator[Mistake]:
    """Yield what is wrong with the direction in which the thing is lifted out."""
    insertion = values.get("insertion")
    if insertion is None or insertion == AUTO:
        return
    x, y, z = insertion
    hint = "it is the direction in which the thing is lifted out; [0, 0, 1] is straight up"
    if math.hypot(x, y, z) < DEFAULT.rounding:
        yield Mistake(found="found a vector without length", hint=hint, at=("insertion",))
        return
    steep_deg = math.degrees(math.atan2(math.hypot(x, y), z))
    if steep_deg > STEEPEST_INSERTION_DEG + 1e-9:
        yield Mistake(
            found=f"found {steep_deg:.1f} deg from straight up, "
            f"allowed is at most {STEEPEST_INSERTION_DEG:g} deg",
            hint=hint,
            at=("insertion",),
        )


def check_slices(values: Values) -> Iterator[Mistake]:
    """Yield clearances that stand twice in the list."""
    clearances = values.get("clearances_mm", ())
    for index, clearance in enumerate(clearances):
        if clearance in clearances[:index]:
            yield Mistake(
                found=f"found {_mm(clearance)} twice",
                hint="list each clearance once",
                at=("clearances", index),
            )


def check_project(parts: Values) -> Iterator[Mistake]:
    """Yield what contradicts itself between tables; ``parts`` holds the values of each table by field."""
    sections: Sequence[Values] | None = parts.get("sections")
    if sections is None:
        return
    if not sections:
        yield Mistake(
            found="no section found, at least 2 are needed",
            hint="describe each section in a table [[section]], from bottom to top",
            at=("section",),
        )
    if len(sections) == 1:
        yield Mistake(
            found="only 1 section found, at least 2 are needed",
            hint="for a straight thing repeat the section at a second height",
            at=("section", 0),
        )
    yield from _heights(sections, thing=parts.get("thing", {}), block=parts.get("block", {}))
    yield from _names(sections)


def _heights(sections: Sequence[Values], *, thing: Values, block: Values) -> Iterator[Mistake]:
    for index, section in enumerate(sections):
        height, overall = section.get("height_mm"), thing.get("height_mm")
        at = ("section", index, "height")
        if height is None:
            continue
        if overall is not None and height > overall:
            yield Mistake(
                found=f"{_mm(height)} is above the thing's overall height, {_mm(overall)}",
                hint="measure one of the two again",
                at=at,
            )
        below = sections[index - 1].get("height_mm") if index else None
        if below is None:
            continue
        if height <= below:
            yield Mistake(
                found=f"{_mm(height)} is not above section[{index}] ({_mm(below)})",
                hint="list sections from bottom to top",
                at=at,
            )
        elif height - below < DEFAULT.section_mm:
            yield Mistake(
                found=f"{_mm(height)} is less than {_mm(DEFAULT.section_mm)} "
                f"above section[{index}] ({_mm(below)})",
                hint="leave one of the two out",
                at=at,
            )
    lowest = sections[0].get("height_mm") if sections else None
    reach = block.get("height_mm")
    if lowest is not None and reach is not None and reach <= lowest:
        yield Mistake(
            found=f"{_mm(reach)} is not above the lowest section ({_mm(lowest)})",
            hint="the block's height is measured from the resting plane, as the sections' heights are",
            at=("block", "height"),
        )


def _names(sections: Sequence[Values]) -> Iterator[Mistake]:
    seen: dict[str, int] = {}
    for index, section in enumerate(sections):
        name = section.get("name")
        if name is None:
            continue
        if name in seen:
            yield Mistake(
                found=f"{name[:60]!r} is the name of section[{seen[name] + 1}] already",
                hint="give each section its own name",
                at=("section", index, "name"),
            )
        seen.setdefault(name, index)
