"""Moments in which an interruption has to wait, because what is half done must be finished; and what was done by then."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any, Final

_SIGNALS: Final = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)
_written: list[None] = []


@contextmanager
def interruptions_wait() -> Iterator[None]:
    """Signals that the program answers itself, such as Ctrl-C, are answered when the block is done.

    Those that end the process unasked still do. Outside the main thread, where
    no signal is answered, nothing changes.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    answers: dict[int, Any] = {number: signal.getsignal(number) for number in _SIGNALS}
    ours = {number: answer for number, answer in answers.items() if callable(answer)}
    came: list[tuple[int, FrameType | None]] = []

    def note(number: int, frame: FrameType | None) -> None:
        came.append((number, frame))

    for number in ours:
        signal.signal(number, note)
    try:
        yield
    finally:
        for number, answer in ours.items():
            signal.signal(number, answer)
        for number, frame in came[:1]:
            ours[number](number, frame)


def note_set_written() -> None:
    """Note that this process has written a set of files."""
    _written.append(None)


def sets_written() -> int:
    """How many sets this process has written."""
    return len(_written)
