"""What a picture shows: the picture itself, its scales, and every outline in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from cradle.calibration.calibration import Calibration, to_mm
from cradle.capture.piece_selection import at_point
from cradle.capture.told_once import pieces_named, told_once
from cradle.capture.traced_picture import TracedPicture, TracedPiece
from cradle.capture.tracing import TracePicture
from cradle.errors import CradleError, InputError, ScaleError
from cradle.files.file_stamp import Stamp, stamp_of
from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import outer_rings, region, simplified
from cradle.noun import noun
from cradle.page.error_text import finding_data, problem_rows
from cradle.page.jobs import Job, Json, Watch
from cradle.page.kept_outlines import KeptOutlines
from cradle.pictures.image import Picture, read_picture
from cradle.pictures.upright import upright_jpeg
from cradle.project.picture import PICTURE, PictureSource

_SHOWN_PX: Final = 0.4
"""Points of an outline that move it by less are not shown."""
_HELD_PX: Final = 0.1
"""The same of an outline whose points are to be moved."""
_AT_ONCE: Final = 8
"""So many moved points are compared with the outline together."""


@noun
class _Looked:
    """What came of looking at a picture.

    Attributes
    ----------
    traced : TracedPicture or None
        Its outlines, if there are any.
    to_scale : bool
        Whether something tells its scale; else its pixels have a size that stands in for it.
    wrong : CradleError or None
        What is to be put right first.
    """

    traced: TracedPicture | None
    to_scale: bool
    wrong: CradleError | None


class Tracer:
    """Looks at one picture at a time, and keeps the last decoded one."""

    def __init__(self, outlines: KeptOutlines) -> None:
        self._kept = outlines
        self._stamp: Stamp | None = None
        self._picture: Picture | None = None

    def answer(self, job: Job, watch: Watch) -> Json:
        """The picture as JPEG, or what was found in it.

        ``job.given`` holds ``path``, the picture's from the project's folder,
        and, where outlines are wanted, ``picture``: the keys of its table. With
        ``points``, an outline moved by hand in px, it is answered in mm.
        """
        name = str(job.given["path"])
        path = job.file.parent / name
        watch.step("looking at the picture")
        if "picture" not in job.given:
            return {"jpeg": upright_jpeg(self._read(path, name))}
        spec = _spec(job.given["picture"])
        if "points" in job.given:
            return self._moved(path, name, spec, job.given["points"], watch)
        return self._traced(path, name, spec, watch)

    def _read(self, path: Path, name: str) -> Picture:
        stamp = stamp_of(path)
        if self._picture is None or self._stamp != stamp:
            self._picture, self._stamp = read_picture(path, where=name), stamp
        return self._picture

    def _look(self, path: Path, name: str, spec: PictureSource, watch: Watch) -> _Looked:
        watch.step("tracing outlines")
        every = replace(spec, file=name, pick=None, point_px=None, back=None, back_file=None)
        return _looked_at(path, every, self._kept.traced)

    def _moved(
        self, path: Path, name: str, spec: PictureSource, points: list[list[float]], watch: Watch
    ) -> Json:
        looked = self._look(path, name, spec, watch)
        traced = looked.traced if looked.to_scale else None
        piece = None if traced is None else _picked(traced, spec)
        if traced is None or piece is None:
            raise InputError(
                "there is no outline whose points could be moved",
                where="picture",
                hint="check the scale and choose the piece",
            )
        moved = moved_outline(piece, traced.scales.calibration, np.array(points, dtype=np.float64))
        return {"ring": np.round(moved, 4).tolist()}

    def _traced(self, path: Path, name: str, spec: PictureSource, watch: Watch) -> Json:
        self._read(path, name)  # one that cannot be read is refused: it is no picture without outlines
        looked = self._look(path, name, spec, watch)
        traced, wrong = looked.traced, looked.wrong
        result: Json = {
            "problems": [] if wrong is None else problem_rows(wrong.problems),
            "any_size": isinstance(wrong, ScaleError),
        }
        if traced is None:
            return result
        result |= {"scales": [], "pieces": _pieces(traced, spec, to_scale=looked.to_scale)}
        if not looked.to_scale:
            return result
        return result | {
            "scales": _scales(traced),
            "findings": [finding_data(f) for f in _findings(traced, spec, name)],
        }


def _looked_at(path: Path, every: PictureSource, trace: TracePicture) -> _Looked:
    """All outlines of a picture; where nothing tells its scale, with pixels of a size that stands in for it.

    Where there are no outlines either, that is what is wrong: it is put right first.
    """
    try:
        return _Looked(traced=trace(path, every), to_scale=True, wrong=None)
    except CradleError as error:
        wrong = error
    try:
        traced = trace(path, every.of_any_size)  # the outlines are shown all the same
        return _Looked(traced=traced, to_scale=False, wrong=wrong)
    except CradleError as error:
        return _Looked(traced=None, to_scale=False, wrong=error if isinstance(wrong, ScaleError) else wrong)


def _spec(keys: dict[str, Any]) -> PictureSource:
    """The picture's table as a spec.

    Raises
    ------
    InputError
        If a value of it is mistaken.
    """
    values = PICTURE.defaults()
    for name, key in PICTURE.keys.items():
        if name in keys:
            values[key.field] = key.value(keys[name], where=f"picture.{name}")
    return PictureSource(**values)


def _scales(traced: TracedPicture) -> list[dict[str, object]]:
    """The scales that were found, the one used first."""
    first = [traced.scales.used, *(s for s in traced.scales.found if s is not traced.scales.used)]
    return [
        {
            "kind": str(scale.kind),
            "told": scale.told,
            "also": any(scale is other for other in traced.scales.others),
            "uncertainty": round(100 * scale.calibration.uncertainty_scale, 3),
            "residuals": np.round(scale.calibration.residual_mm, 3).tolist()[:12],
            "ends": np.round(scale.ends_px, 1).tolist()[:24],
            "marks": np.round(scale.marks_px, 1).tolist()[:400],
            "region": None if scale.region_px is None else np.round(scale.region_px, 1).tolist(),
        }
        for scale in first
    ]


def _pieces(traced: TracedPicture, spec: PictureSource, *, to_scale: bool) -> list[dict[str, object]]:
    picked = _picked(traced, spec)
    return [
        {
            "number": piece.number,
            "ring": _thinned(piece.shown_px, within_px=_SHOWN_PX),
            "whole": _thinned(piece.ring_px, within_px=_HELD_PX) if piece is picked else [],
            "chord": None if piece.chord_px is None else np.round(piece.chord_px, 1).tolist(),
            "size": [round(v, 3) for v in piece.size_mm] if to_scale else None,
            "edge": round(piece.edge_mm, 4),
            "picked": piece is picked,
        }
        for piece in traced.pieces
    ]


def _findings(traced: TracedPicture, spec: PictureSource, name: str) -> Iterator[Finding]:
    """What is told of the picture and of the piece taken; of all pieces, with their numbers, where none is chosen yet."""
    of_all = _of_pieces(traced.pieces, name)
    yield from (finding for finding in traced.findings if finding not in of_all)
    if (picked := _picked(traced, spec)) is not None:
        yield from _of_pieces([picked], name)
        return
    for finding in of_all:
        yield replace(finding, message=f"{finding.where.removeprefix(f'{name}: ')}: {finding.message}")


def _of_pieces(pieces: Sequence[TracedPiece], name: str) -> tuple[Finding, ...]:
    return told_once(((piece, piece.findings) for piece in pieces), where=name, named=pieces_named)


def _picked(traced: TracedPicture, spec: PictureSource) -> TracedPiece | None:
    """The piece that the project takes, where it can be told."""
    if spec.point_px is not None:
        return at_point(traced.pieces, spec.point_px)
    if spec.pick is not None:
        return next((p for p in traced.pieces if p.number == spec.pick), None)
    return traced.pieces[0] if len(traced.pieces) == 1 else None


def moved_outline(piece: TracedPiece, calibration: Calibration, points_px: Floats) -> Floats:
    """Where an outline whose points were moved in the picture lies, ``(n, 2)`` mm.

    What the traced outline was corrected by (its height above the paper, its
    smoothing) is taken over from its nearest point.
    """
    corrected_mm = piece.ring_mm - to_mm(calibration, piece.ring_px)
    # a few points at a time: all with all of a fine outline would take a gigabyte
    blocks = np.array_split(points_px, 1 + len(points_px) // _AT_ONCE)
    nearest = np.concatenate([((b[:, None] - piece.ring_px) ** 2).sum(axis=2).argmin(axis=1) for b in blocks])
    return to_mm(calibration, points_px) + corrected_mm[nearest]


def _thinned(ring_px: Floats, *, within_px: float) -> list[list[float]]:
    """A ring with only the points that show, px."""
    rings = outer_rings(simplified(region(ring_px), within_mm=within_px))
    return np.round(rings[0] if rings else ring_px, 1).tolist()
