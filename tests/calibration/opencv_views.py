"""Known lengths on paper as OpenCV's camera sees them."""

from __future__ import annotations

import cv2
import numpy as np

from cradle.calibration.calibration import from_scale, to_mm
from cradle.calibration.camera import FILM_DIAGONAL_MM, USUAL_FOCAL_MM
from cradle.calibration.picture_view import Known, MarkRow, calibration_of
from cradle.calibration.scale import Scale, ScaleKind
from cradle.geometry.arrays import frozen
from cradle.pictures.image import Picture
from cradle.pictures.resolution import Resolution

SIZE = (1700, 1300)
FOCAL_PX = USUAL_FOCAL_MM / FILM_DIAGONAL_MM * float(np.hypot(*SIZE))
ALONG = ((-50.0, -45.0), (50.0, -45.0))
ACROSS = ((-60.0, 40.0), (-60.0, -40.0))
SQUARE = np.array([[-20.0, -20], [20, -20], [20, 20], [-20, 20]])


def picture(*, by_camera=True, dpi=None):
    grey = np.zeros(SIZE[::-1], dtype=np.uint8)
    resolution = Resolution(dpi=dpi, told_by="a test") if dpi else Resolution(dpi=None, told_by="nothing")
    return Picture(file="a.png", grey=grey, colour=None, resolution=resolution, by_camera=by_camera)


def opencv_px(points_mm, *, lean_deg, way_deg, distance_mm=300.0, focal_px=FOCAL_PX, bend=0.0):
    """Where OpenCV's pinhole camera sees points of a plane that leans about an axis through the picture's middle."""
    axis = np.radians(lean_deg) * np.array([np.cos(np.radians(way_deg)), np.sin(np.radians(way_deg)), 0.0])
    turn = cv2.Rodrigues(axis)[0] @ np.diag([1.0, -1.0, -1.0])  # paper's y is up, and it is seen from above
    matrix = np.array([[focal_px, 0, (SIZE[0] - 1) / 2], [0, focal_px, (SIZE[1] - 1) / 2], [0, 0, 1]])
    flat = np.column_stack([points_mm, np.zeros(len(points_mm))])
    radius = float(np.hypot(*SIZE)) / 2 / focal_px
    seen, _ = cv2.projectPoints(
        flat,
        cv2.Rodrigues(turn)[0],
        np.array([0.0, 0.0, distance_mm]),
        matrix,
        np.array([bend / radius**2, 0, 0, 0.0]),
    )
    return seen.reshape(-1, 2)


def rule(ends, rng=None, *, count=81, stretch=1.0, spread_px=0.05, share=6e-4, **camera):
    a, b = np.array(ends)
    points = a + np.linspace(0, 1, count)[:, None] * (b - a)
    px = opencv_px(points, **camera)
    px = px if rng is None else px + rng.normal(0.0, spread_px, px.shape)
    along = np.linspace(0, float(np.hypot(*(b - a))), count) / stretch
    return Known(rows=(MarkRow(at_px=frozen(px), along_mm=frozen(along), spread_px=spread_px),), share=share)


def sides(view, **camera):
    at = to_mm(calibration_of(view, source="test"), opencv_px(SQUARE, **camera))
    return np.hypot(*(np.roll(at, -1, axis=0) - at).T)


def as_scale(known, name):
    row = known.rows[0]
    return Scale(
        kind=ScaleKind.RULER,
        calibration=from_scale(0.2, 0.2, height_px=SIZE[1], source=name),
        told=name,
        ends_px=frozen(row.at_px[[0, -1]][None]),
        known_mm=frozen([float(np.ptp(row.along_mm))]),
        known=known,
    )
