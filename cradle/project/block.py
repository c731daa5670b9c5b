"""``[block]`` and ``[plate]``: the parametric base, and a plate that fixes it to a wall."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from typing import Final

from cradle.project.convert import LEAST_SIZE_MM, Auto, Choice, Pair, angle, length, list_of, number, or_auto
from cradle.project.fasteners import SIZE_OF_SCREW, check_screw
from cradle.project.key import Example, Table, Values, key, spec
from cradle.project.mistake import Mistake, amount
from cradle.project.section import SIZE

_STEEPEST_LEAN_DEG: Final = 60.0
MARGIN: Final = length(least=0.0, most=200.0)
"""A wall's own measures: corners, chamfers."""
LEAST_RIM_MM: Final = 0.4
"""Of a wall between its lead-in and its chamfer, and of a ridge between two lead-ins: one printed line. A thinner rim is no rim."""
_THICK: Final = length(least=LEAST_SIZE_MM, most=200.0)


class BlockForm(StrEnum):
    """Outline of the block seen from above."""

    BOX = "box"
    OVAL = "oval"
    HUG = "hug"
    """The outline follows the pocket's at one wall's distance."""


class CornerForm(StrEnum):
    """What becomes of a box's upright edges."""

    ROUND = "round"
    CUT = "cut"
    """Cut back at 45 degrees, by the corner's measure along either side."""


class PlateHole(StrEnum):
    """What a wall plate is fixed by; the screws' heads lie in front of it."""

    COUNTERSUNK = "countersunk"
    """A clearance hole with a 90 degree countersink in front."""
    PLAIN = "plain"
    """A plain clearance hole."""
    KEYHOLE = "keyhole"
    """A slot right through with an entry for the head below: hung up, not screwed down."""


@spec
class BlockSpec:
    """The parametric base."""

    form: BlockForm = key(Choice(BlockForm), "{} (follows the thing)", default=BlockForm.BOX)
    wall_mm: float = key(_THICK, default=3.0)
    width_mm: float | None = key(
        SIZE,
        "of a box above its flare; left out: what pocket and walls need",
        default=None,
        example=120.0,
    )
    depth_mm: float | None = key(SIZE, "the same, front to back", default=None, example=80.0)
    floor_mm: float = key(_THICK, default=4.0)
    height_mm: float = key(
        SIZE,
        "how far up the thing it goes; left out: to the highest section, 40 at most",
        default=40.0,
        start=34.0,
    )
    flare_mm: float | Auto = key(
        or_auto(MARGIN), 'extra width of the foot, per side; "auto": as much as tip_angle needs', default=0.0
    )
    tip_angle_deg: float = key(
        number(
            "an angle in degrees",
            unit="deg",
            above=0.0,
            most=45.0,
            hint="how far it may be tilted before it falls; 15 is usual",
        ),
        "it must not fall over when tilted this far, in degrees",
        default=15.0,
    )
    corner_mm: float = key(MARGIN, "radius of the upright edges, or how far they are cut back", default=4.0)
    corner_form: CornerForm = key(
        Choice(CornerForm), "box: {} (back at 45 degrees)", default=CornerForm.ROUND
    )
    chamfer_mm: float = key(
        MARGIN,
        "on the outer edges; left out: 0.5, or what a thin wall leaves",
        default=0.5,
        example=0.5,
    )
    lead_in_mm: float = key(
        MARGIN,
        "chamfer at the pocket's mouth; left out: 1, or what a thin wall leaves",
        default=1.0,
        example=1.0,
    )
    lean_deg: float = key(
        angle(most=_STEEPEST_LEAN_DEG, hint="0 is upright"),
        f"the thing leans back by this much, or to the front (below 0); at most {_STEEPEST_LEAN_DEG:g}",
        default=0.0,
    )

    @property
    def wider_mm(self) -> float:
        """The flare as a number; 0 while it is still to be chosen."""
        return 0.0 if isinstance(self.flare_mm, str) else self.flare_mm


@spec
class PlateSpec:
    """A plate flush with the back of a box, standing on the bed as the block does.

    Where ``edge_mm`` is None, room is left for the heads; the upper row of
    holes lies ``edge_mm`` below the top.
    """

    width_mm: float = key(SIZE, "how wide the wall plate is, in mm", start=110.0)
    height_mm: float | None = key(
        SIZE, "from the foot up; left out: as high as the block", default=None, example=60.0
    )
    thickness_mm: float = key(_THICK, default=4.0)
    corner_mm: float = key(
        MARGIN, "radius of its upper corners; the lower ones stand on the bed", default=4.0
    )
    hole: PlateHole = key(Choice(PlateHole), "{} (to hang it up)", default=PlateHole.COUNTERSUNK)
    screw: str | None = key(SIZE_OF_SCREW, default=None, example="M4")
    diameter_mm: float | None = key(
        SIZE, 'a wood screw by its own dimensions instead of screw = "M4"', default=None, example=4.5
    )
    head_mm: float | None = key(SIZE, default=None, example=8.0)
    edge_mm: float | None = key(SIZE, "edge distance, to the hole centres", default=None, example=9.0)
    spacing_mm: Pair | None = key(
        list_of(length(least=0.0), names="across up"),
        "between holes, across and up (0: one row); left out: each free corner",
        default=None,
        example=[92.0, 0.0],
    )


def _check_block(values: Values) -> Iterator[Mistake]:
    """What only a box has: cut corners, and a width and a depth of its own."""
    form, corner = values.get("form"), values.get("corner_form")
    if form is None or form is BlockForm.BOX:
        return
    for name in ("width", "depth"):
        if values.get(f"{name}_mm") is not None:
            yield Mistake(
                found=f"found a {name} beside the form {form}",
                hint='only form = "box" has one of its own; leave it out, and the block is as large as its pocket and its walls need',
                at=(name,),
            )
    if corner is CornerForm.CUT:
        yield Mistake(
            found=f'found "cut" on the form {form}',
            hint='only form = "box" has corners to cut',
            at=("corner_form",),
        )


def _check_plate(values: Values) -> Iterator[Mistake]:
    """What is missing of the plate's screws, and corners too round for it."""
    plain = values.get("hole") is PlateHole.PLAIN
    yield from check_screw(values, needs=("diameter",) if plain else ("diameter", "head"))
    width, height, corner = (values.get(name) for name in ("width_mm", "height_mm", "corner_mm"))
    if width is None or corner is None:
        return
    most = width / 2 if height is None else min(width / 2, height)
    if corner > most:
        yield Mistake(
            found=f"found {amount(corner, 'mm')}, allowed is at most {amount(most, 'mm')}",
            hint="the radius of its upper corners is at most half its width, and its height",
            at=("corner",),
        )


def check_plate_on_block(block: Values, plate: Values | None) -> Iterator[Mistake]:
    """A block whose back is not flat and upright, and so takes no plate."""
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


BLOCK: Final = Table(makes=BlockSpec, check=_check_block)
PLATE: Final = Table(
    makes=PlateSpec,
    says="A plate flush with the back of a box, wider or higher than it, to fix it to a wall.\n",
    check=_check_plate,
)
PLATE_EXAMPLES: Final = (Example(),)
