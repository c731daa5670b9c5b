"""The check picture: what was traced, drawn over what was seen, legible at a glance."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from cradle.finding import Severity
from cradle.scale.calibration import to_mm, to_px
from cradle.scale.scale import ScaleKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.capture.traced_picture import TracedPicture, TracedPiece
    from cradle.geometry.arrays import Floats

LARGEST_PX: Final = 1600
_LEAST_PX: Final = 900
_EDGE: Final = (214, 31, 96)
_CHORD: Final = (240, 140, 20)
_SIZE: Final = (0, 92, 175)
_SCALE: Final = (0, 140, 70)
_PAPER: Final = (255, 255, 255)


def check_picture_png(traced: TracedPicture) -> bytes:
    """Return a PNG that shows the outlines, their sizes and the scale over the picture.

    Outlines are magenta, a notch's chord orange, sizes blue, marks of the
    scale green. At most 1600 px wide or high, the words below the picture.
    """
    import cv2
    from PIL import Image, ImageDraw

    picture = traced.picture
    zoom = min(LARGEST_PX / max(picture.size_px), max(1.0, _LEAST_PX / max(picture.size_px)))
    size = tuple(max(1, round(n * zoom)) for n in picture.size_px)
    small = cv2.resize(picture.levels, size, interpolation=cv2.INTER_AREA if zoom < 1 else cv2.INTER_CUBIC)
    small = np.repeat(small[..., None], 3, axis=-1) if small.ndim == 2 else small
    canvas = np.ascontiguousarray(
        np.rint(small * 0.72 + 255 * 0.28).astype(np.uint8)
    )  # paler than what is drawn
    draw = _Drawing(canvas, zoom)
    for scale in traced.scales.found:
        if scale.region_px is not None and scale.kind is not ScaleKind.SHEET:
            draw.path(scale.region_px, _SCALE, 2)
        for x, y in scale.marks_px.tolist():
            draw.dot((x, y), _SCALE)
        if scale is traced.scales.used:
            for a, b in scale.ends_px:
                draw.path(np.array([a, b]), _SCALE, 2)
    for piece in traced.pieces:
        _draw_piece(draw, traced, piece)
    image = Image.fromarray(canvas)
    words = ImageDraw.Draw(image)
    font = _font(18 if max(size) > 1000 else 15)
    for place, text, colour in draw.labels:
        _label(words, place, text, colour, font, size)
    lines = _words(traced)
    rows = [row for line in lines for row in _wrapped(line, font, size[0] - 24)]
    high = font.size + 8
    full = Image.new("RGB", (size[0], size[1] + high * len(rows) + 16), _PAPER)
    full.paste(image, (0, 0))
    below = ImageDraw.Draw(full)
    for k, row in enumerate(rows):
        below.text((12, size[1] + 8 + k * high), row, fill=(20, 20, 20), font=font)
    out = io.BytesIO()
    full.save(out, format="PNG", compress_level=4)
    return out.getvalue()


def _draw_piece(draw: _Drawing, traced: TracedPicture, piece: TracedPiece) -> None:
    draw.path(piece.ring_px, _EDGE, 2)
    if piece.chord_px is not None:
        draw.path(piece.chord_px, _CHORD, 2)
    calibration = traced.scales.calibration
    ring = to_mm(calibration, piece.shown_px)
    (x0, y0), (x1, y1) = ring.min(axis=0), ring.max(axis=0)
    gap = 0.03 * max(x1 - x0, y1 - y0) + 1.5
    wide = to_px(calibration, [[x0, y0 - gap], [x1, y0 - gap]])
    deep = to_px(calibration, [[x1 + gap, y0], [x1 + gap, y1]])
    for line, text in ((wide, f"{x1 - x0:.2f} mm"), (deep, f"{y1 - y0:.2f} mm")):
        draw.path(line, _SIZE, 2)
        for end in line:
            across = np.array([line[1, 1] - line[0, 1], line[0, 0] - line[1, 0]])
            across = across / max(float(np.hypot(*across)), 1e-9) * 7 / draw.zoom
            draw.path(np.array([end - across, end + across]), _SIZE, 2)
        draw.labels.append((tuple(line.mean(axis=0) * draw.zoom), text, _SIZE))
    middle = to_px(calibration, [[(x0 + x1) / 2, (y0 + y1) / 2]])[0]
    draw.labels.append((tuple(middle * draw.zoom), f"{piece.number}", _EDGE))


class _Drawing:
    """Lines on the canvas in the picture's px, and labels for later, in the canvas's."""

    def __init__(self, canvas: Any, zoom: float) -> None:
        self.canvas = canvas
        self.zoom = zoom
        self.labels: list[tuple[tuple[float, float], str, tuple[int, int, int]]] = []

    def path(self, points_px: Floats, colour: tuple[int, int, int], width: int) -> None:
        import cv2

        at = np.rint(((np.asarray(points_px) + 0.5) * self.zoom - 0.5) * 16).astype(np.int32)
        cv2.polylines(self.canvas, [at], len(at) > 2, colour, width, cv2.LINE_AA, 4)

    def dot(self, point_px: tuple[float, float], colour: tuple[int, int, int]) -> None:
        import cv2

        x, y = (round(((n + 0.5) * self.zoom - 0.5) * 16) for n in point_px)
        cv2.circle(self.canvas, (x, y), 40, colour, -1, cv2.LINE_AA, 4)


def _words(traced: TracedPicture) -> list[str]:
    scales = traced.scales
    lines = [f"scale: {scales.used.told} (green)"]
    residual = scales.used.calibration.residual_mm
    if len(residual) > 1:
        rms = float(np.sqrt((residual**2).mean()))
        lines[0] += f"; known lengths missed by {rms:.3f} mm (rms)"
    if len(scales.found) > 1:
        lines.append("also there: " + "; ".join(s.told for s in scales.found[1:]))
    words = {Severity.NOTE: "note", Severity.WARN: "look", Severity.FAIL: "wrong"}
    lines += [f"{words[finding.severity]}: {finding}" for finding in traced.findings]
    return lines


def _font(size: int) -> Any:
    from PIL import ImageFont

    return ImageFont.load_default(size=size)


def _label(
    words: Any,
    place: tuple[float, float],
    text: str,
    colour: tuple[int, int, int],
    font: Any,
    size: Sequence[int],
) -> None:
    left, top, right, bottom = words.textbbox((0, 0), text, font=font)
    w, h = right - left + 12, bottom - top + 10
    x = min(max(place[0] - w / 2, 2), size[0] - w - 2)
    y = min(max(place[1] - h / 2, 2), size[1] - h - 2)
    words.rounded_rectangle((x, y, x + w, y + h), radius=4, fill=_PAPER, outline=colour)
    words.text((x + 6 - left, y + 5 - top), text, fill=colour, font=font)


def _wrapped(line: str, font: Any, width: float) -> list[str]:
    rows, row = [], ""
    for word in line.split():
        longer = f"{row} {word}".strip()
        if row and font.getlength(longer) > width:
            rows.append(row)
            row = "    " + word
        else:
            row = longer
    return [*rows, row]
