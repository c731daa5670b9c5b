"""The check picture: what was traced, drawn over what was seen, legible at a glance."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import Calibration, to_mm, to_px
from cradle.calibration.scale import ScaleKind
from cradle.finding import Severity, ordered
from cradle.geometry.arrays import Bytes, Floats, frozen
from cradle.geometry.lettering import PLAIN, font_file
from cradle.geometry.ring import Box
from cradle.geometry.vectors import left_of, unit
from cradle.names import wrapped
from cradle.noun import noun
from cradle.pictures.averaged import reduced

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PIL import Image, ImageDraw, ImageFont

    from cradle.calibration.scale import Scale
    from cradle.capture.traced_picture import TracedPicture, TracedPiece
    from cradle.pictures.image import Picture

_LARGEST_PX: Final = 1600
_LEAST_PX: Final = 900
_BESIDE_PX: Final = 4
"""How far beside a length its figure stands, on the side away from the piece, which it would cover else."""
_TILE_PX: Final = 200
_TILE_ZOOM: Final = 8.0
_MOST_TILES: Final = 4
_MOST_TOLD: Final = 6
"""Up to this many pieces each have a line that tells how surely they are known; the others share one."""
_EDGE: Final = (214, 31, 96)
_CHORD: Final = (240, 140, 20)
_SIZE: Final = (0, 92, 175)
_SCALE: Final = (0, 140, 70)
_PAPER: Final = (255, 255, 255)
_ON: Final = frozen([0.0, 0.0])


def check_picture_png(traced: TracedPicture) -> bytes:
    """A PNG that shows the outlines, their sizes and the scale over the picture.

    Outlines are magenta, a notch's chord orange, sizes blue, marks of the
    scale green. At most 1600 px wide or high; below the picture the words, and where the
    outlines are least sure, enlarged eight times.
    """
    from PIL import Image, ImageDraw

    picture = traced.picture
    zoom = min(_LARGEST_PX / max(picture.size_px), max(1.0, _LEAST_PX / max(picture.size_px)))
    draw = _Drawing(_paler(picture, zoom), zoom)
    for scale in traced.scales.found:
        _draw_scale(draw, traced, scale)
    for piece in traced.pieces:
        _draw_piece(draw, traced, piece)
    image = Image.fromarray(draw.canvas)
    words = ImageDraw.Draw(image)
    font = _font(18 if max(image.size) > 1000 else 15)
    taken: list[Box] = []
    for label in draw.labels:
        taken.append(_write(words, label, font, image.size, taken))
    out = io.BytesIO()
    _told_below(image, _words(traced), _magnified(traced), font).save(out, format="PNG", compress_level=2)
    return out.getvalue()


def _paler(picture: Picture, zoom: float) -> Bytes:
    """The picture enlarged or reduced by ``zoom``, and paler than what is drawn on it, ``(h, w, 3)`` uint8."""
    import cv2

    width, height = picture.size_px
    size = (max(1, round(width * zoom)), max(1, round(height * zoom)))
    if zoom < 1:
        small = reduced(picture.levels, size)
    else:
        small = np.atleast_3d(cv2.resize(picture.levels, size, interpolation=cv2.INTER_CUBIC))
    small = np.repeat(small, 3, axis=-1) if picture.colour is None else small
    paler = np.rint(np.arange(256) * 0.72 + 255 * 0.28).astype(np.uint8)
    return np.ascontiguousarray(cv2.LUT(small, paler))


def _told_below(
    image: Image.Image, lines: Sequence[str], tiles: Sequence[tuple[Bytes, str]], font: ImageFont.FreeTypeFont
) -> Image.Image:
    """An image on paper, lines of words below it, and below these enlarged places with a word each."""
    from PIL import Image, ImageDraw

    width, height = image.size

    def fits(line: str) -> bool:
        return bool(font.getlength(line) <= width - 24)

    rows = [row for line in lines for row in wrapped(line, fits=fits, indent="    ")]
    high = round(font.size) + 8
    words_end = height + high * len(rows) + 16
    full = Image.new("RGB", (width, words_end + (_TILE_PX + high + 16 if tiles else 0)), _PAPER)
    full.paste(image, (0, 0))
    below = ImageDraw.Draw(full)
    for k, row in enumerate(rows):
        below.text((12, height + 8 + k * high), row, fill=(20, 20, 20), font=font)
    for k, (tile, told) in enumerate(tiles):
        x = 12 + k * (_TILE_PX + 12)
        full.paste(Image.fromarray(tile), (x, words_end))
        below.text((x, words_end + _TILE_PX + 4), told, fill=(20, 20, 20), font=font)
    return full


def _draw_scale(draw: _Drawing, traced: TracedPicture, scale: Scale) -> None:
    if scale.region_px is not None and scale.kind is not ScaleKind.SHEET:
        draw.path(scale.region_px, _SCALE)
        middle = (scale.region_px.min(axis=0) + scale.region_px.max(axis=0)) / 2
        draw.label(middle, f"taken for a {scale.kind.value}", _SCALE)
    for x, y in scale.marks_px.tolist():
        draw.dot((x, y))
    if scale in traced.scales.members:
        for a, b in scale.ends_px:
            draw.path(np.array([a, b]), _SCALE)


def _magnified(traced: TracedPicture) -> list[tuple[Bytes, str]]:
    """Where the outlines are least sure, enlarged, ``(h, w, 3)`` each, and where that is: as many as fit side by side.

    First the least sure place of every piece, the least sure piece first, then their second ones.
    """
    places = [
        (rank, -piece.edge_mm, piece.number, x, y, piece)
        for piece in traced.pieces
        for rank, (x, y) in enumerate([] if piece.unsure_px is None else piece.unsure_px.tolist())
    ]
    return [
        (_tile(traced.picture.levels, piece, (x, y)), f"{number}: at ({x:z.0f}, {y:z.0f}) px")
        for _, _, number, x, y, piece in sorted(places, key=lambda place: place[:3])[:_MOST_TILES]
    ]


def _tile(levels: Bytes, piece: TracedPiece, at_px: tuple[float, float]) -> Bytes:
    """The picture and an outline round a place, enlarged, ``(h, w, 3)``."""
    import cv2

    corner = np.array(at_px) - _TILE_PX / 2 / _TILE_ZOOM
    matrix = np.array([[1 / _TILE_ZOOM, 0.0, corner[0]], [0.0, 1 / _TILE_ZOOM, corner[1]]])
    tile = cv2.warpAffine(
        levels,
        matrix,
        (_TILE_PX, _TILE_PX),
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    tile = np.repeat(tile[..., None], 3, -1) if tile.ndim == 2 else tile
    shown: Bytes = np.ascontiguousarray(tile, dtype=np.uint8)
    at = np.rint((piece.ring_px - corner) * _TILE_ZOOM * 16).astype(np.int32)
    cv2.polylines(shown, [at], isClosed=True, color=_EDGE, thickness=1, lineType=cv2.LINE_AA, shift=4)
    return shown


def _draw_piece(draw: _Drawing, traced: TracedPicture, piece: TracedPiece) -> None:
    draw.path(piece.ring_px, _EDGE)
    if piece.chord_px is not None:
        draw.path(piece.chord_px, _CHORD)
    calibration = traced.scales.calibration
    axes = _axes(piece, calibration)
    ring = to_mm(calibration, piece.shown_px) @ axes.T
    (x0, y0), (x1, y1) = ring.min(axis=0), ring.max(axis=0)
    gap = 0.03 * max(x1 - x0, y1 - y0) + 1.5
    wide = to_px(calibration, np.array([[x0, y0 - gap], [x1, y0 - gap]]) @ axes)
    deep = to_px(calibration, np.array([[x1 + gap, y0], [x1 + gap, y1]]) @ axes)
    middle = to_px(calibration, np.array([[(x0 + x1) / 2, (y0 + y1) / 2]]) @ axes)[0]
    for line, length in ((wide, x1 - x0), (deep, y1 - y0)):
        draw.path(line, _SIZE)
        across = -left_of(unit(line[1] - line[0])) * 7 / draw.zoom
        for end in line:
            draw.path(np.array([end - across, end + across]), _SIZE)
        place = line.mean(axis=0)
        draw.label(place, f"{length:.2f} mm", _SIZE, away=unit(place - middle))
    draw.label(middle, f"{piece.number}", _EDGE)


def _axes(piece: TracedPiece, calibration: Calibration) -> Floats:
    """The unit vectors along which a piece is measured, ``(2, 2)``: those of the paper, of a notch along its mouth and square to it."""
    if piece.chord_px is None:
        return np.eye(2)
    start, end = to_mm(calibration, piece.chord_px)
    along = unit(end - start)
    return np.array([along, left_of(along)]) * (1.0 if along.sum() >= 0 else -1.0)


@noun
class _Label:
    """Words for a place ``(2,)`` on the canvas, and the unit vector ``(2,)`` of where they stand beside it; 0 for on it."""

    place: Floats
    text: str
    colour: tuple[int, int, int]
    away: Floats


class _Drawing:
    """Lines on the canvas in the picture's px, and labels for later."""

    def __init__(self, canvas: Bytes, zoom: float) -> None:
        self.canvas = canvas
        self.zoom = zoom
        self.labels: list[_Label] = []

    def label(self, at_px: Floats, text: str, colour: tuple[int, int, int], *, away: Floats = _ON) -> None:
        self.labels.append(_Label(place=at_px * self.zoom, text=text, colour=colour, away=away))

    def path(self, points_px: Floats, colour: tuple[int, int, int]) -> None:
        import cv2

        at = np.rint(((np.asarray(points_px) + 0.5) * self.zoom - 0.5) * 16).astype(np.int32)
        cv2.polylines(self.canvas, [at], len(at) > 2, colour, 2, cv2.LINE_AA, 4)

    def dot(self, point_px: tuple[float, float]) -> None:
        import cv2

        x, y = (round(((n + 0.5) * self.zoom - 0.5) * 16) for n in point_px)
        cv2.circle(self.canvas, (x, y), 40, _SCALE, -1, cv2.LINE_AA, 4)


