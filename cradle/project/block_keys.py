"""What the keys of the block and of its wall plate must satisfy together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from cradle.project.block_parts import CornerForm, PlateHole
from cradle.project.convert import Mistake, amount
from cradle.project.screw_keys import check_screw
from cradle.project.spec import BlockForm


def check_block(values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield cut corners on a block that has no corners."""
    form, corner = values.get("form"), values.get("corner_form")
    if corner is CornerForm.CUT and form is not None and form is not BlockForm.BOX:
        yield Mistake(
            found=f'found "cut" on the form {form}',
            hint='only form = "box" has corners to cut',
            at=("corner_form",),
        )


def check_plate(values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield what is missing of the plate's screws, and corners too round for it."""
    plain = values.get("hole") is PlateHole.SCREW
    yield from check_screw(values, needs=("diameter",) if plain else ("diameter", "head"))
    width, height, corner = (values.get(key) for key in ("width_mm", "height_mm", "corner_mm"))
    if width is None or corner is None:
        return
    most = width / 2 if height is None else min(width / 2, height)
    if corner > most:
        yield Mistake(
            found=f"found {amount(corner, 'mm')}, allowed is at most {amount(most, 'mm')}",
            hint="the radius of its upper corners is at most half its width, and its height",
            at=("corner",),
        )


def check_plate_on_block(block: dict[str, Any], plate: dict[str, Any] | None) -> Iterator[Mistake]:
    """Yield a block whose back is not flat and upright, and so takes no plate."""
    if plate is None:
        return
    form, flare = block.get("form"), block.get("flare_mm")
    if form is not None and form is not BlockForm.BOX:
        yield Mistake(
            found=f"found {form} beside a table [plate]",
            hint='a wall plate needs a flat back: use form = "box"',
            at=("block", "form"),
        )
    if flare is not None and flare != 0.0:
        shown = flare if isinstance(flare, str) else amount(flare, "mm")
        yield Mistake(
            found=f"found {shown} beside a table [plate]",
            hint="a wall plate needs an upright back, and what hangs on a wall need not stand: use flare = 0",
            at=("block", "flare"),
        )
