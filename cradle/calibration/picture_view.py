"""How a picture was taken, from all known lengths in it at once, with what of it stays uncertain.

One model serves scanner and camera: pixels are straightened by one radial
coefficient, made square by one ratio, and seen through a pinhole on a plane
that leans two ways (Hartley & Zisserman, "Multiple View Geometry in Computer
Vision", 2nd ed., sections 6.1, 7.4 and 8.1). What is usual of scanners and
cameras counts as an observation, and so does how true a rule is: the most
likely view is a least-squares adjustment, and its covariance says how surely
any length is known (JCGM 100:2008, equation 13, and JCGM 102:2011, 6.2, from
memory). A direction that no length tells keeps
the spread that such pictures have.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from cradle.calibration.bowed_sides import LensSeen
from cradle.calibration.calibration import Calibration, from_scale, lens_of, to_mm
from cradle.calibration.camera import FILM_DIAGONAL_MM, NO_SCANNER_DEG, USUAL_FOCAL_MM
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.least_squares import least_squares, slopes, spread_of
from cradle.noun import noun, record

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.pictures.image import Picture

LEAN_DEG: Final = 3.0
"""Standard deviation, along each axis, of how far a camera held level by hand is off vertical (common practice, no source)."""
UNEVEN_PERCENT: Final = 0.5
"""How much a scanner's two directions may differ without a mistake by anyone."""
LENS: Final = 0.005
"""Standard deviation of a lens's coefficient: what lies in the picture's corner is moved by this part of its distance."""
_TOLD_FOCAL: Final = 0.03
_USUAL_FOCAL: Final = 0.25
"""Relative standard uncertainty of a focal length that the file tells, and of the usual one."""
_DISTANCE: Final = 0.03
"""The same of a distance that a person gives."""
_ROUNDS: Final = 15
_SCALE, _RATIO, _LEAN_X, _LEAN_Y, _LONG, _BEND = range(6)
"""Indices of the parameters: log of mm a pixel in the middle; log of the pixel's height by its width; slopes of the plane; log of
the focal length divided by the expected one; the lens. After these come the errors of the sources."""


@noun
class MarkRow:
    """Points along a straight line whose distances are known.

    ``at_px (n, 2)``, ``along_mm (n,)`` from any origin, and the standard uncertainty of each point along the line.
    """

    at_px: Floats
    along_mm: Floats
    spread_px: float

    @property
    def spread_mm(self) -> float:
        """The standard uncertainty on the paper."""
        apart_px = float(np.hypot(*(self.at_px[-1] - self.at_px[0])))
        return self.spread_px * abs(float(self.along_mm[-1] - self.along_mm[0])) / apart_px


@noun
class Known:
    """What one source tells: rows of points, the relative standard uncertainty that all of them have in common, the lens.

    ``slope`` is that at which a rule's edge surely seems to rise inwards, along the unit vector ``inwards``, px: the view
    leans, or the edge is bevelled.
    """

    rows: tuple[MarkRow, ...]
    share: float
    lens: LensSeen | None = None
    slope: float = 0.0
    inwards: tuple[float, float] = (0.0, 0.0)

    @property
    def marked(self) -> tuple[MarkRow, ...]:
        """The rows of more than two points."""
        return tuple(row for row in self.rows if len(row.at_px) > 2)


@noun
class PictureView:
    """The most likely view.

    Attributes
    ----------
    parameters : (6 + m,) float64
        Those of the model, then for each of m sources the log of how much longer it is than it says.
    covariance : (6 + m, 6 + m) float64
    misfit : float
        Sum of the squared residuals, each divided by its standard uncertainty.
    count : int
        Points that were seen.
    """

    setting: Setting
    parameters: Floats
    covariance: Floats
    misfit: float
    count: int

    @property
    def lean_deg(self) -> float:
        """How far the camera was off vertical."""
        return float(np.degrees(np.arctan(np.hypot(*self.parameters[[_LEAN_X, _LEAN_Y]]))))

    @property
    def distance_mm(self) -> float:
        """From the lens to the paper."""
        return float(np.exp(self.parameters[_SCALE] + self.parameters[_LONG])) * self.setting.focal_px

    def slope_along(self, way: tuple[float, float], *, at_px: Floats) -> float:
        """Slope at which the paper seems to rise towards the lens along a unit vector at a place, px.

        A lens that bends lines makes lengths grow or shrink across it as well: by ``k1 s²``, s in parts of the half diagonal.
        """
        lens = lens_of(self.setting.size_px, float(self.parameters[_BEND]))
        out = at_px - np.array(lens.centre_px)
        bent = -2 * lens.k1 * self.setting.focal_px / lens.radius_px**2
        return float((self.parameters[[_LEAN_X, _LEAN_Y]] + bent * out) @ np.array(way))

    @property
    def by_camera(self) -> bool:
        """Whether a camera surely took the picture: its file says so, its distance is told, or it leans as no scan does."""
        square = self.setting.spreads.ratio == 0.0  # of a camera's pixels nothing else is supposed
        return square or self.setting.distance_mm is not None or self.lean_deg > NO_SCANNER_DEG

    @property
    def height_by_width(self) -> float:
        """Length on the paper of a pixel's height by that of its width, beside what the file tells of it."""
        return float(np.exp(self.parameters[_RATIO]))

    @property
    def off(self) -> Floats:
        """How much longer each source is than it says, as a ratio less 1, ``(m,)``."""
        return np.asarray(np.expm1(self.parameters[6:]))

    def less_sure(self, share: float) -> PictureView:
        """The view with one more relative standard uncertainty that all its lengths have in common."""
        wider = np.array(self.covariance)
        wider[_SCALE, _SCALE] += share**2
        return replace(self, covariance=frozen(wider))


