"""The things of a holder: the project's own and those beside it, each modelled once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from cradle.errors import InputError, ProjectError, located, raise_all
from cradle.files.reading import real_path
from cradle.finding import Finding, of_things, ordered
from cradle.fit.trials import learn, told_of_printer
from cradle.fit.uncertainties import InsideError
from cradle.names import distinct_names
from cradle.noun import noun
from cradle.pipeline.mistakes import project_mistakes
from cradle.pipeline.modelling import OnStep, ignore_step
from cradle.pipeline.steps import PLAIN, Steps
from cradle.pocket.pocket import Pocket
from cradle.project.project import Project
from cradle.project.reader import read_thing
from cradle.project.row import RowSpec
from cradle.project.trial_log import Trial, own_trials
from cradle.result.thing_model import ThingModel


@noun
class Row:
    """What one holder is to hold.

    Attributes
    ----------
    things : tuple of ThingModel
        The different things, the project's own first.
    order : tuple of int
        Which of them lies in each pocket, from left to right.
    labels : tuple of str
        What tells them from each other; empty where there is only one.
    """

    things: tuple[ThingModel, ...]
    order: tuple[int, ...]
    labels: tuple[str, ...]

    @property
    def project(self) -> Project:
        """Whose block, openings and printer the holder has."""
        return self.things[0].project

    def pockets_of(self, n: int, pockets: Sequence[Pocket]) -> tuple[Pocket, ...]:
        """Those of the pockets, from left to right, in which the thing ``n`` lies."""
        return tuple(pocket for pocket, k in zip(pockets, self.order, strict=True) if k == n)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The findings on the things before a holder is made."""
        pairs = zip(self.labels, self.things, strict=True)
        return ordered(of_things((label, thing.findings) for label, thing in pairs))

    @property
    def slugs(self) -> tuple[str, ...]:
        """The things' names fit for file names; the second of the same name has a 2 at its end."""
        return distinct_names([thing.project.slug for thing in self.things], repeat="{name}-{number}")

    @property
    def gap_mm(self) -> float:
        """What is left between neighbouring pockets."""
        row = self.project.row
        return self.project.block.wall_mm if row.gap_mm is None else row.gap_mm


def model_row(
    project: Project,
    *,
    trials: Mapping[Path, Sequence[Trial]] | None = None,
    steps: Steps = PLAIN,
    on_step: OnStep = ignore_step,
) -> Row:
    """The project's own thing and those that its row names, each modelled once.

    Parameters
    ----------
    trials : mapping of Path to sequence of Trial, optional
        The trials kept in each folder (`cradle.project.trial_log.read_row_trials`); without, there are none.
        What the project's own tell of its printer counts for the things beside it too: they are of the same print.

    Raises
    ------
    InputError
        If a file of the row is not there or is the project's own, or anything
        in a project cannot be used.
    LoftError
        If a section crosses itself, or profiles leave it no width.
    """
    kept = trials or {}
    own_kept = own_trials(kept.get(project.folder, ()), project.file)

    others = _things_beside(project)
    own = steps.model(project, trials=own_kept, on_step=on_step)
    things = {real_path(project.file): own}
    for place, (where, one) in others.items():
        its = own_trials(kept.get(one.folder, ()), one.file)
        printer = _told_of_printer(own, trials=[trial for trial in own_kept if trial not in its])
        with located(str(project.file)), located(where):
            things[place] = steps.model(one, trials=its, printer=printer, on_step=on_step)
    beside = [real_path(project.folder / path) for path in project.row.things]
    places = [*[real_path(project.file)] * project.row.count, *beside]
    found = tuple(things.values())
    return Row(
        things=found,
        order=tuple(list(things).index(place) for place in places),
        labels=_labels([thing.project for thing in found]),
    )


def _things_beside(project: Project) -> dict[Path, tuple[str, Project]]:
    """The projects of the other things by their files' paths, each with the key that names it first.

    Raises
    ------
    InputError
        If some cannot be used: all of these at once.
    """
    found: dict[Path, tuple[str, Project]] = {}
    mistakes: list[InputError] = []
    for number, path in enumerate(project.row.things, start=1):
        file, where = project.folder / path, f"row.things[{number}]"
        place = real_path(file)
        try:
            if place not in found:
                found[place] = where, _beside(file, project)
        except ProjectError as error:
            mistakes.append(error)
        except InputError as error:
            told = [(("row", "things"), problem.told_at(where)) for problem in error.problems]
            mistakes.append(project_mistakes(told, project=project))
    raise_all(mistakes)
    return found


def _told_of_printer(own: ThingModel, *, trials: Sequence[Trial]) -> InsideError | None:
    """What those of a thing's trials tell of its printer that are not noted for every project of a shared folder."""
    learned = own.learned
    if len(trials) < len(learned.trials):
        learned = learn(learned.model, trials, project=own.project)
    return told_of_printer(learned)


def _beside(file: Path, project: Project) -> Project:
    """The thing of another project's file as it stands in the project's holder."""
    if real_path(file) == real_path(project.file):
        raise InputError("found the project's own file", hint="say how many there are with row.count")
    other = read_thing(file, block_height_mm=project.block.height_mm)
    return replace(
        other,
        fit=replace(other.fit, chance=max(other.fit.chance, project.chance_of_each)),
        block=project.block,
        plate=project.plate,
        openings=project.openings,
        printer=project.printer,
        row=RowSpec(),
    )


def _labels(projects: list[Project]) -> tuple[str, ...]:
    """The things' names; where two have the same, the folder's too."""
    if len(projects) == 1:
        return ("",)
    names = Counter(p.thing.name for p in projects)
    return tuple(
        p.thing.name if names[p.thing.name] == 1 else f"{p.thing.name} ({Path(p.folder.name, p.file.name)})"
        for p in projects
    )
