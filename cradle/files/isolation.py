"""Libraries loaded and used so that no setting from outside changes what they do, and they leave nothing behind.

Some libraries look for settings in the folder one stands in, in the home
folder and in the environment, run what they find there, and keep caches at
home. Here they find an empty home of ours instead.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from configparser import ConfigParser
from contextlib import ExitStack, contextmanager
from pathlib import Path
from tempfile import TemporaryFile
from threading import RLock
from types import ModuleType
from typing import IO, Any, BinaryIO, Final

from cradle.units import MM_PER

_EMPTY: Final = str(Path(__file__).parent / "no_settings")
"""A home that holds an empty list of fonts for ezdxf, which would otherwise look for all of the machine's and keep a list at home."""
_HOMES: Final = ("HOME", "USERPROFILE", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME")
_FOREIGN: Final = ("EZDXF_", "RL_", "SOURCE_DATE_EPOCH")
"""Beginnings of variables that libraries take settings from; the last one is put as a date into every PDF."""
_RUN_IF_FOUND: Final = ("reportlab_mods", "reportlab_settings")
"""Modules that reportlab runs wherever it finds them."""
_ONE_AT_A_TIME = RLock()
_STDERR: Final = 2
"""Its file descriptor."""


@contextmanager
def without_settings() -> Iterator[None]:
    """Within the block, libraries being loaded or asked find no settings, neither in files nor in the environment."""
    with _ONE_AT_A_TIME:
        before = dict(os.environ)
        read = ConfigParser.read
        for name in _RUN_IF_FOUND:
            sys.modules.setdefault(name, ModuleType(name))
        try:
            for name in before:
                if name.startswith(_FOREIGN):
                    del os.environ[name]
            os.environ.update(dict.fromkeys(_HOMES, _EMPTY))
            ConfigParser.read = _reads_nothing  # type: ignore[method-assign, assignment]
            yield
        finally:
            ConfigParser.read = read  # type: ignore[method-assign]
            for name in set(os.environ) - set(before):
                del os.environ[name]
            os.environ.update(before)


@contextmanager
def unheard() -> Iterator[None]:
    """Within the block, what libraries print or log on standard error goes nowhere: a damaged file is told in our own words."""
    with _errors_into(lambda: open(os.devnull, "wb")):
        yield


@contextmanager
def overheard() -> Iterator[Callable[[], str]]:
    """As `unheard`, with a function that tells what was printed so far; it tells nothing where no temporary file can be made."""
    with _errors_into(TemporaryFile) as kept:

        def said() -> str:
            if kept is None:
                return ""
            kept.seek(0)
            return kept.read().decode(errors="replace")

        yield said


@contextmanager
def _errors_into(new_file: Callable[[], IO[bytes]]) -> Iterator[IO[bytes] | None]:
    """Within the block, standard error, that of libraries in C too, goes into a new file; None where there can be none."""
    with _ONE_AT_A_TIME, ExitStack() as opened:
        try:
            own = os.dup(_STDERR)
            opened.callback(os.close, own)
            kept = opened.enter_context(new_file())
        except OSError:  # nobody hears it anyway
            yield None
            return
        os.dup2(kept.fileno(), _STDERR)
        try:
            yield kept
        finally:
            os.dup2(own, _STDERR)


def pdf_canvas(out: BinaryIO, *, page_mm: tuple[float, float], title: str, compression: int = 1) -> Any:
    """A reportlab canvas, in points, that writes a PDF to be printed at true size, the same bytes every time.

    Parameters
    ----------
    out : binary file
    page_mm : (float, float)
        Width and height of its pages.
    compression : int
        0 leaves the pages' drawing unpacked, 1 packs it.
    """
    with without_settings():
        from reportlab.pdfgen.canvas import Canvas

        size_pt = page_mm[0] / MM_PER["pt"], page_mm[1] / MM_PER["pt"]
        canvas = Canvas(out, pagesize=size_pt, invariant=1, pageCompression=compression)
    canvas.setTitle(pdf_letters(title))
    canvas.setAuthor("cradle")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def pdf_letters(text: str) -> str:
    """The text in letters that a PDF's built-in typefaces have."""
    return text.encode("cp1252", errors="replace").decode("cp1252")


def _reads_nothing(*_: Any, **__: Any) -> Sequence[str]:
    """In place of `ConfigParser.read`: no file was there."""
    return []
