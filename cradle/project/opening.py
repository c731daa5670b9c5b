"""``[[opening]]``: holes, notches, screw holes and recesses, each kind with the keys that it takes."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from functools import partial
from typing import ClassVar, Final

from cradle.project.block import MARGIN
from cradle.project.convert import Choice, Pair, angle, length, list_of, text, whole_number
from cradle.project.fasteners import SIZE_OF_SCREW, check_screw
from cradle.project.key import Example, Kinds, Table, Values, key, spec
from cradle.project.mistake import Mistake, amount
from cradle.project.section import SIZE

FINGER_MM: Final = 22.0
"""Width of a finger notch: a broad fingertip is about 20 mm (from memory), and some room."""
MOST_POCKETS: Final = 24
MOST_OPENINGS: Final = 100
MOST_CUTS: Final = 300
"""Openings in a row, counted for each pocket that has them: each is cut and judged by itself."""


class OpeningKind(StrEnum):
    """Kinds of opening cut into the holder, and of parts for mounting it."""

    DRAIN = "drain"
    ROUND = "round"
    SLOT = "slot"
    WINDOW = "window"
    NOTCH = "notch"
    FINGER = "finger"
    SCREW = "screw"
    COUNTERSUNK = "countersunk"
    KEYHOLE = "keyhole"
    MAGNET = "magnet"
    FEET = "feet"
    LABEL = "label"

    @property
    def words(self) -> str:
        """What it is called in a sentence."""
        return _WORDS.get(self, str(self))


_WORDS = {
    OpeningKind.ROUND: "round hole",
    OpeningKind.FINGER: "finger notch",
    OpeningKind.SCREW: "screw hole",
    OpeningKind.COUNTERSUNK: "countersunk hole",
}


class Through(StrEnum):
    """What an opening goes through."""

    FLOOR = "floor"
    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"


_WALLS: Final = Choice([side for side in Through if side is not Through.FLOOR])


@spec
class OpeningSpec:
    """What every opening has.

    ``at_mm`` is (x, y) in the thing's frame for the floor, and (along the wall,
    height above the resting plane) for a wall; None is the pocket's middle. In a
    row it counts for each pocket from its own thing's frame, and for parts of the
    block along x from the block's middle.
    """

    kind: ClassVar[OpeningKind]
    of_block: ClassVar[bool] = False
    """Whether it is there once for the block; else it is there once for every pocket."""

    through: Through = key(Choice(Through), default=Through.FLOOR)
    at_mm: Pair | None = key(
        list_of(length(), names="along up"),
        "floor: x, y; wall: along it and height; left out: the middle",
        default=None,
    )
    pocket: int | None = key(
        whole_number("a pocket's number from the left", most=MOST_POCKETS),
        "in a row: only here, counted from the left",
        default=None,
    )


@spec
class WallOpeningSpec(OpeningSpec):
    """What every opening has that goes through a wall alone."""

    through: Through = key(_WALLS, "the wall it goes through")


@spec
class DrainSpec(OpeningSpec):
    """A round hole through the floor under the pocket's middle."""

    kind = OpeningKind.DRAIN
    through: Through = key(
        Choice([Through.FLOOR], hint='a drain goes through the floor: for a wall use kind = "round"'),
        default=Through.FLOOR,
    )
    diameter_mm: float = key(SIZE)


@spec
class RoundSpec(OpeningSpec):
    """A round hole."""

    kind = OpeningKind.ROUND
    diameter_mm: float = key(SIZE)


@spec
class SlotSpec(OpeningSpec):
    """A slot with round ends; its turn is seen from above, or looking at the wall from the front or the right."""

    kind = OpeningKind.SLOT
    width_mm: float = key(SIZE, "across the slot")
    length_mm: float = key(SIZE, "overall")
    turn_deg: float = key(angle(most=360.0), "0 lies level, 90 stands upright", default=0.0)


@spec
class WindowSpec(WallOpeningSpec):
    """A rectangular hole through a wall, its corners rounded."""

    kind = OpeningKind.WINDOW
    width_mm: float = key(SIZE)
    height_mm: float = key(SIZE)
    corner_mm: float | None = key(MARGIN, default=None)
    turn_deg: float = key(angle(most=360.0), default=0.0)


@spec
class NotchSpec(WallOpeningSpec):
    """A U-shaped opening through a wall, open at the rim: for a view, a lever or a cable."""

    kind = OpeningKind.NOTCH
    width_mm: float = key(SIZE)
    depth_mm: float | None = key(
        SIZE, "below the rim; or at = [along, height of its bottom]", default=None, example=15.0
    )
    corner_mm: float | None = key(MARGIN, default=None)


@spec
class FingerSpec(WallOpeningSpec):
    """A pair of round notches in opposite walls, to take hold of the thing."""

    kind = OpeningKind.FINGER
    width_mm: float = key(SIZE, default=FINGER_MM)
    depth_mm: float | None = key(SIZE, default=None)


@spec
class ScrewSpec(OpeningSpec):
    """A clearance hole for a screw; its head matters for the screwdriver's way."""

    kind: ClassVar[OpeningKind] = OpeningKind.SCREW
    screw: str | None = key(SIZE_OF_SCREW, default=None)
    diameter_mm: float | None = key(
        SIZE, 'a wood screw by its own dimensions instead of screw = "M4"', default=None, example=4.5
    )
    head_mm: float | None = key(SIZE, default=None)


@spec
class CountersunkSpec(ScrewSpec):
    """A clearance hole with a 90 degree countersink on the pocket's side."""

    kind = OpeningKind.COUNTERSUNK


