"""``cradle page [PROJECT]``: the page that does the whole job, in the browser of this machine."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from threading import Thread

import click

from cradle.cli import options
from cradle.errors import InputError

_BY_HAND = "open the address above, all of it, in a browser of this machine"
_OTHERS = "most likely a page begun in another terminal is still open, which goes on beside this one"


@click.command()
@click.argument(
    "project_file",
    metavar="[PROJECT]",
    type=options.FILE,
    default=Path("holder.toml"),
    help="The project file; it need not exist yet.  [default: holder.toml in this folder]",
)
@options.output_folder
@click.option(
    "--port",
    metavar="N",
    type=click.IntRange(1024, 65535),
    help="Port of this machine that the page is served on.  [default: 8477, or the next that is free]",
)
@click.option("--no-open", "quiet", is_flag=True, help="Print the address, but do not open a browser.")
@options.debug
def page(*, project_file: Path, output: Path | None, port: int | None, quiet: bool) -> int:
    """Make a holder on a page in the browser.

    The page does the whole job: pictures, readings, the holder, its files. It works on the project file, or begins a new one, and saves every
    change. It is served to this machine alone, to whoever has its whole
    address; nothing is fetched from elsewhere.
    It runs until it is interrupted with Ctrl-C.
    """
    import gc
    from importlib.util import find_spec

    if any(find_spec(library) is None for library in ("starlette", "uvicorn")):
        raise InputError(
            "the page needs Starlette and Uvicorn, which are not installed",
            where="page",
            hint='in the folder of the code that cradle was installed from, type: pip install ".[page]"',
        )

    from cradle.page.listening import FIRST_PORT, listening
    from cradle.page.server import serve

    gc.enable()  # unlike other commands, this one stays
    with options.named_as_options({"port": "--port"}), listening(port) as place:

        def ready(address: str) -> None:
            click.echo(f"the page is at {address}  (Ctrl-C ends it)")
            if port is None and place.port != FIRST_PORT:
                click.echo(f"port {FIRST_PORT} is in use already: {_OTHERS}")
            if not quiet:
                open_browser(address, on_failure=lambda: click.echo("no browser was found here: " + _BY_HAND))

        serve(project_file, folder=output, place=place, on_ready=ready)
    click.echo("the page is closed")
    return 0


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
