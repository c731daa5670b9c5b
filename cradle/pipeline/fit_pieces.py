"""From the project to test pieces, pegs and the outlines of the paper check."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from cradle.errors import located
from cradle.export.named_ring import NamedRing
from cradle.finding import Finding, note
from cradle.geometry.mesh import TriMesh, bounds_mm
from cradle.geometry.planar import offset, outer_rings, region
from cradle.geometry.region_measures import bounds
from cradle.geometry.solid import cut_regions, transformed
from cradle.holder.beds import check_size, laid_on_beds
from cradle.holder.fit_pieces import FitPiece, peg, ring_piece
from cradle.holder.ring_gap import Notched
from cradle.names import distinct_names, listed, section_words
from cradle.noun import noun
from cradle.pipeline.clearances import ring_clearances_mm
from cradle.pipeline.modelling import ABOVE_MM, OnStep, ignore_step
from cradle.pipeline.steps import PLAIN, Steps
from cradle.pocket.budget import error_budget
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import PreparedBody, prepared
from cradle.pocket.slices import PocketSlice, pocket_slices
from cradle.pocket.stance import stand_matrix
from cradle.project.opening import NotchSpec
from cradle.project.project import Project
from cradle.project.side import Side
from cradle.project.trial_log import Trial
from cradle.result.rings_to_try import (
    ABOVE_RIM,
    MOST_RING_MM,
    LeftOpen,
    RingPlace,
    check_ring_height,
    left_open,
    may_teach,
    places_to_cut,
    settled,
    teaches,
    touches,
)
from cradle.result.thing_model import ThingModel
from cradle.units import exact_mm

_NOT_CUT = frozenset({"extended-above"})
"""Codes of findings about a part of the body that no piece is cut from: none is cut above the highest section."""
_TOO_WIDE = "the pocket is wider there all round, to let the thing out, so a ring would tell nothing"
_LEFT_OUT = note("piece-idle", "no test piece where those noted tell how it would go", where="test_pieces")


@noun
class FitPieces:
    """Test pieces, their places on the bed, and the outlines for the paper check.

    ``beds`` holds, bed by bed, the named meshes where they lie on it;
    ``paper`` the outlines by height, bare and with each clearance;
    ``findings`` what is doubtful about the body that they are cut from.
    """

    pieces: tuple[FitPiece, ...]
    beds: tuple[tuple[tuple[str, TriMesh], ...], ...]
    paper: tuple[NamedRing, ...]
    findings: tuple[Finding, ...]


def cut_pieces(
    project: Project,
    *,
    trials: Sequence[Trial] = (),
    clearances_mm: Sequence[float],
    heights_mm: Sequence[float] = (),
    steps: Steps = PLAIN,
    on_step: OnStep = ignore_step,
) -> FitPieces:
    """Test pieces at every measured height and those asked for, one for each clearance, and a peg for each height.

    Parameters
    ----------
    trials : sequence of Trial
        The project's own, oldest first.
    clearances_mm : sequence of float
        Per side; those of the project when empty, or about the holder's own where it gives none.
    heights_mm : sequence of float
        Further heights on the thing, besides the sections' and the project's.

    Raises
    ------
    InputError
        If a height given lies below the foot, above the highest section or not below the holder's rim.
    HolderError
        If a piece is larger than the printer's bed.
    """
    spec = project.test_pieces
    with located("height"):
        for height in heights_mm:
            check_ring_height(project, height)
    places = places_to_cut(project, heights_mm)
    top = places[-1].height_mm + spec.thickness_mm
    most = max((*clearances_mm, *spec.clearances_mm), default=MOST_RING_MM)
    reach = top + most + ABOVE_MM
    model = steps.model(project, trials=trials, reach_mm=reach, on_step=on_step)
    clearances = tuple(clearances_mm) or ring_clearances_mm(model)
    body = prepared(model.body.mesh)
    asked = bool(clearances_mm) or bool(spec.clearances_mm)
    left = left_open(model.learned.trials, inside_error_mm=project.printer.inside_error_mm)
    teaching = [at for at in places if may_teach(project, at)]
    known = set() if asked else _known(left, places=teaching, clearances_mm=clearances)
    pieces, idle = _rings(
        body, model=model, places=places, clearances_mm=clearances, known=known, on_step=on_step
    )
    on_step("cutting pegs")
    tried = {piece.height_mm for piece in pieces}  # where there is no ring nothing is tried
    pegs = [
        peg(body.solid, section=at.name, height_mm=at.height_mm, thickness_mm=spec.thickness_mm)
        for at in places
        if at.height_mm in tried
    ]
    on_step("laying them on the bed")
    named = _named((*pieces, *pegs))
    beds = laid_on_beds([(s.name, s.mesh) for s in named], bed_mm=project.printer.bed_mm)
    return FitPieces(
        pieces=named,
        beds=tuple(tuple(bed) for bed in beds),
        paper=_paper(body, places=places, clearances_mm=clearances),
        findings=(
            *(f for f in model.findings if f.code not in _NOT_CUT),
            *(one.finding for one in idle),
            *((_LEFT_OUT,) if known else ()),
            *_whole_at(pieces),
            *_settled(left, pieces, known=bool(known)),
        ),
    )


def _named(pieces: Sequence[FitPiece]) -> tuple[FitPiece, ...]:
    """The pieces with names of which no two are the same."""
    names = distinct_names([piece.name for piece in pieces])
    return tuple(replace(piece, name=name) for piece, name in zip(pieces, names, strict=True))


def _known(
    left: Mapping[str | float, LeftOpen | None],
    *,
    places: Sequence[RingPlace],
    clearances_mm: Sequence[float],
) -> set[tuple[RingPlace, float]]:
    """The rings that need not be cut, as trials tell how they would go; none where they tell that of every ring."""
    every = {(at, mm) for at in places for mm in clearances_mm}
    known = {(at, mm) for at, mm in every if not teaches(mm, at.section or at.height_mm, left)}
    return known if known < every else set()


def _settled(
    left: Mapping[str | float, LeftOpen | None], rings: Sequence[FitPiece], *, known: bool
) -> Iterator[Finding]:
    """A note where trials settle every section that a ring is cut for; ``known`` says that some are not cut as trials tell of them."""
    if not (rings or known) or not all(settled(ring.section, left) for ring in rings):
        return
    yield note(
        "pieces-settled",
        "the rings noted settle the fit at each section and these teach nothing more: make the holder",
        where="test_pieces",
    )


def _told(place: RingPlace) -> str:
    if place.section is None:
        return f"the height of {exact_mm(place.height_mm, decimals=0)} mm"
    return section_words(place.section)


@noun
class _Idle:
    """A place without test rings, or without those of a clearance of ``from_mm`` and more, and why."""

    place: RingPlace
    from_mm: float | None
    why: str

    @property
    def finding(self) -> Finding:
        gap = "" if self.from_mm is None else f" at {exact_mm(self.from_mm)} mm and more"
        return note(
            "piece-idle", f"no test piece for {_told(self.place)}{gap}: {self.why}", where="test_pieces"
        )


def _rings(
    body: PreparedBody,
    *,
    model: ThingModel,
    places: Sequence[RingPlace],
    clearances_mm: Sequence[float],
    known: Container[tuple[RingPlace, float]],
    on_step: OnStep,
) -> tuple[list[FitPiece], list[_Idle]]:
    """The test rings, narrowest clearance first, without those in ``known``; and the places where rings would tell nothing.

    Raises
    ------
    HolderError
        If one is larger than the printer's bed.
    """
    project, spec = model.project, model.project.test_pieces
    idle = [_Idle(place=at, from_mm=None, why=ABOVE_RIM) for at in places if not may_teach(project, at)]
    rings: list[FitPiece] = []
    notched = _notched(body, project=project)
    for number, clearance in enumerate(clearances_mm, start=1):
        on_step(f"cutting test rings for {clearance:g} mm")
        left_out = {one.place for one in idle}
        used = [at for at in places if at not in left_out and (at, clearance) not in known]
        heights = [at.height_mm for at in used]
        gap, slices = _slices(body, model=model, clearance_mm=clearance, heights_mm=heights)
        for at, hollow in zip(used, slices, strict=True):
            (hole,) = cut_regions(hollow.solid, np.array([at.height_mm]))
            if not touches(model, hole, height_mm=at.height_mm, clearance_mm=gap):
                idle.append(_Idle(place=at, from_mm=clearance if number > 1 else None, why=_TOO_WIDE))
                continue
            ring = ring_piece(
                hollow,
                section=at.name,
                height_mm=at.height_mm,
                clearance_mm=clearance,
                number=number,
                form=spec.ring,
                gaps=notched.gaps(hole, height_mm=at.height_mm),
            )
            check_size(ring.name, ring.mesh, bed_mm=project.printer.bed_mm)  # before more are cut
            rings.append(ring)
    return rings, idle


def _notched(body: PreparedBody, *, project: Project) -> Notched:
    """The notches of the pockets in which the thing itself lies."""
    block, own = project.block, project.row.count
    notches = [one for one in project.openings if isinstance(one, NotchSpec) and (one.pocket or 1) <= own]
    stand = stand_matrix(body.mesh.vertices_mm, lean_deg=block.lean_deg)
    (half_way,) = cut_regions(transformed(body.solid, stand), np.array([block.height_mm / 2]))
    return Notched(
        notches=notches,
        middle_mm=bounds(half_way).reshape(2, 2).mean(axis=0),
        top_mm=block.height_mm,
        stand_from_thing=stand,
    )


def _whole_at(rings: Sequence[FitPiece]) -> Iterator[Finding]:
    """A note on the sides where rings have no gap though the holder has a notch."""
    sides = [side for side in Side if any(side in ring.whole_at for ring in rings)]
    if sides:
        yield note(
            "ring-whole",
            f"the holder has a notch in the {listed(sides)} wall, and the test rings have none there: they would fall apart; to"
            " get one past what sticks out of the thing there, saw it through and hold its halves together",
            where="test_pieces",
        )


def _slices(
    body: PreparedBody, *, model: ThingModel, clearance_mm: float, heights_mm: Sequence[float]
) -> tuple[float, list[PocketSlice]]:
    """The gap, mm, that the rings of one clearance are made with, and the slices of a pocket with that gap, one for each height."""
    in_file = clearance_mm + model.project.printer.inside_error_mm
    budget = error_budget(in_file, faces=len(body.mesh.faces))
    gap = in_file + budget.margin_mm
    slices = pocket_slices(
        body,
        heights_mm=heights_mm,
        thickness_mm=model.project.test_pieces.thickness_mm,
        clearance=clearance_profile([0.0], [None], default_mm=gap),
        direction=model.direction,
        budget=budget,
    )
    return gap, slices


def _paper(
    body: PreparedBody, *, places: Sequence[RingPlace], clearances_mm: Sequence[float]
) -> tuple[NamedRing, ...]:
    """Every section bare, and grown in its plane by each clearance, for cutting out of paper."""
    low, high = bounds_mm(body.mesh)[:, 2].tolist()
    heights = [min(max(at.height_mm, low + 1e-4), high - 1e-4) for at in places]
    rings: list[NamedRing] = []
    for at, cut in zip(places, cut_regions(body.solid, np.array(heights)), strict=True):
        bare = outer_rings(cut)[0]
        rings.append(NamedRing(name=at.name, height_mm=at.height_mm, points_mm=bare))
        for clearance in clearances_mm:
            grown = outer_rings(offset(region(bare), clearance, arc_deg=5.0))[0]
            rings.append(
                NamedRing(
                    name=f"{at.name} plus {exact_mm(clearance)}", height_mm=at.height_mm, points_mm=grown
                )
            )
    return tuple(rings)
