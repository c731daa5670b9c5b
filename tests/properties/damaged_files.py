"""Sound files of every kind that a section or a row of trials is read from, and the same with some of their bytes damaged."""

import io
import random
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

DEMOS = Path(__file__).parents[2] / "demo_data"
TOKENS = [
    b"nan", b"-inf", b"1e308", b"-1e-320", b"0", b"-1", b"9" * 400, b"\0", b"\xff\xfe", b"<", b">", b"/", b'"', b"'", b"{", b"}",
    b"[", b"]", b",", b";", b"\n", b"\r", b" ", b"%", b"M", b"A1 1 0 0 0", b"z", b"NaN", b"null", b"true", b"0\nENDSEC\n",
    b"0\nSPLINE\n", b"0\nINSERT\n", b"&lt;", b"<g>", b"</g>", b"<!--", b'transform="scale(0)"', b"\xc3\xa9", b"mm", b"in",
]  # fmt: skip
"""What a slip, a bad program or a bad disk could leave in a file."""
TRIALS = b"""[[trial]]
date = 2026-03-01
piece = "test-piece"
section = "low"
clearance = 0.3
gap = 0.4
seen = "tight"
side = "left"

[[trial]]
date = 2026-03-01
piece = "test-piece"
height = 12.5
clearance = 0.3
gap = 0.4
seen = "good"

[[trial]]
date = 2026-03-02
read = 30.1
nominal = 30.2
"""


def _picture(file_format, **options):
    """A dark piece beside two marks, small so that reading one is quick."""
    image = Image.new("RGB", (360, 260), "white")
    draw = ImageDraw.Draw(image)
    draw.polygon([(60, 60), (240, 50), (260, 190), (90, 200)], fill=(40, 40, 50))
    data = io.BytesIO()
    image.save(data, format=file_format, dpi=(100, 100), **options)
    return data.getvalue()


def _json():
    t = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    points = ", ".join(f"[{x:.3f}, {y:.3f}]" for x, y in zip(30 * np.cos(t), 20 * np.sin(t), strict=True))
    return f'{{"unit": "mm", "points": [{points}]}}'.encode()


@cache
def sound_files():
    """Contents by file name."""
    outlines = DEMOS / "ocarina" / "outlines"
    return {
        "belly.svg": (outlines / "belly.svg").read_bytes(),
        "broad.dxf": (outlines / "broad.dxf").read_bytes(),
        "top.csv": (outlines / "top.csv").read_bytes(),
        "ring.json": _json(),
        "trials.toml": TRIALS,
        "piece.png": _picture("PNG"),
        "piece.jpg": _picture("JPEG", quality=80),
        "piece.tif": _picture("TIFF"),
        "piece.bmp": _picture("BMP"),
        "piece.webp": _picture("WEBP", quality=70),
        "piece.gif": _picture("GIF"),
    }


def damaged(name, seed):
    """The bytes of a sound file with some lost, changed, doubled or put in: of every other drawing in its entities, what is read of a DXF."""
    chance = random.Random(f"{name} {seed}")
    sound = sound_files()[name]
    first = sound.index(b"ENTITIES") if name.endswith(".dxf") and seed % 2 else 0
    last = sound.index(b"ENDSEC", first) if first else len(sound)
    data = bytearray(sound[first:last])
    for _ in range(chance.randint(1, 4)):
        start = chance.randrange(len(data) + 1)
        length = min(chance.choice([1, 1, 2, 8, 60, 4000]), len(data) - start)
        match chance.randrange(6):
            case 0:
                del data[start : start + length]
            case 1:
                data[start:start] = data[start : start + length] * chance.choice([1, 2, 30])
            case 2:
                data[start : start + length] = chance.randbytes(length)
            case 3:
                data[start:start] = chance.choice(TOKENS)
            case 4:
                data[start : start + length] = chance.choice(TOKENS)
            case 5:
                data = data[: max(start, 1)] if chance.random() < 0.3 else data
    return sound[:first] + data + sound[last:]
