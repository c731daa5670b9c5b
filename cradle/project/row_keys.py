"""What the keys of a row must satisfy: how many things, and which pocket an opening belongs to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from cradle.project.convert import Mistake
from cradle.project.spec import ON_BLOCK, OpeningKind, Through

MOST_POCKETS: Final = 24
OF_THE_HOLDER: Final = frozenset({"block", "plate", "row", "opening", "slices", "printer"})
"""Tables that a holder takes from its own project, not from those of the other things in its row."""
MOST_OTHERS: Final = 12
"""Other things than the project's own: their cuts have letters from A to Z."""


def check_row(values: dict[str, Any]) -> Iterator[Mistake]:
    """Yield more things than a row takes."""
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


def check_openings_in_row(row: dict[str, Any], openings: Sequence[dict[str, Any]]) -> Iterator[Mistake]:
    """Yield openings at pockets that the row does not have, and those in walls that no pocket lies behind."""
    count, things = row.get("count"), row.get("things")
    if count is None or things is None:
        return
    last = count + len(things)
    for index, opening in enumerate(openings):
        yield from _opening(opening, at=("opening", index), last=last)


def _opening(opening: dict[str, Any], *, at: tuple[str, int], last: int) -> Iterator[Mistake]:
    kind, through, pocket = (opening.get(key) for key in ("kind", "through", "pocket"))
    if pocket is not None and pocket > last:
        yield Mistake(
            found=f"found {pocket}, there {'is 1 pocket' if last == 1 else f'are {last} pockets'}",
            hint="pockets count from 1 at the left",
            at=(*at, "pocket"),
        )
        return
    if kind is OpeningKind.FEET and pocket is not None:
        yield Mistake(
            found=f"found {pocket} on the opening {kind}",
            hint="feet stand under the block, not under a pocket",
            at=(*at, "pocket"),
        )
    if last == 1 or kind is None or kind in ON_BLOCK or through not in {Through.LEFT, Through.RIGHT}:
        return
    if kind is OpeningKind.FINGER:
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
