"""Draw a project's holder, the thing lifted a little way out of it.

python examples/render_holder.py demo_data/ocarina/holder.toml demo_data/ocarina.png
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import zbuffer
from PIL import Image

from cradle.geometry.mesh import corners, moved
from cradle.pipeline import make
from cradle.project.reader import read_project
from cradle.result.made_holder import MadeHolder

HOLDER_COLOUR = np.array([0.34, 0.52, 0.56])
THING_COLOUR = np.array([0.86, 0.62, 0.42])


def main(project_file: Path, picture_file: Path, *, lifted_mm: float = 40.0, turn_deg: float = 32.0) -> None:
    made = make(read_project(project_file))
    image = zbuffer.picture(
        scene(made, lifted_mm=lifted_mm),
        view=zbuffer.looking(turn_deg=turn_deg, down_deg=32.0),
        width=900,
        height=760,
    )
    Image.fromarray((255 * image).round().astype(np.uint8)).save(picture_file, optimize=True)


def scene(made: MadeHolder, *, lifted_mm: float) -> list[zbuffer.Part]:
    """The holder, and every body on its way out."""
    parts = [zbuffer.Part(corners=corners(made.holder.mesh), colour=HOLDER_COLOUR)]
    for held in made.things:
        for pocket, place in zip(held.pockets, held.places(made.holder), strict=True):
            lifted = np.array(place)
            lifted[:3, 3] += lifted_mm * pocket.direction
            parts.append(
                zbuffer.Part(corners=corners(moved(held.model.body.mesh, lifted)), colour=THING_COLOUR)
            )
    return parts


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