class Spreads(NamedTuple):
    """Standard deviations of a view's parameters before any length is known, in the model's order; 0 for one that is not fitted."""

    ratio: float
    lean_x: float
    lean_y: float
    focal: float
    lens: float


@record
class Setting:
    """What is supposed of a view before any length is known: sizes of the picture, and spreads of the model."""

    size_px: tuple[int, int]
    ratio: float
    """A pixel's height by its width, as the file tells."""
    focal_px: float
    spreads: Spreads
    distance_mm: float | None


def focal_share(picture: Picture) -> float:
    """Relative standard uncertainty of the focal length that is supposed of a picture."""
    return _USUAL_FOCAL if picture.focal_film_mm is None else _TOLD_FOCAL


def setting_of(picture: Picture, *, camera: bool, distance_mm: float | None = None) -> Setting:
    """What is supposed of a picture's view.

    Parameters
    ----------
    camera : bool
        A camera may have taken it.
    distance_mm : float, optional
        From the lens to the paper, where it is stated.
    """
    film = picture.focal_film_mm
    uneven = 0.0 if picture.by_camera else UNEVEN_PERCENT / 100 / float(np.sqrt(3.0))
    lean = float(np.tan(np.radians(LEAN_DEG))) if camera else 0.0
    return Setting(
        size_px=picture.size_px,
        ratio=picture.resolution.height_by_width,
        focal_px=(film or USUAL_FOCAL_MM) / FILM_DIAGONAL_MM * float(np.hypot(*picture.size_px)),
        spreads=Spreads(
            ratio=uneven,
            lean_x=lean,
            lean_y=lean,
            focal=focal_share(picture) if camera else 0.0,
            lens=LENS if camera else 0.0,
        ),
        distance_mm=distance_mm,
    )


def fit_view(setting: Setting, sources: Sequence[Known]) -> PictureView:
    """The most likely view of a picture that shows known lengths.

    Parameters
    ----------
    sources : sequence of Known
        At least one.

    Notes
    -----
    Where the lengths show a larger lean, or a larger difference between a scanner's directions, than is usual, or straight
    sides show a lens that bends more, that value is taken as the spread of what they leave open.
    """
    seen_lenses = [source.lens for source in sources if source.lens is not None]
    if setting.spreads.lens > 0 and seen_lenses:
        varies = setting.spreads.lens
        bend = max(abs(lens.believed(varies)) for lens in seen_lenses)
        sources = [_less_sure(source, bend**2 * float(np.hypot(*setting.size_px)) / 2) for source in sources]
        lens = max(lens.varies(varies) for lens in seen_lenses)
        setting = replace(setting, spreads=setting.spreads._replace(lens=lens))
    start = np.zeros(6 + len(sources))
    start[_SCALE] = _first_scale(setting, sources)
    view = _adjusted(setting, sources, start)
    usual, seen = setting.spreads, np.abs(view.parameters)
    lean = max(usual.lean_x, float(seen[_LEAN_X]), float(seen[_LEAN_Y]))
    lens = max(usual.lens, float(seen[_BEND])) if usual.lens > 0 and seen_lenses else usual.lens
    wider = usual._replace(ratio=max(usual.ratio, float(seen[_RATIO])), lean_x=lean, lean_y=lean, lens=lens)
    if wider == usual:
        return view
    return _adjusted(replace(setting, spreads=wider), sources, view.parameters)


def _less_sure(source: Known, by_px: float) -> Known:
    """A source with its marks made less sure by what a lens of one coefficient leaves unexplained.

    That is of the order of the coefficient's square: two ways to write the same lens, from seen to straight and from
    straight to seen, differ by three times it in the corner. Without that, hundreds of marks would be fitted to an error
    of the model.
    """
    rows = [
        replace(row, spread_px=float(np.hypot(row.spread_px, by_px))) if len(row.at_px) > 2 else row
        for row in source.rows
    ]
    return replace(source, rows=tuple(rows))


def calibration_of(view: PictureView, *, source: str) -> Calibration:
    """The calibration of a view, its origin near the picture's lower left corner."""
    return _calibration(view.setting, view.parameters, source)


