"""A browser opened on an address, without a word of its own in the terminal."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from threading import Thread

import click


def open_browser(address: str, *, on_failure: Callable[[], None]) -> None:
    """Open the browser of this machine on an address, and go on at once.

    Parameters
    ----------
    on_failure : callable
        Called where there is none: at once, or on a thread as soon as that is known.
    """
    if sys.platform != "linux":
        if click.launch(address) != 0:
            on_failure()
        return
    try:
        opening = subprocess.Popen(  # one that stays open as long as the browser must not be waited for
            ["xdg-open", address],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,  # Ctrl-C ends the page, not the browser
        )
    except OSError:
        on_failure()
        return

    def wait() -> None:
        if opening.wait() != 0:
            on_failure()

    Thread(target=wait, daemon=True).start()
