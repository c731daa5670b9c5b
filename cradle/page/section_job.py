"""The sections of a project, however unfinished it is: read, compared with the calipers, and put in their places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

import numpy as np

from cradle.capture.outline import Outline
from cradle.capture.outline_reader import read_view
from cradle.capture.profile_reader import read_profile
from cradle.errors import CradleError, Problem
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import outer_rings, region, simplified
from cradle.geometry.ring import size
from cradle.page.drafts import Draft, DraftSection, draft_of
from cradle.page.error_text import finding_data, problem_rows
from cradle.page.jobs import Job, Json, Watch
from cradle.page.kept_outlines import KeptOutlines
from cradle.placing.place import Placed
from cradle.placing.to_place import ToPlace
from cradle.project.picture import PictureSource
from cradle.project.side import Side
from cradle.sections.posterior import PARAMETERS, TURN
from cradle.sections.profiles import Profiles
from cradle.sections.section import Section
from cradle.views.silhouette import Silhouette

_DRAWN_MM: Final = 0.02
"""Points that move a line by less than this are not shown."""
_DECIDING: Final = 3
"""So many readings are named of each number of a section, those that matter most."""


class SectionReader:
    """Reads outlines and places the sections."""

    def __init__(self, outlines: KeptOutlines) -> None:
        self._kept = outlines

    def answer(self, job: Job, watch: Watch) -> Json:
        """The sections as JSON data: outlines, residuals, places and how sure they are."""
        watch.step("reading outlines")
        draft = draft_of(job.text, file=job.file)
        folder = job.file.parent
        found = self._outlines(draft, folder, watch)
        outlines = {n: outline for n, outline in found.items() if isinstance(outline, Outline)}
        rows = {s.number: _row(s, found.get(s.number)) for s in draft.sections}
        watch.step("lining up sections")
        profiles, views, said = self._seen(draft, folder)
        result: Json = {
            "sections": list(rows.values()),
            "side": _side(profiles),
            "problems": problem_rows(said),
        }
        given = _to_place(draft, outlines, profiles=profiles, views=views)
        if given is None:
            return result
        try:
            placed = self._kept.placed(given)
        except CradleError as error:
            result["problems"] += problem_rows(error.problems)
            return result
        for index, (spec, section) in enumerate(zip(given.specs, placed.sections, strict=True)):
            rows[spec.number]["placed"] = _placed(placed, section, index)
        result["side"] = _side(placed.profiles)  # with what the views show
        doubts = [finding for view in views for finding in view.findings]
        result["findings"] = [finding_data(f) for f in (*doubts, *placed.findings)]
        return result

    def _outlines(self, draft: Draft, folder: Path, watch: Watch) -> dict[int, Outline | tuple[Problem, ...]]:
        """The outline of each section, or what is wrong with it, by its number; reading a new picture, which takes long, is told as a step."""
        given = [(s.number, s.spec) for s in draft.sections if s.spec is not None]
        found: dict[int, Outline | tuple[Problem, ...]] = {}
        for place, (number, spec) in enumerate(given, start=1):
            if isinstance(spec.source, PictureSource) and not self._kept.has(spec, folder=folder):
                watch.step(f"reading {spec.name}, {place} of {len(given)}")
            try:
                found[number] = self._kept.read(spec, folder=folder)
            except CradleError as error:
                found[number] = error.problems
        return found

    def _seen(self, draft: Draft, folder: Path) -> tuple[Profiles, list[Silhouette], list[Problem]]:
        """Profiles and views that can be read, and what is wrong with the others."""
        said: list[Problem] = []
        profiles: dict[str, Floats] = {}
        for side in Side:
            name = getattr(draft.side, side)
            if name is None:
                continue
            try:
                profiles[side] = read_profile(folder / name, where=name)
            except CradleError as error:
                said += [p.told_at(f"side.{side}") for p in error.problems]
        views = []
        for number, spec in draft.views.items():
            try:
                seen = read_view(spec, folder=folder, read=self._kept.read)
                views.append(Silhouette.of(spec, seen))
            except CradleError as error:
                said += [p.told_at(f"view[{number + 1}]") for p in error.problems]
        return Profiles(**profiles), views, said


def _to_place(
    draft: Draft, outlines: Mapping[int, Outline], *, profiles: Profiles, views: Sequence[Silhouette]
) -> ToPlace | None:
    """The sections that can be placed, with what else was read; None where there are none, or their heights do not rise."""
    specs = [s.spec for s in draft.sections if s.spec is not None and s.has_height and s.number in outlines]
    if not specs or any(b.height_mm <= a.height_mm for a, b in pairwise(specs)):
        return None
    return ToPlace(
        outlines=tuple(outlines[spec.number] for spec in specs),
        specs=tuple(specs),
        align=draft.loft.align,
        profiles=profiles,
        views=tuple(views),
        spread=draft.spread,
    )


def _row(section: DraftSection, outline: Outline | tuple[Problem, ...] | None) -> dict[str, Any]:
    """What is known of a section by itself."""
    where = f"section[{section.number + 1}]"
    own = problem_rows(section.problems)
    row: dict[str, Any] = {
        "number": section.number + 1,
        "name": section.name,
        "height": section.spec.height_mm if section.spec is not None and section.has_height else None,
        "problems": own,
    }
    if isinstance(outline, tuple):
        row["problems"] = own + problem_rows(p.told_at(where) for p in outline)
    if not isinstance(outline, Outline) or section.spec is None:
        return row
    width, depth = size(outline.points_mm)
    row |= {
        "outline": _drawn(outline.points_mm),
        "ends": np.round(outline.points_mm[[0, -1]], 3).tolist() if outline.open_ends else None,
        "size": [round(float(width), 3), round(float(depth), 3)],
        "read": [section.spec.width_mm, section.spec.depth_mm],
        "findings": [finding_data(f) for f in outline.findings],
        "half": section.spec.half,
    }
    return row


def _drawn(points_mm: Floats) -> list[list[float]]:
    """A ring with only the points that show, ``[[x, y], ...]``, mm."""
    return np.round(outer_rings(simplified(region(points_mm), within_mm=_DRAWN_MM))[0], 3).tolist()


def _placed(placed: Placed, section: Section, index: int) -> dict[str, Any]:
    """Where a section lies, how surely, and what decides it."""
    posterior = placed.posterior
    first = PARAMETERS * index
    covariance = posterior.covariance[first : first + TURN, first : first + TURN]
    spreads = posterior.spreads()[index]
    return {
        "whole_turn": round(section.turn_deg, 3),
        "ring": _drawn(section.points_mm),
        "traced": [round(v, 3) for v in section.traced_mm],
        "size": [round(float(v), 3) for v in size(section.points_mm)],
        "scale": [round(v, 5) for v in section.scale],
        "by": str(section.placed_by),
        "spread": [round(float(v), 4) for v in spreads[:TURN]],
        "turn_spread": round(float(np.degrees(spreads[TURN])), 3),
        "covariance": np.round(covariance, 6).tolist(),
        "decides": [_deciding(placed, first + axis) for axis in range(TURN)],
    }


def _deciding(placed: Placed, parameter: int) -> list[dict[str, object]]:
    """The readings that matter most for one number of a section, each with its share of its variance."""
    posterior = placed.posterior
    if not posterior.readings:
        return []
    parts = np.array(
        [(posterior.gain[parameter, j] * r.spread) ** 2 for j, r in enumerate(posterior.readings)]
    )
    whole = float(parts.sum())
    if not whole > 0:
        return []
    order: Sequence[int] = np.argsort(-parts, kind="stable")[:_DECIDING].tolist()
    return [
        {
            "reading": str(posterior.readings[j].kind),
            "section": placed.sections[posterior.readings[j].section].name,
            "share": round(float(parts[j]) / whole, 3),
        }
        for j in order
        if parts[j] / whole > 0.05
    ]


def _side(profiles: Profiles) -> dict[str, list[list[float]]]:
    """How far the sides that are known reach, ``[[height, coordinate], ...]``, mm."""
    return {profile.side: np.round(profile.points_mm, 3).tolist() for profile in profiles.known}
