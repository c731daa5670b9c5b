"""The holder that was made last, as its ``summary.json`` tells: what a trial of it was tried in, whatever was measured since."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path, PurePath
from typing import Any, Final

from cradle.errors import InputError
from cradle.files.reading import FileKind, real_path, text_in
from cradle.names import command
from cradle.noun import noun
from cradle.project.convert import Pair
from cradle.project.mistake import MistakeError
from cradle.project.project import Project
from cradle.project.reader import read_project
from cradle.project.trial_log import ROOM, Room

SUMMARY_FILE: Final = "summary.json"
_KIND: Final = FileKind(most_bytes=20_000_000, missing="make the holder first")
_SAME_MM: Final = 0.005
"""Clearances are told in hundredths of a mm."""


@noun
class PrintedHolder:
    """A holder as its ``summary.json`` tells of it.

    Attributes
    ----------
    project : str
        The name of the project file it was made from.
    clearance_mm : float
        The least clearance it was made for.
    room : Room
        The gaps in its file, and the thing as it then was, all the way up.
    lined_mm : (float, float) or None
        Thickness of its lining, as it is and pressed; None without one.
    """

    project: str
    clearance_mm: float
    room: Room
    lined_mm: Pair | None
    file: Path


def printed_holder(
    project: Project, folders: Sequence[Path], *, clearance_mm: float | None
) -> PrintedHolder | None:
    """The newest holder with a project's thing in it that was made into one of the folders; None where none tells its room.

    In a row it has a room for each of its things, whichever of their projects it was made from. Of several made at once it is the one with a clearance, without one none of them.
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


def holder_displaced(project: Project, folder: Path) -> str | None:
    """The name of another project's holder whose report and summary those of a project displace in a folder; None where there is none."""
    for made in _holders(folder / SUMMARY_FILE):
        name = made.get("name")
        if isinstance(name, str) and (made.get("project"), name) != (project.file.name, project.thing.name):
            return name
    return None


def noting_others(project: Project, *, made: Path) -> tuple[str, ...]:
    """The commands that note how the other things of a row went into the holder made into a folder: a trial tells of one thing's shape."""
    said = (("piece", "holder"), ("made", str(made)), ("seen", "good"))
    others = dict.fromkeys(os.path.normpath(project.folder / path) for path in project.row.things)
    return tuple(command("trial", file, said) for file in others)


def row_with(project: Project, printed: PrintedHolder) -> Path | None:
    """The project file of another thing in whose row a project's thing stands, by a printed holder; None where there is none beside the holder's folder or here."""
    for folder in (printed.file.parent.parent, Path()):
        file = Path(os.path.normpath(folder / printed.project))
        with suppress(InputError):
            things = read_project(file).row.things
            if real_path(project.file) in [real_path(file.parent / path) for path in things]:
                return file
    return None


def _told(file: Path, *, project: Project) -> Iterator[PrintedHolder]:
    """The holders of the project that a summary tells of; none where it is of another or cannot be read."""
    try:
        for made in _holders(file):
            things = [(_likeness(thing, project=project), thing) for thing in made["things"]]
            most = max(alike for alike, _ in things)
            for thing in (thing for alike, thing in things if alike == most > 0):
                thick, pressed = (float(thing.get(key, 0.0)) for key in ("lining_mm", "lining_pressed_mm"))
                yield PrintedHolder(
                    project=str(made.get("project", "")),
                    clearance_mm=float(thing["clearance_asked_mm"]),
                    room=ROOM(thing["room_mm"]),
                    lined_mm=(thick, pressed) if thick else None,
                    file=file,
                )
    except (MistakeError, ValueError, LookupError, TypeError, AttributeError):
        return


def _holders(file: Path) -> list[dict[str, Any]]:
    """What a summary tells of each holder; none where it is not there or cannot be read."""
    try:
        summary: Any = json.loads(text_in(file, where=str(file), kind=_KIND))
        found = summary.get("holders", [summary])
    except (InputError, ValueError, AttributeError, RecursionError):
        return []
    return [made for made in found if isinstance(made, dict)] if isinstance(found, list) else []


def _likeness(thing: Any, *, project: Project) -> int:
    """How many of the last parts of its project's path a thing of a holder tells, all of them this project's; 0 where it is another."""
    told = [part for part in PurePath(thing["project"]).parts if part != ".."]
    here = real_path(project.file).parts[-len(told) :]
    return len(told) if thing["name"] == project.thing.name and list(here) == told else 0
