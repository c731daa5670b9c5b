"""Homography and lens together, against OpenCV's and scipy's least squares."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from scipy.optimize import least_squares

from cradle.calibration.calibration import Calibration, Lens, mm_per_px, through, to_mm
from cradle.capture_sheet.lens_fit import fit_lens
from cradle.errors import CaptureError

H = np.array([[0.9, 0.05, 12.0], [-0.04, 1.1, -7.0], [1e-4, -2e-4, 1.0]])


def test_many_noisy_points_give_opencvs_least_squares():
    rng = np.random.default_rng(5)
    px = rng.uniform(0, 2000, (60, 2))
    mm = through(H, px / 10) + rng.normal(0, 0.05, (60, 2))
    ours = fit_lens(px, mm, size_px=(2000, 2000))
    theirs, _ = cv2.findHomography(px, mm)
    corners = np.array([[0.0, 0.0], [1890.0, 0.0], [1890.0, 1782.0], [0.0, 1782.0]])
    apart = np.abs(through(ours.mm_from_px, corners) - through(theirs, corners)).max()
    assert ours.lens is None
    # OpenCV minimises mm, ours pixels: they differ by less than the noise leaves open
    assert 0 < apart < 0.05


def _seen_through_a_lens(noise_px: float, *, k1: float = 0.03, wrong: int = 0):
    """Grid of places in mm and where a camera with a lens sees them."""
    truth = Calibration(
        mm_from_px=np.array([[0.1, 0.002, 3], [0.001, -0.11, 150], [1e-5, 6e-5, 1]]),
        source="truth",
        lens=Lens(centre_px=(999.5, 749.5), radius_px=1250.0, k1=k1, k2=0.0),
    )
    xs, ys = np.meshgrid(np.linspace(20, 1980, 9), np.linspace(20, 1480, 8))
    px = np.column_stack([xs.ravel(), ys.ravel()])
    mm = to_mm(truth, px)
    rng = np.random.default_rng(7)
    seen = px + rng.normal(0, noise_px, px.shape)
    seen[:wrong] += [40.0, -25.0]
    return truth, seen, mm, px


def test_lens_and_homography_are_found_together_as_scipy_finds_them():
    truth, seen, mm, px = _seen_through_a_lens(0.05)
    fit = fit_lens(seen, mm, size_px=(2000, 1500))
    assert fit.lens is not None
    assert fit.lens.k1 == pytest.approx(0.03, abs=5e-4)
    assert fit.residual_px[fit.used].std() == pytest.approx(0.05, rel=0.2)
    fitted = Calibration(mm_from_px=fit.mm_from_px, source="fit", lens=fit.lens)
    assert np.abs(to_mm(fitted, px) - mm).max() < 0.01

    # the same sum of squares minimised by scipy's own Levenberg-Marquardt
    def residual(p):
        lens = Lens(centre_px=(999.5, 749.5), radius_px=1250.0, k1=p[8], k2=0.0)
        trial = Calibration(mm_from_px=np.append(p[:8], 1.0).reshape(3, 3), source="trial", lens=lens)
        local = np.sqrt(np.prod([mm_per_px(truth, at_px=tuple(q)) for q in seen], axis=1))
        return ((to_mm(trial, seen) - mm) / local[:, None]).ravel()

    start = np.append(fit.mm_from_px.ravel()[:8], 0.0)
    theirs = least_squares(residual, start, method="lm", x_scale=np.abs(start) + 1e-3)
    assert fit.lens.k1 == pytest.approx(theirs.x[8], abs=2e-4)


def test_distortion_that_does_not_show_is_not_fitted():
    _, seen, mm, _ = _seen_through_a_lens(0.3, k1=0.0)
    fit = fit_lens(seen, mm, size_px=(2000, 1500))
    assert fit.lens is None


def test_wrong_points_are_left_out_and_told():
    _, seen, mm, _ = _seen_through_a_lens(0.05, wrong=6)
    fit = fit_lens(seen, mm, size_px=(2000, 1500))
    assert not fit.used[:6].any()
    assert fit.used[6:].mean() > 0.95
    assert fit.residual_px[fit.used].std() < 0.1


def test_points_that_contradict_each_other_are_refused():
    rng = np.random.default_rng(11)
    _, seen, mm, _ = _seen_through_a_lens(0.01)
    seen = seen.copy()
    seen[::2] += rng.normal(0, 300, seen[::2].shape)
    with pytest.raises(CaptureError, match="agree with each other"):
        fit_lens(seen, mm, size_px=(2000, 1500))


@pytest.mark.slow
def test_the_stated_uncertainty_of_the_scale_is_true():
    # spread of fitted lengths over repeated noise against the propagated one (JCGM 100:2008, 5.1.2)
    truth, _, mm, px = _seen_through_a_lens(0.0)
    ends = np.array([[500.0, 750], [1500, 750]])
    rng = np.random.default_rng(13)
    lengths, stated = [], []
    for _ in range(60):
        fit = fit_lens(px + rng.normal(0, 0.3, px.shape), mm, size_px=(2000, 1500))
        a, b = to_mm(Calibration(mm_from_px=fit.mm_from_px, source="fit", lens=fit.lens), ends)
        lengths.append(np.hypot(*(b - a)))
        stated.append(fit.scale_uncertainty)
    known = np.hypot(*np.diff(to_mm(truth, ends), axis=0)[0])
    seen = np.std(lengths) / known
    assert 0.4 * np.mean(stated) < seen < 1.3 * np.mean(stated)
    assert abs(np.mean(lengths) / known - 1) < 4 * np.mean(stated) / np.sqrt(60)