def length_shares(view: PictureView, ring_px: Floats) -> tuple[float, float]:
    """Relative standard uncertainties of the lengths along x and along y of an outline, ``(n, 2)`` px."""
    low, high = ring_px.min(axis=0), ring_px.max(axis=0)
    half = np.maximum((high - low) / 2, 1.0)
    steps = np.array([(-half[0], 0.0), (half[0], 0.0), (0.0, -half[1]), (0.0, half[1])])
    places = (low + high) / 2 + steps

    def lengths(parameters: Floats) -> Floats:
        at = to_mm(_calibration(view.setting, parameters, "view"), places)
        return np.asarray(np.log(np.hypot(*(at[1::2] - at[::2]).T)))

    x, y = spread_of(lengths, view.parameters, covariance=view.covariance)
    return float(x), float(y)


def _first_scale(setting: Setting, sources: Sequence[Known]) -> float:
    """Log of mm a pixel by the longest row."""
    rows = [row for source in sources for row in source.rows]
    longest = max(rows, key=lambda row: float(np.ptp(row.along_mm)))
    step = longest.at_px[-1] - longest.at_px[0]
    apart = float(np.hypot(step[0], step[1] * setting.ratio))
    return float(np.log(abs(longest.along_mm[-1] - longest.along_mm[0]) / apart))


def _adjusted(setting: Setting, sources: Sequence[Known], start: Floats) -> PictureView:
    """The view of least squared residuals near ``start``."""
    shares = np.array([source.share for source in sources])
    spreads = np.concatenate([setting.spreads, shares])
    free = np.concatenate([[True], spreads > 0])

    def all_of(values: Floats) -> Floats:
        parameters = np.array(start)
        parameters[free] = values
        return parameters

    def residual(values: Floats) -> Floats:
        return _residuals(setting, sources, all_of(values), spreads)

    values, left = least_squares(residual, start[free], rounds=_ROUNDS, share=1e-6)
    parameters, slope = all_of(values), slopes(residual, values)
    covariance = np.zeros((len(parameters), len(parameters)))
    covariance[np.ix_(free, free)] = np.linalg.inv(slope.T @ slope)
    return PictureView(
        setting=setting,
        parameters=frozen(parameters),
        covariance=frozen(covariance),
        misfit=float(left @ left),
        count=sum(len(row.at_px) for source in sources for row in source.rows),
    )


def _residuals(setting: Setting, sources: Sequence[Known], parameters: Floats, spreads: Floats) -> Floats:
    """What is seen less what is known, each divided by its standard uncertainty."""
    calibration = _calibration(setting, parameters, "view")
    out = [np.divide(parameters[1:], spreads, out=np.zeros(len(spreads)), where=spreads > 0)]
    for source, off in zip(sources, parameters[6:].tolist(), strict=True):
        for row in source.rows:
            at = to_mm(calibration, row.at_px)
            chord = at[-1] - at[0]
            along = (at - at.mean(axis=0)) @ chord / max(float(np.hypot(*chord)), 1e-12)
            known = (row.along_mm - row.along_mm.mean()) * np.exp(off)
            out.append((along - known) / row.spread_mm)
        if source.lens is not None and setting.spreads.lens > 0:
            out.append(np.array([(parameters[_BEND] - source.lens.k1) / source.lens.spread]))
    if setting.distance_mm is not None and setting.spreads.focal > 0:
        distance = parameters[_SCALE] + parameters[_LONG] + np.log(setting.focal_px)
        out.append(np.array([(distance - np.log(setting.distance_mm)) / _DISTANCE]))
    return np.concatenate(out)


def _calibration(setting: Setting, parameters: Floats, source: str) -> Calibration:
    """Pixels to mm of a view; of a scanner's, along x and y alone."""
    scale, ratio, lean_x, lean_y, long_, bend = parameters[:6].tolist()
    grain, high = float(np.exp(scale)), setting.ratio * float(np.exp(ratio))
    width, height = setting.size_px
    if setting.spreads.lean_x == 0.0:
        return from_scale(grain, grain * high, height_px=height, source=source)
    focal = setting.focal_px * float(np.exp(long_))
    cx, cy = (width - 1) / 2, (height - 1) / 2
    ray = np.array([[1.0, 0.0, -cx], [0.0, high, -cy * high], [0.0, 0.0, focal]]) / focal
    wide, deep = float(np.hypot(1.0, lean_x)), float(np.sqrt(1.0 + lean_x**2 + lean_y**2))
    axes = np.array(
        [
            [1 / wide, 0.0, -lean_x / wide],
            [lean_x * lean_y / wide / deep, -wide / deep, lean_y / wide / deep],  # upwards, unlike pixels
            [lean_x, lean_y, 1.0],
        ]
    )
    seen = axes @ ray  # along the paper's axes, and how far the plane is
    corner = np.array([width / 2, height / 2 * high]) * grain
    matrix = np.empty((3, 3))
    matrix[:2] = grain * focal * (seen[:2] - axes[:2, 2:] * seen[2]) + corner[:, None] * seen[2]
    matrix[2] = seen[2]
    return Calibration(mm_from_px=matrix, source=source, lens=lens_of((width, height), bend))
