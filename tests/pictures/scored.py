"""How true a traced outline is: the distance from what was painted, position and turn apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray
    from painted import Seen

    from cradle.capture.traced_picture import TracedPicture, TracedPiece


def dense(ring: NDArray[np.float64], step: float = 0.05) -> NDArray[np.float64]:
    """Points along a closed ring at most ``step`` apart."""
    closed = np.concatenate([ring, ring[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    at = np.linspace(0.0, along[-1], int(along[-1] / step) + 2)[:-1]
    return np.column_stack([np.interp(at, along, closed[:, 0]), np.interp(at, along, closed[:, 1])])


def p95_mm(
    traced: TracedPicture,
    piece: TracedPiece,
    seen: Seen,
    truth_mm: ArrayLike,
    *,
    ring_mm: ArrayLike | None = None,
) -> float:
    """95th percentile of the distance between a traced outline and the painted one, both ways, mm.

    The outline is laid on the truth by where its picture says it lies, and then turned and moved, never scaled,
    to the nearest points.
    """
    from cradle.calibration.calibration import to_mm

    truth = dense(np.asarray(truth_mm, dtype=np.float64), 0.05)
    moved = dense(np.asarray(piece.ring_mm if ring_mm is None else ring_mm), 0.1)
    as_measured = to_mm(traced.scales.calibration, seen.px_from_mm(truth))
    moved = _turned(moved, as_measured, truth)
    tree = cKDTree(truth)
    for _ in range(30):
        before = moved
        moved = _turned(moved, moved, truth[tree.query(moved)[1]])
        if float(np.abs(moved - before).max()) < 1e-4:
            break
    there, back = tree.query(moved)[0], cKDTree(dense(moved, 0.05)).query(truth)[0]
    return float(np.quantile(np.concatenate([there, back[::2]]), 0.95))


def _turned(
    points: NDArray[np.float64], source: NDArray[np.float64], target: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Points by the turn and shift that lays one list of places best on the other (Kabsch, 1976)."""
    a, b = source - source.mean(axis=0), target - target.mean(axis=0)
    u, _, vt = np.linalg.svd(a.T @ b)
    flip = np.diag([1.0, np.sign(np.linalg.det(u @ vt))])
    return np.asarray((points - source.mean(axis=0)) @ (u @ flip @ vt) + target.mean(axis=0))


def piece_at(pieces: tuple[TracedPiece, ...], truth_px: NDArray[np.float64]) -> TracedPiece | None:
    """The traced piece that lies where the truth does in the picture, or None."""
    middle = shapely.centroid(
        shapely.polygons(truth_px)
    )  # points lie closer on arcs than along straight edges
    size = float(np.ptp(truth_px, axis=0).max())
    near = [
        (float(shapely.distance(shapely.centroid(shapely.polygons(p.ring_px)), middle)), p) for p in pieces
    ]
    close = [each for each in near if each[0] < 0.3 * size]
    return min(close, key=lambda each: each[0])[1] if close else None
