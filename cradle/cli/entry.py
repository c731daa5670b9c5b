"""Where the ``cradle`` command begins: Ctrl-C ends it in one line from its first moment on, while its modules are still loaded."""

from __future__ import annotations

import os
import signal
from contextlib import suppress
from types import FrameType
from typing import Final, NoReturn

INTERRUPTED: Final = 130


def run() -> NoReturn:
    """Run the command line of this process and leave with its exit code."""
    # whoever started it may ignore the signal, or hear it in another way
    heard = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if heard:
        signal.signal(signal.SIGINT, _leave)
    from cradle.cli import main

    if heard:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    main.run()


def _leave(_signal: int, _frame: FrameType | None) -> NoReturn:
    """Leave at once: nothing was begun that would have to be put away."""
    with suppress(OSError):
        os.write(2, b"\ncradle: interrupted; nothing was written\n")
    os._exit(INTERRUPTED)
