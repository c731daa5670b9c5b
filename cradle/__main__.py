"""``python -m cradle`` is the ``cradle`` command."""

from cradle.cli.main import run

run()
