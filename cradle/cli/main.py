"""The ``cradle`` command: parsing, errors to one line each, exit codes."""

from __future__ import annotations

import codecs
import gc
import os
import signal
import sys
import traceback
import warnings
from collections.abc import Sequence
from contextlib import nullcontext, suppress
from io import TextIOWrapper
from types import FrameType
from typing import Any, Final, NoReturn

import click

from cradle import __version__
from cradle.cli.check import check
from cradle.cli.entry import INTERRUPTED
from cradle.cli.json_output import print_json
from cradle.cli.make import make
from cradle.cli.page import page
from cradle.cli.pieces import pieces
from cradle.cli.sheet import sheet
from cradle.cli.start import start
from cradle.cli.trace import trace
from cradle.cli.trial import trial
from cradle.errors import CombinedError, CradleError, GeometryError, InputError, InternalError, ProjectError
from cradle.files.interruption import sets_written
from cradle.files.limits import within_limits

_OUTPUT_LOST: Final = 4
"""Standard output cannot be written: full, or nobody reads it any more."""
_IN_PLAIN_LETTERS: Final = "cradle.plain"
_PLAIN: Final = {
    "×": "x",
    "“": '"',
    "”": '"',
    "±": "+-",
    "°": " deg",
    "²": "2",
    "³": "3",
    "–": "-",
    "−": "-",
    "…": "...",
}
"""What is printed instead of letters that an output's encoding lacks; others become question marks."""


class _InOrder(click.Group):
    """Commands in the order in which they are used, not by the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)


@click.group(
    cls=_InOrder,
    help="From a few measured sections of an odd-shaped thing to a printable holder that fits.",
    epilog="Exit codes: 0 done; 1 done, but do not print it; 2 bad input; 3 impossible geometry;"
    " 4 could not write; 70 internal error.",
    context_settings={"help_option_names": ["-h", "--help"], "show_default": True},
)
@click.version_option(__version__, message="%(version)s", help="Print the version and stop.")
def app() -> None:
    """Every command of the program."""


for _command in (start, sheet, trace, check, page, make, pieces, trial):
    app.add_command(_command)


def run() -> NoReturn:
    """Run the command line of this process and leave with its exit code."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # on small matrices, threads wait more than they work
    os.environ.pop("OPENBLAS_CORETYPE", None)  # another processor's arithmetic has other last digits
    if not sys.warnoptions:
        warnings.simplefilter("ignore")  # what libraries say of their arithmetic tells nothing about a thing
    codecs.register_error(_IN_PLAIN_LETTERS, _plain_letters)
    gc.disable()  # a command is over before there is anything to collect
    signal.signal(signal.SIGTERM, _terminate)
    for name in ("stdout", "stderr"):  # a caller may have closed them
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115 - for as long as we run
        stream = getattr(sys, name)
        if isinstance(stream, TextIOWrapper):  # whose encoding may lack the letters of names and tables
            stream.reconfigure(errors=_IN_PLAIN_LETTERS)
    code = main(sys.argv[1:])
    try:
        sys.stdout.flush()
    except OSError:
        code = _output_lost()
    if "multiprocessing" in sys.modules and sys.modules["multiprocessing"].active_children():
        sys.exit(code)  # which ends them
    with suppress(OSError, ValueError):
        sys.stderr.flush()
    os._exit(code)  # an interpreter that ends by itself first gives back, one by one, what ends with it


