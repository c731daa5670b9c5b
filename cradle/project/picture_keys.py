"""What the keys of a picture must satisfy together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from cradle.project.convert import Mistake
from cradle.project.picture_spec import LineEdge, ScaleFrom, Traced


def check_picture(values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield scales given twice or in part, a notch joined with itself, and keys the shape has no use for."""
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
    yield from _back_in_the_same_picture(values)


def _back_in_the_same_picture(values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield a back that is the front, or that a point cannot be told from."""
    if not {"pick", "point_px", "back", "back_file"} <= values.keys():
        return
    pick, back = values["pick"], values["back"]
    if back is None or values["back_file"] is not None:
        return
    if values["point_px"] is not None:
        yield Mistake(
            found="found point and back in one picture",
            hint="say by number which piece is the front, pick = 1, or give the back its own picture, back_file",
            at=("point",),
        )
    elif back == (pick or 1):
        is_front = "is the front" if pick is not None else "is the front, as no pick is given"
        yield Mistake(
            found=f"found {back}, and piece {back} {is_front}",
            hint="front and back are two pieces: give back the other's number, or its own picture, back_file",
            at=("back",),
        )