@spec
class KeyholeSpec(WallOpeningSpec):
    """A slot in the outside of a wall that hangs on a screw's head."""

    kind = OpeningKind.KEYHOLE
    of_block = True
    screw: str | None = key(SIZE_OF_SCREW, default=None)
    diameter_mm: float | None = key(SIZE, default=None)
    head_mm: float | None = key(SIZE, default=None)
    lip_mm: float = key(SIZE, "thickness of what the screw's head holds", default=2.0)
    depth_mm: float | None = key(SIZE, default=None)


@spec
class MagnetSpec(OpeningSpec):
    """A round recess from below, or in the outside of a wall."""

    kind = OpeningKind.MAGNET
    of_block = True
    diameter_mm: float = key(SIZE)
    depth_mm: float = key(SIZE)


@spec
class FeetSpec(OpeningSpec):
    """Four round recesses from below for rubber feet."""

    kind = OpeningKind.FEET
    of_block = True
    through: Through = key(Choice([Through.FLOOR], hint="feet stand under the floor"), default=Through.FLOOR)
    diameter_mm: float = key(SIZE)
    depth_mm: float = key(SIZE)


@spec
class LabelSpec(WallOpeningSpec):
    """Letters sunk into the outside of a wall."""

    kind = OpeningKind.LABEL
    of_block = True
    text: str = key(text("a text"))
    height_mm: float = key(SIZE, "of the letters")
    depth_mm: float = key(SIZE, default=0.6)


def _check_slot(values: Values) -> Iterator[Mistake]:
    width, overall = values.get("width_mm"), values.get("length_mm")
    if width is not None and overall is not None and width > overall:
        yield Mistake(
            found=f"found {amount(width, 'mm')}, allowed is at most the length, {amount(overall, 'mm')}",
            hint="width is across the slot, length is overall; turn it with turn = 90",
            at=("width",),
        )


def _check_corner(values: Values) -> Iterator[Mistake]:
    sides = [values[name] for name in ("width_mm", "height_mm") if values.get(name) is not None]
    corner = values.get("corner_mm")
    if corner is not None and sides and corner > min(sides) / 2:
        yield Mistake(
            found=f"found {amount(corner, 'mm')}, allowed is at most {amount(min(sides) / 2, 'mm')}",
            hint="a corner radius is no more than half the smaller side",
            at=("corner",),
        )


def _check_bottom(values: Values) -> Iterator[Mistake]:
    """A bottom that is given twice."""
    depth = values.get("depth_mm")
    if values.get("at_mm") is not None and depth is not None:
        yield Mistake(
            found="depth and at both say how deep the notch is",
            hint="give either depth, below the rim, or at = [along, height of the bottom]",
            at=("depth",),
        )


def _check_notch(values: Values) -> Iterator[Mistake]:
    yield from _check_bottom(values)
    yield from _check_corner(values)
    if {"at_mm", "depth_mm"} <= values.keys() and values["at_mm"] is None and values["depth_mm"] is None:
        yield Mistake(
            found="missing",
            hint="how far the notch reaches below the rim, in mm, or at = [along, height of the bottom]",
            at=("depth",),
        )


_check_plain_screw: Final = partial(check_screw, needs=("diameter",))
_check_headed_screw: Final = partial(check_screw, needs=("diameter", "head"))

OPENINGS: Final = Kinds(
    by="kind",
    tables={
        table.makes.kind: table
        for table in (
            Table(makes=DrainSpec, says="a round hole through the floor, under the middle"),
            Table(makes=RoundSpec, says="a round hole"),
            Table(makes=SlotSpec, says="round ends", check=_check_slot),
            Table(makes=WindowSpec, says="round corners", check=_check_corner),
            Table(makes=NotchSpec, says="open at the rim: for a view, a lever, a cable", check=_check_notch),
            Table(
                makes=FingerSpec,
                says="a pair of notches, here and in the opposite wall, to take hold",
                check=_check_bottom,
            ),
            Table(makes=ScrewSpec, says="a clearance hole", check=_check_plain_screw),
            Table(
                makes=CountersunkSpec,
                says="with its head inside, clear of the thing",
                check=_check_headed_screw,
            ),
            Table(
                makes=KeyholeSpec,
                says="hangs on a screw's head; at: where the screw ends up",
                check=_check_headed_screw,
            ),
            Table(makes=MagnetSpec, says="from below, or outside in a wall; some room is added"),
            Table(makes=FeetSpec, says="four recesses for rubber feet"),
            Table(makes=LabelSpec, says="letters sunk into a wall"),
        )
    },
    says="""\
Openings, as many as you like. In a row every pocket gets each of them, unless  pocket = 2  (from the
left) says which; keyhole, magnet, feet and label are there once for the block, and their at counts
from its middle.""",
)

OPENING_EXAMPLES: Final = tuple(
    Example(shows={"kind": kind, **shows}, rest=False)
    for kind, shows in (
        ("drain", {"diameter": 6.0}),
        ("round", {"through": "back", "at": [0.0, 20.0], "diameter": 6.0}),
        ("slot", {"through": "front", "width": 10.0, "length": 20.0, "turn": 90.0}),
        ("window", {"through": "front", "width": 14.0, "height": 10.0, "corner": 2.0}),
        ("notch", {"through": "front", "width": 8.0, "depth": 15.0}),
        ("finger", {"through": "front"}),
        ("screw", {"screw": "M4"}),
        ("countersunk", {"through": "back", "diameter": 4.0, "head": 8.0}),
        ("keyhole", {"through": "back", "screw": "M4", "lip": 2.0}),
        ("magnet", {"diameter": 8.0, "depth": 2.0}),
        ("feet", {"diameter": 8.0, "depth": 1.0}),
        ("label", {"through": "front", "text": "mine", "pocket": 1, "height": 7.0, "depth": 0.6}),
    )
)
