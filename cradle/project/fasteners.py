"""Sizes of metric screws: holes and heads, and what a project must say of one.

Clearance holes: ISO 273, medium series. Countersunk heads: the larger of the
theoretical head diameters of ISO 10642 (hexagon socket) and ISO 7046-1 (cross
recess), 90 degrees. Both as in published extracts. Pan heads for keyholes:
ISO 7045, from memory. Wood screws have sizes of their own: measure one, and
give ``diameter`` and ``head``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, Protocol

from cradle.errors import InternalError
from cradle.names import listed
from cradle.noun import record
from cradle.project.convert import Choice
from cradle.project.key import Values
from cradle.project.mistake import Mistake, amount


@record
class Screw:
    """A metric screw, mm.

    Attributes
    ----------
    hole_mm : float
        Clearance hole.
    sunk_head_mm : float
        Theoretical diameter of a countersunk head: where its cone would end in a sharp edge.
    pan_head_mm, pan_height_mm : float
        Largest diameter and height of a pan head.
    """

    nominal_mm: float
    hole_mm: float
    sunk_head_mm: float
    pan_head_mm: float
    pan_height_mm: float


class ScrewChoice(Protocol):
    """A spec that says which screw it takes: by its size, or by its own measures."""

    @property
    def screw(self) -> str | None:
        """Size of a metric screw, such as M4."""

    @property
    def diameter_mm(self) -> float | None:
        """Diameter of its hole (keyhole: of its shank) where the size does not say."""

    @property
    def head_mm(self) -> float | None:
        """Diameter of its head where the size does not say."""


SCREWS: Final[Mapping[str, Screw]] = {
    name: Screw(nominal_mm=d, hole_mm=hole, sunk_head_mm=sunk, pan_head_mm=pan, pan_height_mm=tall)
    for name, d, hole, sunk, pan, tall in (
        ("M2.5", 2.5, 2.9, 5.5, 5.0, 2.1),
        ("M3", 3.0, 3.4, 6.72, 5.6, 2.4),
        ("M3.5", 3.5, 3.9, 8.2, 7.0, 2.6),
        ("M4", 4.0, 4.5, 9.4, 8.0, 3.1),
        ("M5", 5.0, 5.5, 11.2, 9.5, 3.7),
        ("M6", 6.0, 6.6, 13.44, 12.0, 4.6),
        ("M8", 8.0, 9.0, 17.92, 16.0, 6.0),
    )
}
SIZE_OF_SCREW: Final = Choice(
    tuple(SCREWS),
    hint="of any other, such as a wood screw, give diameter and head in place of a size",
)
"""A size in the table, smallest first."""


def screw_of(spec: ScrewChoice) -> Screw:
    """The screw that a spec chooses by its size, by its own measures, or by both: then its own measures take precedence."""
    own, head = spec.diameter_mm, spec.head_mm
    if spec.screw is not None:
        known = SCREWS[spec.screw]
        return Screw(
            nominal_mm=own or known.nominal_mm,
            hole_mm=own or known.hole_mm,
            sunk_head_mm=head or known.sunk_head_mm,
            pan_head_mm=head or known.pan_head_mm,
            pan_height_mm=known.pan_height_mm,
        )
    if own is None:
        raise InternalError("a screw has neither size nor diameter")
    pan = head or 2 * own
    return Screw(
        nominal_mm=own, hole_mm=own, sunk_head_mm=head or own, pan_head_mm=pan, pan_height_mm=pan / 2
    )


def check_screw(values: Values, *, needs: Sequence[str]) -> Iterator[Mistake]:
    """What is missing of a screw, its size or its own measures, and a head no wider than its hole.

    Parameters
    ----------
    values : dict
        With the fields ``screw``, ``diameter_mm`` and ``head_mm``.
    needs : sequence of str
        The measures that a screw without a size must have: ``diameter``, or ``head`` as well.
    """
    if not {"screw", "diameter_mm", "head_mm"} <= values.keys():
        return
    missing = [key for key in needs if values["screw"] is None and values[f"{key}_mm"] is None]
    if missing:
        yield Mistake(
            found="missing",
            hint=f'give the size of the screw, screw = "M4", or its own {listed(missing)} in mm',
            at=(missing[0] if len(missing) < len(needs) else "screw",),
        )
    diameter, head = values["diameter_mm"], values["head_mm"]
    if diameter is not None and head is not None and head <= diameter:
        yield Mistake(
            found=f"found {amount(head, 'mm')}, allowed is more than the diameter, {amount(diameter, 'mm')}",
            hint="the head is wider than the screw's hole",
            at=("head",),
        )