def _words(traced: TracedPicture) -> list[str]:
    scales = traced.scales
    lines = [f"scale: {scales.used.told} (green)"]
    residual = scales.used.calibration.residual_mm
    if len(residual) > 1:
        rms = float(np.sqrt((residual**2).mean()))
        lines[0] += f"; known lengths missed by {rms:.3f} mm (rms)"
    if scales.others:
        lines.append("also there: " + "; ".join(s.told for s in scales.others))
    words = {Severity.NOTE: "note", Severity.WARN: "warning", Severity.FAIL: "do not use"}
    lines += [
        f"{piece.number}: edge ± {piece.edge_mm:.2f} mm, lengths ± {100 * piece.scale_share[0]:.2f} % along x,"
        f" {100 * piece.scale_share[1]:.2f} % along y (standard uncertainties)"
        for piece in traced.pieces[:_MOST_TOLD]
    ]
    if others := traced.pieces[_MOST_TOLD:]:
        edge = max(piece.edge_mm for piece in others)
        x, y = np.max([piece.scale_share for piece in others], axis=0)
        lines.append(f"the others: edge ± {edge:.2f} mm, lengths ± {100 * x:.2f} %, {100 * y:.2f} % at most")
    if scales.inside is None:  # the sheet's own squares are regular too
        lines += [f"not used: {reason}" for reason in scales.missing if "regular marks" in reason]
    lines += [f"{words[finding.severity]}: {finding}" for finding in ordered(traced.findings)]
    return lines


