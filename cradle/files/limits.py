"""Limits: after how much computing, and at how much memory, a command gives up with a clear line.

Whatever a project holds, nobody waits for ever, and the machine does not run
out of memory. What is usual needs a hundredth of either.
"""

from __future__ import annotations

import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from types import FrameType
from typing import Final

from cradle.errors import LimitError
from cradle.files.interruption import sets_written

MOST_S: Final = 180.0
"""Most seconds of processor time that a command takes."""
MOST_MB: Final = 3000
_LOOK_S: Final = 0.5
_GRACE_S: Final = 10.0
"""After an error for a limit no other is raised for this much processor time, while what has begun is cleared up."""
_STATE: Final = Path("/proc/self/status")
_HINT: Final = "make it simpler: outlines and side profiles with fewer points or plainer corners, fewer sections, a lower block, a smaller picture"


@contextmanager
def within_limits() -> Iterator[None]:
    """A block that is left with an error once it computes too long or takes too much memory, unless it has written its files.

    It is looked at twice a second, between two steps of the program; one call
    into a library is not cut short. Outside the main thread, and on Windows,
    which has no such clock, only memory that is not to be had ends it; how much
    was taken is known on Linux only.

    Raises
    ------
    LimitError
        If it does, or if there is no memory left.
    """
    main = threading.current_thread() is threading.main_thread()
    try:
        with _watched() if main else nullcontext():
            yield
    except MemoryError as error:
        raise LimitError(
            f"there is not enough memory: up to {MOST_MB} MB may be taken", hint=_HINT
        ) from error


@contextmanager
def _watched() -> Iterator[None]:
    """A block that is looked at twice a second, where the system has a clock for that."""
    if sys.platform == "win32":
        yield
        return
    end, quiet, written = time.process_time() + MOST_S, 0.0, sets_written()
    told: list[LimitError] = []

    def look(_signal: int, _frame: FrameType | None) -> None:
        nonlocal quiet
        now = time.process_time()
        if now < quiet or sets_written() > written:
            return
        if now > end:
            quiet = now + _GRACE_S
            told.append(LimitError(f"stopped after {MOST_S:g} s of computing, the limit", hint=_HINT))
            raise told[-1]
        if (memory := resident_mb()) > MOST_MB:
            quiet = now + _GRACE_S
            words = f"stopped: {memory} MB of memory were taken, the limit is {MOST_MB} MB"
            told.append(LimitError(words, hint=_HINT))
            raise told[-1]

    earlier = signal.signal(signal.SIGPROF, look)
    signal.siginterrupt(signal.SIGPROF, False)  # noqa: FBT003 - takes no keywords
    signal.setitimer(signal.ITIMER_PROF, _LOOK_S, _LOOK_S)
    try:
        yield
    except Exception as error:
        if told and not isinstance(error, LimitError):  # a library took it for an error of its own
            raise told[-1] from error
        raise
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, earlier)


def resident_mb() -> int:
    """The memory that this process takes now, MB; 0 on systems that do not tell it."""
    try:
        lines = _STATE.read_text(encoding="ascii").splitlines()
    except OSError:
        return 0
    return next((int(line.split()[1]) // 1000 for line in lines if line.startswith("VmRSS:")), 0)
