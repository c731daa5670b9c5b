"""What was made for the holder before: things as modelled, their pockets, and the chance that they fit.

What an edit does not concern is taken as it was: of a wall, an opening or a
plate the block alone is made anew; of a clearance the pocket too, but not what
was modelled. Everything is told apart by what it was made from.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, Final, TypeVar

from cradle.files.file_stamp import stamp_of
from cradle.fit.assessment import FitAssessment
from cradle.fit.uncertainties import InsideError
from cradle.page.kept_outlines import KeptOutlines
from cradle.pipeline.modelling import OnStep, beside_plate_mm, ignore_step, model_thing
from cradle.pipeline.pocket_attempt import PocketAttempt, assessment_of, finished_attempt, rough_attempt
from cradle.pipeline.steps import Steps
from cradle.project.block import BlockSpec
from cradle.project.printer import PieceSpec
from cradle.project.project import Project, source_files
from cradle.project.row import RowSpec
from cradle.project.trial_log import Trial
from cradle.result.thing_model import ThingModel

_T = TypeVar("_T")
_MOST: Final = 16
"""So many results of each step are kept: those of a row, now and before the last edits."""


def with_kept_outlines(outlines: KeptOutlines) -> Steps:
    """The steps that take outlines and placed sections as they were kept, and make the rest anew."""
    return Steps(model=partial(model_thing, read=outlines.read, place=outlines.placed))


class KeptSteps:
    """Models things, cuts their pockets and assesses their fit, and keeps what came of it."""

    def __init__(self, outlines: KeptOutlines) -> None:
        self._model = with_kept_outlines(outlines).model
        self._kept: dict[str, list[tuple[Any, Any]]] = {}

    @property
    def steps(self) -> Steps:
        """The steps that keep."""
        return Steps(model=self._modelled, rough=self._rough, finish=self._finished, assess=self._assessed)

    def _modelled(
        self,
        project: Project,
        *,
        trials: Sequence[Trial] = (),
        printer: InsideError | None = None,
        reach_mm: float = 0.0,
        on_step: OnStep = ignore_step,
    ) -> ThingModel:
        stamps = tuple(stamp_of(file) for file in source_files(project) if file != project.file)
        key = (_of_thing(project), beside_plate_mm(project), tuple(trials), printer, reach_mm, stamps)
        made = partial(
            self._model, project, trials=trials, printer=printer, reach_mm=reach_mm, on_step=on_step
        )
        model = self._same("model", key, made)
        return model if model.project is project else replace(model, project=project)

    def _rough(self, model: ThingModel, *, clearance_mm: float | None) -> PocketAttempt:
        project = model.project
        key = (
            _One(model.body, model.learned),
            project.fit,
            project.chance_of_each,
            project.thing,
            project.printer.inside_error_mm,
            project.block.height_mm,
            project.block.lean_deg,
            project.block.lead_in_mm,
            clearance_mm,
        )
        rough = self._same("rough", key, lambda: rough_attempt(model, clearance_mm=clearance_mm))
        return replace(rough, model=model)

    def _finished(self, rough: PocketAttempt) -> PocketAttempt:
        made = self._same("finished", _One(rough.begun), lambda: finished_attempt(rough))
        return replace(made, model=rough.model)

    def _assessed(self, attempt: PocketAttempt) -> FitAssessment:
        model = attempt.model
        key = (_One(model.learned, attempt.wanted), _of_thing(model.project), model.project.chance_of_each)
        return self._same("assessed", key, lambda: assessment_of(attempt))

    def _same(self, step: str, key: Any, make: Callable[[], _T]) -> _T:
        """What a step made for the same key, or makes now."""
        kept = self._kept.setdefault(step, [])
        for place, (known, made) in enumerate(kept):
            if known == key:
                kept.append(kept.pop(place))
                return made
        made = make()
        kept.append((key, made))
        del kept[:-_MOST]
        return made


class _One:
    """A key that equals another only where both hold the very same objects, which it keeps alive."""

    def __init__(self, *things: object) -> None:
        self._things = things

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _One) and all(
            one is another for one, another in zip(self._things, other._things, strict=True)
        )

    __hash__ = None  # type: ignore[assignment]


def _of_thing(project: Project) -> Project:
    """The part of a project that a pocket depends on: thing, fit, and of the block how much of the thing it holds."""
    block = BlockSpec(height_mm=project.block.height_mm, lean_deg=project.block.lean_deg)
    return replace(project, block=block, plate=None, openings=(), row=RowSpec(), test_pieces=PieceSpec())
