"""``cradle pieces PROJECT``: test pieces to try the fit on, and a paper check before them."""

from __future__ import annotations

from pathlib import Path

import click

from cradle.cli import options


@click.command()
@options.project_file
@options.output_folder
@click.option(
    "--clearance",
    metavar="MM",
    multiple=True,
    help="Gap per side, in place of the project's; give it several times.",
)
@click.option(
    "--height", metavar="MM", multiple=True, help="A further height on the thing; give it several times."
)
@options.as_json
@options.debug
def pieces(
    *,
    project_file: Path,
    output: Path | None,
    clearance: tuple[str, ...],
    height: tuple[str, ...],
    as_json: bool,
) -> int:
    """Cut test pieces, and draw the paper check.

    Written are test rings for every height and clearance and pegs, laid on the bed (STL and 3MF, several where one
    bed is not enough), and the sections at true size to print on paper and
    cut out (PDF, DXF and SVG).
    """
    from cradle.cli.console import exit_code
    from cradle.cli.progress import Progress
    from cradle.cli.show_pieces import show_pieces
    from cradle.files.writing import write_all
    from cradle.pipeline import cut_pieces
    from cradle.pipeline.mistakes import told_with_lines
    from cradle.pipeline.output_files import fit_piece_files
    from cradle.pipeline.steps import ON_ALL_CORES
    from cradle.project.reader import read_project
    from cradle.project.trial_log import own_trials, read_trials

    clearances = options.lengths_mm(clearance, option="--clearance", like="clearance")
    heights = options.lengths_mm(height, option="--height", like="height")
    project = read_project(project_file)
    trials = own_trials(read_trials(project.folder), project.file)
    folder = output if output is not None else project.folder / "out"
    as_options = options.named_as_options({"height": "--height"})
    with Progress() as progress, told_with_lines(project), as_options:
        made = cut_pieces(
            project,
            trials=trials,
            clearances_mm=clearances,
            heights_mm=heights,
            steps=ON_ALL_CORES,
            on_step=progress.step,
        )
        progress.step("writing")
        files = fit_piece_files(project, made)
        written = write_all({folder / name: data for name, data in files.items()})
    code = exit_code(made.findings)
    show_pieces(made, project, written=written, file=project_file, code=code, as_json=as_json)
    return code
