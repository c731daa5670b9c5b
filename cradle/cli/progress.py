"""A progress bar on standard error: for long work only, and only for people."""

from __future__ import annotations

import sys
from threading import Lock, Timer
from types import TracebackType
from typing import Any, Final

SILENT_S: Final = 0.7
"""Work shorter than this shows no bar."""


class Progress:
    """Shows the step at work once the work has become long; silent unless standard error is a terminal."""

    def __init__(self) -> None:
        self._bar: Any = None
        self._task: Any = None
        self._name = ""
        self._at_once = Lock()
        self._timer = Timer(SILENT_S, self._show)
        self._timer.daemon = True
        self._shown = sys.stderr.isatty()

    def __enter__(self) -> Progress:
        if self._shown:
            self._timer.start()
        return self

    def step(self, name: str) -> None:
        """Say what begins now."""
        with self._at_once:
            self._name = name
            if self._bar is not None:
                self._bar.update(self._task, description=name)

    def _show(self) -> None:
        """Begin to show the bar, in the midst of a step too."""
        from rich.console import Console
        from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
        from rich.progress import Progress as Bar

        columns = (BarColumn(bar_width=24), TimeElapsedColumn(), TextColumn("{task.description}"))
        with self._at_once:
            if not self._shown:
                return
            self._bar = Bar(*columns, console=Console(stderr=True), transient=True)
            self._task = self._bar.add_task(self._name, total=None)
            self._bar.start()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._timer.cancel()
        with self._at_once:
            self._shown = False
            if self._bar is not None:
                self._bar.stop()
