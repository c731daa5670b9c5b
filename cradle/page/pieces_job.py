"""Test pieces and the paper check: cut and written."""

from __future__ import annotations

from cradle.files.reading import real_path
from cradle.files.writing import write_all
from cradle.page.jobs import Job, Json, Watch
from cradle.page.kept_outlines import KeptOutlines
from cradle.page.kept_steps import with_kept_outlines
from cradle.page.plain_words import plain_words
from cradle.pipeline import cut_pieces
from cradle.pipeline.output_files import fit_piece_files
from cradle.project.printer import TEST_PIECES
from cradle.project.reader import project_from_text
from cradle.project.trial_log import own_trials, read_trials


class PieceCutter:
    """Cuts test pieces for the clearances that are asked for."""

    def __init__(self, outlines: KeptOutlines) -> None:
        self._steps = with_kept_outlines(outlines)

    def answer(self, job: Job, watch: Watch) -> Json:
        """The names of the files written, and the rings: section and clearance of each.

        ``job.given`` holds ``clearances``, mm per side.

        Raises
        ------
        CradleError
            If they cannot be cut or written.
        """
        key, asked = TEST_PIECES.keys["clearances"], list(job.given.get("clearances", []))
        clearances = key.value(asked, where="test_pieces.clearances") if asked else ()
        project = project_from_text(job.text, file=job.file)
        trials = own_trials(read_trials(project.folder), project.file)
        pieces = cut_pieces(
            project, trials=trials, clearances_mm=clearances, steps=self._steps, on_step=watch.step
        )
        watch.step("writing")
        files = fit_piece_files(project, pieces)
        written = write_all({job.folder / name: data for name, data in files.items()})
        return {
            "files": [path.name for path in written],
            "folder": str(real_path(job.folder)),
            "findings": [plain_words(str(f)) for f in pieces.findings],
        }
