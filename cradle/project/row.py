"""``[row]``: things side by side in one block, and which pocket an opening belongs to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from cradle.names import counted
from cradle.project.convert import LEAST_SIZE_MM, FilePath, length, list_of, whole_number
from cradle.project.key import Example, Table, Values, key, spec
from cradle.project.mistake import Mistake
from cradle.project.opening import MOST_CUTS, MOST_POCKETS, OPENINGS, FeetSpec, FingerSpec, Through

OF_THE_HOLDER: Final = frozenset({"block", "plate", "row", "opening", "test_pieces", "printer"})
"""Tables that a holder takes from its own project, not from those of the other things in its row."""
MOST_OTHERS: Final = 12
"""Other things than the project's own: their cuts have letters from A to Z."""


@spec
class RowSpec:
    """Things side by side in one block, from left to right; each has its own pocket.

    Of other things the thing, its sections and its fit count; block, openings
    and printer are those of the project that names them.
    """

    count: int = key(
        whole_number("a number of things", most=MOST_POCKETS), "how many of this thing", default=1, start=2
    )
    things: tuple[str, ...] = key(
        list_of(FilePath((".toml",))),
        "other things to the right of it, each by its own project file",
        default=(),
        example=["../flute/holder.toml"],
    )
    gap_mm: float | None = key(
        length(least=LEAST_SIZE_MM, most=200.0),
        "between neighbours where they are widest; left out: as the wall",
        default=None,
        example=6.0,
    )


def _check_row(values: Values) -> Iterator[Mistake]:
    """More things than a row takes."""
    count, things = values.get("count"), values.get("things")
    if count is None or things is None:
        return
    if len(things) > MOST_OTHERS:
        yield Mistake(
            found=f"found {len(things)} other things, allowed are {MOST_OTHERS}",
            hint="make more than one holder",
            at=("things",),
        )
    elif count + len(things) > MOST_POCKETS:
        yield Mistake(
            found=f"found {count + len(things)} things in the row, allowed are {MOST_POCKETS}",
            hint="make more than one holder",
            at=("count",),
        )


def check_openings_in_row(row: Values, openings: Sequence[Values]) -> Iterator[Mistake]:
    """Openings at pockets that the row does not have, and those in walls that no pocket lies behind."""
    count, things = row.get("count"), row.get("things")
    if count is None or things is None:
        return
    last = count + len(things)
    cuts = [1 if _once(opening) else last for opening in openings]
    if sum(cuts) > MOST_CUTS:
        yield Mistake(
            found=f"found {len(openings)} openings, {sum(cuts)} in all pockets together, allowed are {MOST_CUTS}",
            hint="leave some out, or say in which pocket each is",
            at=("opening",),
        )
    for index, opening in enumerate(openings):
        yield from _opening(opening, at=("opening", index), last=last)


def _once(opening: Values) -> bool:
    """Whether an opening is there once for the block or in one pocket alone."""
    kind = opening.get("kind")
    return opening.get("pocket") is not None or (kind is not None and OPENINGS.tables[kind].makes.of_block)


def _opening(opening: Values, *, at: tuple[str, int], last: int) -> Iterator[Mistake]:
    kind, through, pocket = (opening.get(name) for name in ("kind", "through", "pocket"))
    if pocket is not None and pocket > last:
        yield Mistake(
            found=f"found {pocket}, there {'is' if last == 1 else 'are'} {counted(last, 'pocket')}",
            hint="pockets count from 1 at the left",
            at=(*at, "pocket"),
        )
        return
    if kind is None:
        return
    makes = OPENINGS.tables[kind].makes
    if makes is FeetSpec and pocket is not None:
        yield Mistake(
            found=f"found {pocket} on the opening {kind}",
            hint="feet stand under the block, not under a pocket",
            at=(*at, "pocket"),
        )
    if last == 1 or makes.of_block or through not in {Through.LEFT, Through.RIGHT}:
        return
    if makes is FingerSpec:
        yield Mistake(
            found=f"found {through} in a row",
            hint='beside a thing in a row stands its neighbour: use through = "front" or "back"',
            at=(*at, "through"),
        )
    end = 1 if through is Through.LEFT else last
    if pocket is not None and pocket != end:
        yield Mistake(
            found=f"found {pocket}, behind the {through} wall lies pocket {end}",
            hint=f"leave it out, or use pocket = {end}",
            at=(*at, "pocket"),
        )


ROW: Final = Table(
    makes=RowSpec,
    says="Several things side by side in one block, each with its own pocket.\n",
    check=_check_row,
)
ROW_EXAMPLES: Final = (Example(),)
