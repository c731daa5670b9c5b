"""What the keys of a screw must satisfy together, wherever one is asked for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from cradle.project.convert import Mistake, amount


def check_screw(values: dict[str, Any], *, needs: Sequence[str]) -> Iterator[Mistake]:
    """Yield what is missing of a screw, its size or its own measures, and a head no wider than its hole.

    Parameters
    ----------
    values : dict
    needs : sequence of str
        The measures that a screw without a size must have: ``diameter``, or ``head`` as well.
    """
    if not {"screw", "diameter_mm", "head_mm"} <= values.keys():
        return
    for key in needs:
        if values["screw"] is None and values[f"{key}_mm"] is None:
            yield Mistake(
                found="missing",
                hint=f'give the size of the screw, screw = "M4", or its own {key} in mm',
                at=(key,),
            )
    diameter, head = values["diameter_mm"], values["head_mm"]
    if diameter is not None and head is not None and head <= diameter:
        yield Mistake(
            found=f"found {amount(head, 'mm')}, allowed is more than the diameter, {amount(diameter, 'mm')}",
            hint="the head is wider than the screw's hole",
            at=("head",),
        )
