"""Drawings written by the tests, and the way to read them."""

import numpy as np

from cradle.capture.outline_reader import read_outline
from cradle.geometry.ring import extents
from cradle.project.section import DrawingSource, SectionSpec

SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {page}>{body}</svg>'


RECT = '<rect x="10" y="20" width="96" height="48"/>'


def svg(page, body):
    return SVG.format(page=page, body=body)


def read(folder, name, content=None, *, half=False, **source):
    """The outline of a file, which is written first when there is content."""
    if content is not None:
        data = content if isinstance(content, bytes) else content.encode()
        (folder / name).write_bytes(data)
    spec = SectionSpec(name="a", height_mm=1.0, half=half, source=DrawingSource(path=name, **source))
    return read_outline(spec, folder=folder)


def box(outline):
    """Least x, least y, width and depth, mm."""
    x0, y0, x1, y1 = extents(outline.points_mm)
    return [x0, y0, x1 - x0, y1 - y0]


def codes(outline):
    return {finding.code for finding in outline.findings}


def off_circle(outline, centre, radius):
    """Largest distance of the points from a circle, mm."""
    return float(np.abs(np.hypot(*(outline.points_mm - centre).T) - radius).max())
