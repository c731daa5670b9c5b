"""Where the lens was, by a plane that leans, against OpenCV's camera."""

import cv2
import numpy as np
import pytest
from opencv_views import FOCAL_PX, SQUARE, opencv_px, picture

from cradle.calibration.calibration import Calibration
from cradle.calibration.camera import viewpoint

FAR_MM = 300.0


@pytest.mark.parametrize("focal", [0.8, 1.25])
@pytest.mark.parametrize("way_deg", [0.0, 35.0, 90.0, -120.0])
@pytest.mark.parametrize("lean_deg", [8.0, 25.0])
def test_a_leaning_plane_tells_where_the_lens_was_whatever_its_focal_length(lean_deg, way_deg, focal):
    """Both vanishing points together; seen along a line that leans by L from the plumb line it is D cos L high, its foot D sin L away."""
    px = opencv_px(SQUARE, lean_deg=lean_deg, way_deg=way_deg, focal_px=focal * FOCAL_PX, distance_mm=FAR_MM)
    seen = cv2.getPerspectiveTransform(px.astype(np.float32), SQUARE.astype(np.float32))
    found = viewpoint(
        Calibration(mm_from_px=seen, source="test"), picture(), tilt_deg=lean_deg, distance_mm=None
    )
    assert not found.supposed
    told = viewpoint(
        Calibration(mm_from_px=seen, source="test"), picture(), tilt_deg=lean_deg, distance_mm=FAR_MM
    )
    assert (*told.foot_mm, told.height_mm) == pytest.approx((*found.foot_mm, found.height_mm), abs=1.0)
    assert found.height_mm == pytest.approx(FAR_MM * np.cos(np.radians(lean_deg)), rel=2e-3)
    assert np.hypot(*found.foot_mm) == pytest.approx(FAR_MM * np.sin(np.radians(lean_deg)), rel=2e-2)
