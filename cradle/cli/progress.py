"""A progress bar on standard error: for long work only, and only for people."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import Any, Final

SILENT_S: Final = 0.7
"""Work shorter than this shows no bar."""


class Progress:
    """Shows the step at work once the work has become long; silent unless standard error is a terminal."""

    def __init__(self) -> None:
        self._started = time.monotonic()
        self._bar: Any = None
        self._task: Any = None
        self._shown = sys.stderr.isatty()

    def __enter__(self) -> Progress:
        return self

    def step(self, name: str) -> None:
        """Say what begins now."""
        if not self._shown or time.monotonic() - self._started < SILENT_S:
            return
        if self._bar is None:
            from rich.console import Console
            from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
            from rich.progress import Progress as Bar

            columns = (BarColumn(bar_width=24), TimeElapsedColumn(), TextColumn("{task.description}"))
            self._bar = Bar(*columns, console=Console(stderr=True), transient=True)
            self._task = self._bar.add_task(name, total=None)
            self._bar.start()
        self._bar.update(self._task, description=name)

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._bar is not None:
            self._bar.stop()