def main(arguments: Sequence[str]) -> int:
    """Exit code of the command line ``arguments``; every error is printed, none escapes."""
    as_json, debug = "--json" in arguments, "--debug" in arguments
    if not arguments:
        main(["--help"])
        return InputError.exit_code
    try:
        os.getcwd()  # a folder that is gone is told before whatever else comes upon it
        with nullcontext() if arguments[0] == page.name else within_limits():  # a page stays open for hours
            code = app.main(args=list(arguments), prog_name="cradle", standalone_mode=False)
        return int(code or 0)
    except SystemExit as error:
        if error.code == 1:  # rich and click leave so when nobody reads standard output any more
            return _output_lost()
        raise
    except (KeyboardInterrupt, click.Abort):
        click.echo(f"cradle: interrupted; {_what_was_written()}", err=True)
        return INTERRUPTED
    except Exception as error:  # noqa: BLE001 - the last line of defence: everything else is an internal error
        if isinstance(error, OSError) and error.filename is None and not isinstance(error, FileNotFoundError):
            lost = f"standard output cannot be written: {error.strerror}"
            click.echo(f"cradle: {lost}; {_what_was_written()}", err=True)
            return _output_lost()
        failure = _failure_of(error)
    if debug:
        traceback.print_exception(failure, file=sys.stderr)
    with suppress(OSError):  # where nobody can be told, the exit code still says it
        print_failure(error_rows(failure), exit_code=failure.exit_code, as_json=as_json)
    return failure.exit_code


def _failure_of(error: Exception) -> CradleError:
    """An error that ended a command, as one of our own."""
    if isinstance(error, CradleError):
        return error
    if isinstance(error, click.ClickException):
        return _misused(error)
    if isinstance(error, FileNotFoundError) and error.filename is None:  # of the folder one stands in
        return InputError("the folder that this was started in is gone", hint="change into another")
    return _unforeseen(error)


def _misused(error: click.ClickException) -> CradleError:
    """What was wrong with a command line, in the form of our own errors."""
    text = error.format_message().rstrip(".?").replace(". Did you", "; did you")
    asked = getattr(error, "ctx", None)
    command = "cradle" if asked is None else asked.command_path
    return InputError(text[:1].lower() + text[1:], hint=f"see {command} --help")


def _unforeseen(error: Exception) -> CradleError:
    """An error that nobody raised on purpose, as an internal one that it caused."""
    words = f"{type(error).__name__}: {error}".splitlines()[0]
    failure = InternalError(words, where="internal error", hint="please report it with the output of --debug")
    failure.__cause__ = error
    return failure


def _plain_letters(error: UnicodeError) -> tuple[str, int]:
    """Letters in place of those that cannot be encoded, and where to go on: a handler of such errors (`codecs.register_error`)."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(_PLAIN.get(letter, "?") for letter in error.object[error.start : error.end]), error.end


def _what_was_written() -> str:
    return "its files are written" if sets_written() else "nothing was written"


def _terminate(_signal: int, _frame: FrameType | None) -> NoReturn:
    """Leave through the clean-up code, so that no temporary file stays."""
    raise SystemExit(128 + signal.SIGTERM)


def _output_lost() -> int:
    """Point standard output to nowhere, so that the interpreter does not complain at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return _OUTPUT_LOST


def error_rows(error: CradleError) -> list[dict[str, Any]]:
    """One mapping for each mistake: ``kind``, ``text``, and what else is known of it."""
    if isinstance(error, CombinedError):
        return [row for one in error.errors for row in error_rows(one)]
    kind = type(error).__name__
    if isinstance(error, ProjectError):
        return [
            {
                "kind": kind,
                "file": error.file,
                "line": problem.line,
                "where": problem.where,
                "found": problem.found,
                "hint": problem.hint,
                "text": f"{error.file}: {problem}",
            }
            for problem in error.problems
        ]
    at = {"file": error.file, "line": error.line} if isinstance(error, GeometryError) and error.file else {}
    told = {"where": error.where, "found": error.found, "hint": error.hint, "text": str(error)}
    return [{"kind": kind, **at, **told}]


def print_failure(rows: Sequence[dict[str, Any]], *, exit_code: int, as_json: bool) -> None:
    """Print each mistake on a line of standard error; with ``as_json`` all of them on standard output too."""
    for row in rows:
        click.echo("cradle: " + " ".join(row["text"].split()), err=True)
    if as_json:
        print_json({"exit_code": exit_code, "errors": list(rows)})
