"""Project folders of things whose columns cross between unlike sections and that are wide below: hard to lift out."""

import random

import numpy as np
import wild_outlines
from wild_folders import project_files
from wild_things import Draw, Thing

from cradle.geometry.ring import resample


def crossing_folder(seed):
    """Contents by file name; ``holder.toml`` is the project."""
    rng = random.Random(f"crossing {seed}")
    draw = Draw(rng, rng.choice([0.0, 0.0, 0.0, 0.01, 0.03]))
    files = {}
    thing = UnlikeThing(draw, files)
    return project_files(draw, files, thing, fit=_fit)


def _fit(draw):
    """The way out is looked for, or slants; the clearance is usual."""
    tilt = [draw.number(-0.4, 0.4) for _ in range(2)]
    clearance = draw.number(0.2, 0.8, least=0.0, most=10.0)
    return {
        "clearance": draw.rng.choice(["auto", clearance, clearance]),
        "lift_out": draw.rng.choice(["auto", "auto", "auto", [0, 0, 1], [*tilt, 1]]),
        "between": draw.rng.choice(["auto", 0.0, draw.number(0.1, 0.6)]),
    }


class UnlikeThing(Thing):
    """A thing with another outline in each section, turned against one another, and waists and bulges by height."""

    SOURCES = ("drawing", "drawing", "drawing", "drawing", "drawing", "measured", "half", "picture")

    def __init__(self, draw, files, *, prefix=""):
        super().__init__(draw, files, prefix=prefix)
        rng = draw.rng
        self.kinds = rng.choice([wild_outlines.UNLIKE, wild_outlines.UNLIKE, wild_outlines.THIN])
        self.points = rng.choice([None, None, 8, 24, 200, 1000])
        self.turns = [rng.choice([0.0, rng.uniform(0, 360), 180.0]) for _ in self.heights]
        self.swells = [_swell(rng, k / (len(self.heights) - 1)) for k in range(len(self.heights))]
        self.lean = [rng.choice([0.0, rng.uniform(-0.6, 0.6)]) for _ in range(2)]

    def ring(self, k):
        """The outline of section k, another than those below and above, and where its middle lies."""
        turn = np.radians(self.turns[k])
        shape = wild_outlines.outline(self.draw.rng, self.kinds)
        if self.points is not None:
            shape = resample(shape, count=self.points)
        ring = (
            self.size * self.swells[k] * shape @ [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
        )
        middle = np.array(self.lean) * (self.heights[k] - self.heights[0])
        return ring - (ring.max(axis=0) + ring.min(axis=0)) / 2, middle


def _swell(rng, part):
    """How much larger a section is this far up, 0 to 1: mostly wide below, so that what is above is in its way."""
    wide = rng.choice([1.0, 1.0, 1.5, 2.5])
    return max(wide + (0.6 - wide) * part + rng.uniform(-0.15, 0.15), 0.2)
