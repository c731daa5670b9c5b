"""What ``--json`` prints."""

from __future__ import annotations

import json
from typing import Any

import click


def print_json(content: dict[str, Any]) -> None:
    """Print JSON data on standard output."""
    click.echo(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))
