"""What the keys of a picture must satisfy together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from cradle.project.convert import Mistake
from cradle.project.picture_spec import LineEdge, ScaleFrom, Traced


def check_picture(values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield scales given twice or in part, and keys that the traced shape has no use for."""
    given = {key for key, value in values.items() if value is not None}
    points = {"from_px": "from", "to_px": "to", "apart_mm": "apart"}
    there = [key for key in points if key in given]
    if there and len(there) < len(points):
        for field, key in points.items():
            if field not in given and field in values:
                yield Mistake(
                    found="missing",
                    hint="a scale from two points needs from, to and the distance apart, in mm",
                    at=(key,),
                )
    numbers = [key for key in ("mm_per_px", "dpi") if key in given]
    if len(numbers) == 2:
        yield Mistake(found="found mm_per_px and dpi", hint="give one of them", at=("dpi",))
    asked = values.get("scale", ScaleFrom.AUTO)
    if asked is not ScaleFrom.AUTO and (numbers or there):
        yield Mistake(
            found=f"found {asked} beside a scale of your own",
            hint="leave scale out to use the one you give",
            at=("scale",),
        )
    shape = values.get("shape")
    if (
        shape is not None
        and shape is not Traced.LINE
        and values.get("edge", LineEdge.MIDDLE) is not LineEdge.MIDDLE
    ):
        yield Mistake(
            found=f"found an edge on the shape {shape}", hint="only a line has edges to choose", at=("edge",)
        )
    if given & {"back", "back_file"} and shape is not None and shape is not Traced.NOTCH:
        yield Mistake(
            found=f"found a back on the shape {shape}",
            hint="only two notches are joined",
            at=(("back" if "back" in given else "back_file"),),
        )
    if {"pick", "point_px"} <= given:
        yield Mistake(found="found pick and point", hint="give one of them", at=("point",))
