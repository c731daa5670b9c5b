"""``cradle make PROJECT``: the holder, one for each clearance, written and read back."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cradle.cli import options
from cradle.errors import located

if TYPE_CHECKING:
    from cradle.result.made_holder import MadeHolder


@click.command()
@options.project_file
@options.output_folder
@click.option(
    "--clearance",
    metavar="MM",
    multiple=True,
    help="Gap per side, in place of the project's; give it several times to compare holders.",
)
@options.as_json
@options.debug
def make(*, project_file: Path, output: Path | None, clearance: tuple[str, ...], as_json: bool) -> int:
    """Make the holder and write its files.

    Written are the holder (STL and 3MF), the body, drawings of the sections
    and of the holder (DXF and SVG), fit-report.html, a page for the workshop
    (PDF) and summary.json.
    """
    from cradle.project.reader import read_project
    from cradle.project.trial_log import read_row_trials

    given = options.lengths_mm(clearance, option="--clearance", like="clearance")
    project = read_project(project_file)
    trials = read_row_trials(project)

    from cradle.cli.console import exit_code
    from cradle.cli.progress import Progress
    from cradle.cli.show import show_make
    from cradle.files.writing import write_all
    from cradle.pipeline import build, model_row
    from cradle.pipeline.mistakes import told_with_lines
    from cradle.pipeline.output_files import made_files
    from cradle.pipeline.printed_holder import holder_displaced
    from cradle.pipeline.steps import ON_ALL_CORES

    folder = output if output is not None else project.folder / "out"
    mades: list[MadeHolder] = []
    with Progress() as progress, told_with_lines(project):
        row = model_row(project, trials=trials, steps=ON_ALL_CORES, on_step=progress.step)
        for value in given or (None,):
            with nullcontext() if value is None else located(f"clearance {value:g} mm"):
                mades.append(build(row, clearance_mm=value, on_step=progress.step))
        files = made_files(row, mades, clearances_mm=given, on_step=progress.step)
        displaced = holder_displaced(project, folder)
        written = write_all({folder / name: data for name, data in files.items()})
    code = max(exit_code(made.findings) for made in mades)
    show_make(mades, written=written, displaced=displaced, code=code, as_json=as_json)
    return code
