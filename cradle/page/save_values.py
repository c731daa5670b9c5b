"""Keep moved values in the project file, unless somebody has changed it meanwhile."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from threading import Lock

from cradle.errors import InputError
from cradle.files.writing import write_all
from cradle.project.change import with_values
from cradle.project.reader import project_from_text, text_of

_ONE_AT_A_TIME = Lock()


def keep_values(file: Path, moved: Mapping[str, float], *, read: str) -> str:
    """The file's new text, written: the moved values changed, everything else as it was.

    Parameters
    ----------
    file : Path
        The project file.
    moved : mapping of str to float
        New values by dotted key.
    read : str
        The text on which they are founded.

    Raises
    ------
    InputError
        If the file does not hold that text any more, or would not be sound with the values in it.
    ExportError
        If it cannot be written.
    """
    with _ONE_AT_A_TIME:
        if text_of(file) != read:
            raise InputError(
                "the project file was changed since this page read it, so nothing was kept",
                hint="load the page again to see what is in it now",
            )
        text = with_values(read, moved)
        project_from_text(text, file=file)
        write_all({file: text.encode()}, hint="see to the folder's permissions")
    return text
