"""What the keys of the block must satisfy together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from cradle.project.block_parts import CornerForm
from cradle.project.convert import Mistake
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