def _font(size: int) -> ImageFont.FreeTypeFont:
    from PIL import ImageFont

    return ImageFont.truetype(str(font_file(PLAIN)), size)


def _write(
    words: ImageDraw.ImageDraw,
    label: _Label,
    font: ImageFont.FreeTypeFont,
    size: Sequence[int],
    taken: Sequence[Box],
) -> Box:
    """Write a label at its place, clear of those written; what it covers."""
    left, top, right, bottom = words.textbbox((0, 0), label.text, font=font)
    w, h = right - left + 12, bottom - top + 10
    out = label.away * (np.array([w, h]) / 2 + _BESIDE_PX)
    x, y = (label.place + out - np.array([w, h]) / 2).clip(2, np.array(size) - [w + 2, h + 2]).tolist()
    tried: set[float] = set()
    while y not in tried:  # where all is full, it would go up and down for ever
        tried.add(y)
        met = [t for t in taken if x < t[2] and t[0] < x + w and y < t[3] and t[1] < y + h]
        if not met:
            break
        below = max(t[3] for t in met) + 2
        y = below if below + h < size[1] else min(t[1] for t in met) - h - 2
    words.rounded_rectangle((x, y, x + w, y + h), radius=4, fill=_PAPER, outline=label.colour)
    words.text((x + 6 - left, y + 5 - top), label.text, fill=label.colour, font=font)
    return x, y, x + w, y + h
