"""The port of this machine that a page listens on: the one asked for, or the first that is free."""

from __future__ import annotations

import os
import socket
from typing import Final

from cradle.errors import InputError
from cradle.page.guard import HERE

FIRST_PORT: Final = 8477
_MOST_TRIED: Final = 20


def listening(port: int | None) -> socket.socket:
    """A socket that listens on this machine alone; to be closed by the caller.

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
        place = socket.socket()
        try:
            if (
                os.name == "posix"
            ):  # one closed a moment ago is free again; elsewhere this would let two share one
                place.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            place.bind((HERE, number))
            place.listen()  # of two who have bound it only one may
        except OSError:
            place.close()
            continue
        return place
    which = f"port {port} cannot" if port is not None else f"none of the ports {tried[0]} to {tried[-1]} can"
    raise InputError(
        f"{which} be used on {HERE}: something else may listen there",
        where="port",
        hint="give another number, 1024 to 65535"
        + ("" if port is None else f", or none: then the first free one from {FIRST_PORT} on is taken"),
    )
