"""The holder that was made last, as its ``summary.json`` tells: what a trial of it was tried in, whatever was measured since."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from cradle.errors import InputError
from cradle.files.reading import FileKind, text_in
from cradle.noun import noun
from cradle.project.convert import Pair
from cradle.project.mistake import MistakeError
from cradle.project.project import Project
from cradle.project.trial_log import ROOM, Room

SUMMARY_FILE: Final = "summary.json"
_KIND: Final = FileKind(most_bytes=20_000_000, missing="make the holder first")
_SAME_MM: Final = 0.005
"""Clearances are told in hundredths of a mm."""


@noun
class PrintedHolder:
    """A holder as made: the least clearance it was made for, the room in its file, its lining as it is and pressed, None without one, and where that stands."""

    clearance_mm: float
    room: Room
    lined_mm: Pair | None
    file: Path


def printed_holder(
    project: Project, folders: Sequence[Path], *, clearance_mm: float | None
) -> PrintedHolder | None:
    """The newest holder of a project that was made into one of the folders; None where none tells its room.

    Of several made at once it is the one with a clearance, without one none of them.
    """
    files = [folder / SUMMARY_FILE for folder in dict.fromkeys(folders)]
    there = sorted((f for f in files if f.is_file()), key=lambda f: f.stat().st_mtime, reverse=True)
    for file in there:
        found = [
            one
            for one in _told(file, project=project)
            if clearance_mm is None or abs(one.clearance_mm - clearance_mm) < _SAME_MM
        ]
        if len(found) == 1:
            return found[0]
    return None


def _told(file: Path, *, project: Project) -> Iterator[PrintedHolder]:
    """The holders of the project that a summary tells of; none where it is of another or cannot be read."""
    try:
        summary: Any = json.loads(text_in(file, where=str(file), kind=_KIND))
        for made in summary.get("holders", [summary]):
            if (made["project"], made["name"]) == (project.file.name, project.thing.name):
                own = made["things"][0]
                thick, pressed = (float(own.get(key, 0.0)) for key in ("lining_mm", "lining_pressed_mm"))
                yield PrintedHolder(
                    clearance_mm=float(own["clearance_asked_mm"]),
                    room=ROOM(own["room_mm"]),
                    lined_mm=(thick, pressed) if thick else None,
                    file=file,
                )
    except (InputError, MistakeError, ValueError, LookupError, TypeError, AttributeError, RecursionError):
        return
