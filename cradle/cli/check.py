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
    """Check the project and the holder it leads to, and list problems; writes no files."""
    from cradle.project.reader import read_project
    from cradle.project.trial_log import read_row_trials

    project = read_project(project_file)
    trials = read_row_trials(project)

    from cradle.cli.console import exit_code
    from cradle.cli.progress import Progress
    from cradle.cli.show import show_check
    from cradle.pipeline import foreseen_findings, model_row

    with Progress() as progress:
        row = model_row(project, trials=trials, on_step=progress.step)
        try:
            findings, refused = foreseen_findings(row, on_step=progress.step), None
        except CradleError as error:
            findings, refused = row.findings, error
    if refused is not None and as_json:
        raise refused
    code = exit_code(findings) if refused is None else refused.exit_code
    show_check(row, findings=findings, code=code, as_json=as_json)
    if refused is not None:
        raise refused
    return code
