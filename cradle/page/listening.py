"""The port of this machine that a page listens on: the one asked for, or the first that is free."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Final

from cradle.errors import InputError
from cradle.noun import noun
from cradle.page.guard import HERE

FIRST_PORT: Final = 8477
_MOST_TRIED: Final = 20


@noun
class Listening:
    """A socket that listens on this machine alone, and its port."""

    place: socket.socket
    port: int


@contextmanager
def listening(port: int | None) -> Iterator[Listening]:
    """What listens at a port, closed in the end.

    Parameters
    ----------
    port : int, optional
        Else the first from `FIRST_PORT` on that nothing listens on.

    Raises
    ------
    InputError
        If something listens there, or on each of those tried.
    """
    tried = range(FIRST_PORT, FIRST_PORT + _MOST_TRIED) if port is None else (port,)
    for number in tried:
        with socket.socket() as place:
            if not _listens(place, number):
                continue
            yield Listening(place=place, port=number)
            return
    which = f"port {port} cannot" if port is not None else f"none of the ports {tried[0]} to {tried[-1]} can"
    raise InputError(
        f"{which} be used on {HERE}: something else may listen there",
        where="port",
        hint="give another number, 1024 to 65535"
        + ("" if port is None else f"; without one the first free one from {FIRST_PORT} on is taken"),
    )


def _listens(place: socket.socket, port: int) -> bool:
    """Whether a socket could be had to listen at a port."""
    if os.name == "posix":  # one left a moment ago is free again; elsewhere this would let two share one
        place.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    with suppress(OSError):
        place.bind((HERE, port))
        place.listen()  # of two that are bound only one may
        return True
    return False
