"""``python -m cradle`` is the ``cradle`` command."""

from cradle.cli.entry import run

run()
