"""``cradle check PROJECT``: what was found and what is doubtful; writes nothing."""

from __future__ import annotations

from pathlib import Path

import click

from cradle.cli import options
from cradle.errors import CradleError


@click.command()
@options.project_file
@options.as_json
@options.debug
def check(*, project_file: Path, as_json: bool) -> int:
    """Check the project and the holder it leads to; writes no files."""
    from cradle.project.reader import read_project
    from cradle.project.trial_log import read_row_trials

    project = read_project(project_file)
    trials = read_row_trials(project)

    from cradle.cli.console import exit_code
    from cradle.cli.progress import Progress
    from cradle.cli.show import show_check, show_read
    from cradle.pipeline import foreseen, model_row
    from cradle.pipeline.mistakes import told_with_lines
    from cradle.pipeline.steps import ON_ALL_CORES

    with Progress() as progress, told_with_lines(project):
        row = model_row(project, trials=trials, steps=ON_ALL_CORES, on_step=progress.step)
    try:
        with Progress() as progress, told_with_lines(project):
            made = foreseen(row, on_step=progress.step)
    except CradleError:
        if not as_json:
            show_read(row)
        raise
    code = exit_code(made.findings)
    show_check(row, made, code=code, as_json=as_json)
    return code
