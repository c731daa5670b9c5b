"""Outlines and readings as the files that people have: drawings in many dialects, and small pictures."""

import io
import json

import numpy as np
from PIL import Image, ImageDraw

PICTURE_DPI = 120.0
_PER_MM = PICTURE_DPI / 25.4
_FINER = 3
"""Pictures are drawn so many times larger first."""


def csv_file(rng, points, *, heading=("x", "y")):
    """A table with comma, semicolon or tab; with or without a heading, a byte order mark and Windows line ends."""
    mark, point = rng.choice([(",", "."), (",", "."), (";", ","), ("\t", "."), ("; ", ".")])
    digits = rng.choice([2, 3, 6])
    rows = [mark.join(f"{value:.{digits}f}".replace(".", point) for value in row) for row in points]
    if rng.random() < 0.5:
        rows.insert(0, mark.strip(" ").join(heading))
    if rng.random() < 0.2:
        rows.insert(0, "# with a profile gauge")
    text = rng.choice(["\n", "\r\n"]).join(rows) + rng.choice(["", "\n"])
    return text.encode(rng.choice(["utf-8", "utf-8", "utf-8-sig", "utf-16"]))


def json_file(rng, points):
    """A bare list of points, or one with its unit."""
    pairs = [[round(float(x), 4), round(float(y), 4)] for x, y in points]
    return json.dumps(pairs if rng.random() < 0.5 else {"unit": "mm", "points": pairs}).encode()


def svg_file(rng, points, *, ends="closed"):
    """A path or a polygon in a sheet whose size is stated in mm."""
    low = points.min(axis=0) - 2
    width, height = np.ptp(points, axis=0) + 4
    own = (points - low) * [1, -1] + [0, height]
    if ends == "open":
        shape = f'<polyline fill="none" stroke="black" points="{_pairs(own)}"/>'
    elif rng.random() < 0.3:
        shape = f'<polygon points="{_pairs(own)}"/>'
    else:
        shape = f'<path d="M {_pairs(own)} z"/>'
    if rng.random() < 0.3:
        shape = f'<g id="own" transform="rotate({rng.choice([0, 90, 17])})">{shape}</g>'
    if rng.random() < 0.02:
        shape += '<circle cx="5" cy="5" r="3"/>'
    size = f'width="{width:.3f}mm" height="{height:.3f}mm" viewBox="0 0 {width:.3f} {height:.3f}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{shape}</svg>'.encode()


def dxf_file(rng, points, *, ends="closed"):
    """A polyline of a drawing in mm, or one whose unit nobody stated."""
    import ezdxf

    drawing = ezdxf.new("R2010")
    drawing.units = rng.choice([4, 4, 4, 0, 5])
    scale = 0.1 if drawing.units == 5 else 1.0
    drawing.modelspace().add_lwpolyline(
        [(float(x) * scale, float(y) * scale) for x, y in points], close=ends == "closed"
    )
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().encode()


def _pairs(points):
    return " ".join(f"{x:.4f},{y:.4f}" for x, y in points)


def picture_file(rng, pieces, *, shape, ending):
    """A dark piece for each ring on white paper, or its line, or a hollow from below in a dark card."""
    rooms = [np.ptp(piece, axis=0) + 24 for piece in pieces]
    size = np.array([sum(room[0] for room in rooms), max(room[1] for room in rooms)]) * _PER_MM * _FINER
    if size.max() > 9000:
        return None
    image = Image.new("L", tuple(int(v) for v in size), 245)
    draw = ImageDraw.Draw(image)
    at = 0.0
    for piece, room in zip(pieces, rooms, strict=True):
        own = (piece - piece.min(axis=0) + 12 + [at, 0]) * _PER_MM * _FINER
        own[:, 1] = size[1] - own[:, 1]
        corners = [tuple(map(float, p)) for p in own]
        if shape == "line":
            draw.line([*corners, corners[0]], fill=40, width=int(0.5 * _PER_MM * _FINER), joint="curve")
        elif shape == "cut_out":
            x0, x1 = (at + 2) * _PER_MM * _FINER, (at + room[0] - 2) * _PER_MM * _FINER
            middle = own[:, 1].mean()
            draw.rectangle([x0, 2 * _PER_MM * _FINER, x1, middle], fill=50)
            draw.polygon(corners, fill=245)
        else:
            draw.polygon(corners, fill=50)
        at += room[0]
    small = image.resize([max(v // _FINER, 1) for v in image.size], Image.Resampling.BOX)
    if rng.random() < 0.3:
        noise = np.random.default_rng(rng.randrange(1000)).normal(0, 6, small.size[::-1])
        small = Image.fromarray(np.clip(np.asarray(small) + noise, 0, 255).astype(np.uint8))
    if rng.random() < 0.3:
        small = small.convert("RGB")
    data = io.BytesIO()
    told = {"dpi": (PICTURE_DPI, PICTURE_DPI)} if rng.random() < 0.5 else {}
    small.save(
        data, format={"jpg": "JPEG", "png": "PNG", "bmp": "BMP", "webp": "WEBP", "gif": "GIF"}[ending], **told
    )
    return data.getvalue()
