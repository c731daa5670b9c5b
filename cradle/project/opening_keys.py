"""Which keys each kind of opening needs, which it may have, and what it may go through."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from cradle.project.convert import Mistake, amount
from cradle.project.screw_keys import check_screw
from cradle.project.spec import OpeningKind, Through

_FLOOR: Final = frozenset({Through.FLOOR})
_WALLS: Final = frozenset(Through) - _FLOOR
_ALL: Final = frozenset(Through)
SIZE_KEYS: Final = (
    *("diameter", "width", "length", "height", "depth", "corner", "screw", "head", "lip", "text"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """Keys that a kind of opening needs and may have besides, and what it may go through."""

    needs: tuple[str, ...] = ()
    takes: tuple[str, ...] = ()
    through: frozenset[Through] = _ALL
    instead: str = ""
    """What to do where it may not go through."""


_WALL_ONLY: Final = "it goes through a wall: front, back, left or right"
RULES: Final[Mapping[OpeningKind, Rule]] = {
    OpeningKind.DRAIN: Rule(needs=("diameter",), through=_FLOOR, instead='use kind = "round" for a wall'),
    OpeningKind.ROUND: Rule(needs=("diameter",)),
    OpeningKind.SLOT: Rule(needs=("width", "length")),
    OpeningKind.WINDOW: Rule(
        needs=("width", "height"), takes=("corner",), through=_WALLS, instead=_WALL_ONLY
    ),
    OpeningKind.NOTCH: Rule(needs=("width",), takes=("depth", "corner"), through=_WALLS, instead=_WALL_ONLY),
    OpeningKind.FINGER: Rule(takes=("width", "depth"), through=_WALLS, instead=_WALL_ONLY),
    OpeningKind.SCREW: Rule(takes=("screw", "diameter")),
    OpeningKind.COUNTERSUNK: Rule(takes=("screw", "diameter", "head")),
    OpeningKind.KEYHOLE: Rule(
        takes=("screw", "diameter", "head", "lip", "depth"), through=_WALLS, instead=_WALL_ONLY
    ),
    OpeningKind.MAGNET: Rule(needs=("diameter", "depth")),
    OpeningKind.FEET: Rule(needs=("diameter", "depth"), through=_FLOOR, instead="feet stand under the floor"),
    OpeningKind.LABEL: Rule(needs=("text", "height"), takes=("depth",), through=_WALLS, instead=_WALL_ONLY),
}


def _field(key: str) -> str:
    return key if key in {"screw", "text"} else f"{key}_mm"


def check_opening(values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield the sizes an opening lacks, and those it has no use for."""
    kind = values.get("kind")
    if kind is None:
        return
    rule = RULES[kind]
    known = (*rule.needs, *rule.takes)
    for key in SIZE_KEYS:
        if _field(key) not in values:
            continue
        value = values[_field(key)]
        if key in rule.needs and value is None:
            unit = "" if key == "text" else " in mm"
            yield Mistake(found="missing", hint=f"the opening {kind} needs its {key}{unit}", at=(key,))
        if key not in known and value is not None:
            shown = repr(value) if isinstance(value, str) else amount(value, "mm")
            yield Mistake(
                found=f"found {shown} on the opening {kind}",
                hint=f"it takes {' and '.join(known)}",
                at=(key,),
            )
    through = values.get("through")
    if through is not None and through not in rule.through:
        a_drain = kind is OpeningKind.DRAIN
        found = (
            "a drain goes through the floor" if a_drain else f"the opening {kind} cannot be in the {through}"
        )
        yield Mistake(found=found, hint=rule.instead, at=("through",))
    yield from _bottom(kind, values)
    if "screw" in known:
        yield from check_screw(values, needs=("diameter", "head") if "head" in known else ("diameter",))
    yield from _round_ends(kind, values)


def _bottom(kind: OpeningKind, values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield a notch whose bottom is given twice or not at all."""
    if kind not in {OpeningKind.NOTCH, OpeningKind.FINGER} or not {"at_mm", "depth_mm"} <= values.keys():
        return
    at, depth = values["at_mm"], values["depth_mm"]
    if at is not None and depth is not None:
        yield Mistake(
            found=f"found {amount(depth, 'mm')} beside at",
            hint="give either depth, below the rim, or at = [along, height of the bottom]",
            at=("depth",),
        )
    if kind is OpeningKind.NOTCH and at is None and depth is None:
        yield Mistake(
            found="missing",
            hint="how far the notch reaches below the rim, in mm, or at = [along, height of the bottom]",
            at=("depth",),
        )


def _round_ends(kind: OpeningKind, values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield sizes that contradict each other."""
    width, length, corner = (values.get(key) for key in ("width_mm", "length_mm", "corner_mm"))
    if kind is OpeningKind.SLOT and width is not None and length is not None and width > length:
        yield Mistake(
            found=f"found {amount(width, 'mm')}, allowed is at most the length, {amount(length, 'mm')}",
            hint="width is across the slot, length is overall; turn it with turn = 90",
            at=("width",),
        )
    sides = [width] if kind is OpeningKind.NOTCH else [width, values.get("height_mm")]
    least = min((side for side in sides if side is not None), default=None)
    if corner is not None and least is not None and corner > least / 2:
        yield Mistake(
            found=f"found {amount(corner, 'mm')}, allowed is at most {amount(least / 2, 'mm')}",
            hint="a corner radius is no more than half the smaller side",
            at=("corner",),
        )
