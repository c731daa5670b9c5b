"""What the page's server may write on the terminal: single lines of plain letters, each of them once in a row."""

from __future__ import annotations

import logging
from typing import Final

from cradle.names import printable

_LONGEST: Final = 300


class PlainLines(logging.Handler):
    """Writes each record as one line on standard error, without traceback and without control characters.

    What a browser sends reaches records word for word; escape sequences in it
    must not reach the terminal.
    """

    def __init__(self) -> None:
        super().__init__(level=logging.WARNING)
        self._stream = logging.StreamHandler()
        self._last = ""

    def emit(self, record: logging.LogRecord) -> None:
        """Write a record, unless it says what the last one said."""
        line = plain_line(record)
        if line != self._last:
            self._last = line
            self._stream.emit(logging.makeLogRecord({"msg": line, "args": None}))


def plain_line(record: logging.LogRecord) -> str:
    r"""A record in one line of printable characters.

    Examples
    --------
    >>> plain_line(logging.makeLogRecord({"msg": "/\x1b[2Ja not found", "levelname": "WARNING"}))
    'cradle: page: /?[2Ja not found'
    """
    try:
        text = record.getMessage()
    except (TypeError, ValueError):  # a message that does not suit its arguments
        text = str(record.msg)
    words = " ".join(text.split("\n", 1)[0].split())
    error = record.exc_info[1] if record.exc_info else None
    if error is not None and str(error) not in words:
        words += f" ({type(error).__name__}: {' '.join(str(error).split())})"
    return f"cradle: page: {printable(words, instead='?')[:_LONGEST]}"


def keep_the_terminal_plain() -> None:
    """Let everything that libraries log in this process go through `PlainLines`."""
    for name in list(logging.root.manager.loggerDict):  # some libraries bring handlers of their own
        logger = logging.getLogger(name)
        logger.handlers.clear()
        logger.propagate = True
    logging.getLogger().addHandler(PlainLines())
