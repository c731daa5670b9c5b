"""Pictures of an outline with something beside it that tells their scale: a rule, a bank card, the capture sheet, a tag."""

import io

import numpy as np
from picture_scene import capture_sheet, id_card, moved, pencil_line, ruler_inch, ruler_mm, sheet_of_colour
from PIL import Image
from render_pictures import render_photo, render_scan

from cradle.capture_sheet.sheet import SHEETS, middle_mm

_DARK, _PAPER = (52, 60, 80), (250, 250, 248)
_FORMATS = {"png": "PNG", "jpg": "JPEG", "jpeg": "JPEG", "tif": "TIFF", "tiff": "TIFF", "PNG": "PNG"}
_LARGEST_MM = 130.0
"""No larger outline is pictured: the picture would take long to paint."""
_MIDDLE_MM = 95.0
"""The side of the capture sheet's free middle that always holds an outline."""


def scaled_picture(rng, ring, *, shape):
    """Bytes, ending and picture keys; None where the outline is too large, too small or too fine for a picture."""
    size = np.ptp(ring, axis=0)
    if size.max() > _LARGEST_MM or size.min() < 5.0:
        return None
    source = rng.choice(
        ["ruler", "ruler", "bank_card", "tag", *(["sheet"] if size.max() < _MIDDLE_MM else [])]
    )
    ring = ring[np.hypot(*(np.roll(ring, -1, axis=0) - ring).T) > 1e-3]  # a pen does not stand still
    ring = ring - (ring.max(axis=0) + ring.min(axis=0)) / 2
    drawn = pencil_line(ring, width_mm=0.6) if shape == "line" else sheet_of_colour(ring, colour=_DARK)
    if source == "sheet":
        picture = _on_the_sheet(rng, drawn)
    else:
        dpi = rng.choice([100, 150, 200])
        width, depth = (float(v) for v in np.maximum(size + 20, [172.0 if source != "tag" else 0.0, 30.0]))
        scene = moved(drawn, by_mm=(width / 2, 72 + depth / 2), turn_deg=rng.uniform(-3, 3))
        beside = {"ruler": rng.choice([ruler_mm, ruler_inch]), "bank_card": id_card}
        if source in beside:
            at = (10, 36) if source == "ruler" else (40, 8)
            scene = (*scene, *moved(beside[source](), by_mm=at, turn_deg=rng.uniform(-2, 2)))
        picture = render_scan(
            scene,
            dpi=dpi,
            page_mm=(width, depth + 80),
            background=_PAPER,
            stretch=rng.choice([(1.0, 1.0), (1.01, 0.99)]),
            seed=rng.randrange(1000),
        )
    keys = {"shape": shape}
    if rng.random() < 0.5:
        keys["scale"] = rng.choice([source, source, "auto"])
    if source == "sheet" and rng.random() < 0.3:
        keys |= {"check": rng.choice([150.0, 149.6]), "thickness": rng.choice([0.0, 1.5])}
    ending = rng.choice([*_FORMATS])
    image = Image.fromarray(picture.image).convert(rng.choice(["L", "RGB"]))
    data = io.BytesIO()
    tag = {"dpi": picture.dpi} if picture.dpi and (source == "tag" or rng.random() < 0.7) else {}
    image.save(data, format=_FORMATS[ending], **tag)
    return data.getvalue(), ending, keys


def _on_the_sheet(rng, drawn):
    """The capture sheet photographed with an outline in its middle."""
    design = SHEETS[rng.choice([*SHEETS])]
    x0, y0, x1, y1 = middle_mm(design)
    scene = (*capture_sheet(design), *moved(drawn, by_mm=((x0 + x1) / 2, (y0 + y1) / 2)))
    return render_photo(
        scene,
        look_at_mm=(105, 145),
        distance_mm=330,
        tilt_deg=rng.uniform(0, 15),
        roll_deg=rng.uniform(-4, 4),
        size_px=(1200, 1600),
        focal_px=1200,
        blur_px=0.8,
        noise=1.5,
        seed=rng.randrange(1000),
    )
