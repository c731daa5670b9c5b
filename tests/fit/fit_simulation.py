"""Imagined things, tracers and printers, and whether the thing really goes in.

Nothing here uses the program's own influences, draws or seats: outlines are
perturbed point by point, distances are measured by shapely, and the seat is
found by scipy's linear programs on those distances.
"""

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import shapely
from scipy.optimize import linprog
from stacked import UP, stacked

from cradle.fit.model import fit_model
from cradle.geometry.arrays import frozen
from cradle.loft.body import Body
from cradle.matching.ring_stack import RingStack
from cradle.placing.place import Placed
from cradle.project.block import BlockSpec
from cradle.project.fit import FitSpec, SpreadSpec
from cradle.project.printer import PrinterSpec
from cradle.project.project import Project
from cradle.project.section import DrawingSource, SectionSpec
from cradle.sections.posterior import Posterior, Reading, ReadingKind
from cradle.sections.profiles import Profiles
from cradle.sections.section import PlacedBy, Section

POINTS = 160
ANGLE = np.arange(POINTS) * 2 * np.pi / POINTS


def egg(share):
    """Lopsided and leaning, wider above; ``share`` from 0 at the foot to 1 at the top."""
    around = 22 + 2.0 * np.cos(3 * ANGLE + 0.3) + 1.5 * np.cos(2 * ANGLE)
    size = 1 + 0.35 * np.sin(1.2 * share)
    return np.column_stack([1.25 * size * around * np.cos(ANGLE), size * around * np.sin(ANGLE) + 4 * share])


def block(share):
    """Nearly square with round corners, hardly wider above."""
    around = 18 / (np.abs(np.cos(ANGLE)) ** 5 + np.abs(np.sin(ANGLE)) ** 5) ** 0.2
    size = 1 + 0.06 * share
    return np.column_stack([1.4 * size * around * np.cos(ANGLE), size * around * np.sin(ANGLE)])


def cup(share):
    """Round: turning does not help it."""
    size = 1 + 0.2 * share
    return np.column_stack([28 * size * np.cos(ANGLE), 28 * size * np.sin(ANGLE)])


SHAPES = {"egg": egg, "block": block, "cup": cup}
HEIGHTS = np.array([2.0, 14.0, 26.0, 38.0])
TOP = 36.0
SPREAD = SpreadSpec(
    trace_mm=0.12,
    scale_percent=0.25,
    calipers_mm=0.04,
    step_mm=0.01,
    heights_mm=0.3,
    placing_mm=0.12,
    between_mm=0.12,
    inside_mm=0.06,
    repeat_mm=0.03,
)
TRACE_LENGTH_MM = 12.0


@dataclass(frozen=True)
class Case:
    """What was measured of one imagined thing, and how tight it really is."""

    project: Project
    sections: tuple[Section, ...]
    stack: RingStack
    posterior: Posterior
    body: Body
    thing: list[tuple[float, np.ndarray]]
    printed_mm: float

    def model(self):
        return fit_model(
            self.body,
            placed=Placed(sections=self.sections, posterior=self.posterior, profiles=Profiles(), findings=()),
            stack=self.stack,
            project=self.project,
            direction=UP,
        )


def along_way(ring):
    step = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)
    return np.concatenate([[0.0], np.cumsum(step)[:-1]]), step.sum()


@cache
def noise_root(shape, k, share):
    """Root of the covariance exp(−d²/2l²) over the distance d along a section, l given as share of the way."""
    at, total = along_way(SHAPES[shape](HEIGHTS[k] / 40))
    length = TRACE_LENGTH_MM if share is None else total * share
    apart = np.abs(at[:, None] - at)
    apart = np.minimum(apart, total - apart)
    values, vectors = np.linalg.eigh(np.exp(-0.5 * (apart / length) ** 2))
    root = vectors * np.sqrt(np.clip(values, 0, None))
    return root / np.sqrt((root**2).sum(axis=1))[:, None]


def smooth_noise(rng, shape, k, *, share=None):
    """Gaussian noise of unit variance along section k."""
    return noise_root(shape, k, share) @ rng.standard_normal(POINTS)


def outward(ring):
    along = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    return np.column_stack([along[:, 1], -along[:, 0]])


def bowed(rng, shape, k):
    """How far the thing leaves the loft around a gap, in standard deviations: partly alike all around, partly rough."""
    long, short = smooth_noise(rng, shape, k, share=1 / 8), smooth_noise(rng, shape, k, share=1 / 60)
    return np.sqrt(0.2) * rng.standard_normal() + np.sqrt(0.3) * long + np.sqrt(0.5) * short


def placing_readings(k, placed, *, lever, calipered):
    """What places section k, and the change of its five numbers for 1 of each: ``(Reading, (5,))`` each."""
    spread = SPREAD
    none = frozen(np.zeros((0, 2)))

    def one(kind, index, own, ends=none, *, change=1.0):
        gain = np.zeros(5)
        gain[index] = change
        return Reading(kind=kind, section=k, spread=own, own=own, ends_mm=ends), gain

    found = [
        one(ReadingKind.SHIFT_X, 0, spread.placing_mm),
        one(ReadingKind.SHIFT_Y, 1, spread.placing_mm),
        one(ReadingKind.TURN, 2, spread.placing_mm / lever),
    ]
    for axis, (size, scale) in enumerate(
        ((ReadingKind.WIDTH, ReadingKind.SCALE), (ReadingKind.DEPTH, ReadingKind.SCALE_APART))
    ):
        if calipered:
            ends = frozen([placed[placed[:, axis].argmin()], placed[placed[:, axis].argmax()]])
            own = math.hypot(spread.calipers_mm, spread.step_mm / math.sqrt(12))
            found.append(one(size, 3 + axis, own, ends, change=1 / float(np.ptp(placed[:, axis]))))
        else:
            found.append(one(scale, 3 + axis, spread.scale_percent / 100))
    return found


def posterior_of(found, *, count):
    gain = np.zeros((5 * count, len(found)))
    for m, (reading, change) in enumerate(found):
        gain[5 * reading.section : 5 * reading.section + 5, m] = change
    spreads = np.array([reading.spread for reading, _ in found])
    return Posterior(
        estimate=frozen(np.tile([0.0, 0.0, 0.0, 1.0, 1.0], (count, 1))),
        covariance=frozen((gain * spreads**2) @ gain.T),
        readings=tuple(reading for reading, _ in found),
        gain=frozen(gain),
    )


def simulated(rng, shape, *, calipers):
    """One thing, its tracer and its printer. ``calipers``: how many sections have width and depth read."""
    spread = SPREAD
    true = np.array([SHAPES[shape](h / 40) for h in HEIGHTS])
    bow = [
        [bowed(rng, shape, k)[:, None] * outward(ring) for _ in range(2)] for k, ring in enumerate(true[:-1])
    ]

    def thing_at(z):
        k = int(np.clip(np.searchsorted(HEIGHTS, z, side="right") - 1, 0, len(HEIGHTS) - 2))
        part = (z - HEIGHTS[k]) / (HEIGHTS[k + 1] - HEIGHTS[k])
        one, two = bow[k]
        shape_up = spread.between_mm * max(4 * part * (1 - part), 0.0) ** 0.75
        moved = np.sqrt(0.8) * one + np.sqrt(0.2) * (1 - 2 * part) * two
        return true[k] * (1 - part) + true[k + 1] * part + shape_up * moved

    own = 0.02 * rng.uniform(-1, 1)  # the calipers' own error; DIN 862 as quoted second hand
    sections, readings = [], []
    for k, z in enumerate(HEIGHTS):
        ring = thing_at(z + spread.heights_mm * rng.standard_normal())
        noise = smooth_noise(rng, shape, k)
        scale = 1 + spread.scale_percent / 100 * rng.standard_normal(2)
        traced = scale * (ring + spread.trace_mm * noise[:, None] * outward(ring))
        width = depth = None
        if k < calipers:
            size = np.ptp(ring, axis=0)
            step = spread.step_mm
            read = size + own + spread.calipers_mm * rng.standard_normal(2)
            width, depth = (float(v) for v in np.round(read / step) * step)
        drawn = np.ptp(traced, axis=0)
        factor = np.ones(2) if width is None else np.array([width, depth]) / drawn
        ring = factor * (traced - traced.mean(axis=0)) + traced.mean(axis=0)
        middle = ring.mean(axis=0)
        turn = spread.placing_mm * rng.standard_normal() / np.linalg.norm(ring - middle, axis=1).mean()
        lever = np.linalg.norm(ring - middle, axis=1).mean()
        c, s = math.cos(turn), math.sin(turn)
        placed = (ring - middle) @ np.array([[c, s], [-s, c]]) + middle
        placed = placed + spread.placing_mm * rng.standard_normal(2)
        spec = SectionSpec(
            name=f"s{k}",
            height_mm=float(z),
            source=DrawingSource(path=f"s{k}.svg"),
            width_mm=width,
            depth_mm=depth,
        )
        section = Section(
            name=spec.name,
            height_mm=spec.height_mm,
            points_mm=frozen(placed),
            traced_mm=(float(drawn[0]), float(drawn[1])),
            caliper_mm=(width, depth),
            scale=(float(factor[0]), float(factor[1])),
            placed_by=PlacedBy.GIVEN,
        )
        sections.append((spec, section))
        readings += placing_readings(k, placed, lever=lever, calipered=width is not None)
    rings = np.array([section.points_mm for _, section in sections])
    layers = np.concatenate([[0.0], HEIGHTS, [44.0]])
    skin = np.array([rings[0], *rings, rings[-1] + (rings[-1] - rings[-2]) / 12 * 6])
    project = Project(
        file=Path("imagined/holder.toml"),
        sections=tuple(spec for spec, _ in sections),
        block=BlockSpec(height_mm=TOP),
        printer=PrinterSpec(inside_error_mm=0.08),
        spread=spread,
        fit=FitSpec(between_mm=0.0),
    )
    printed = 0.08 + spread.inside_mm * rng.standard_normal() + spread.repeat_mm * rng.standard_normal()
    heights = np.linspace(HEIGHTS[0], TOP - 0.5, 10)
    return Case(
        project=project,
        sections=tuple(section for _, section in sections),
        stack=RingStack(
            heights_mm=frozen(HEIGHTS), rings_mm=frozen(rings), names=tuple(s.name for _, s in sections)
        ),
        posterior=posterior_of(readings, count=len(HEIGHTS)),
        body=Body(
            mesh=stacked(layers, list(skin)),
            heights_mm=frozen(layers),
            rings_mm=frozen(skin),
            section_error_mm=0.0,
            extended_mm=(2.0, 6.0),
        ),
        thing=[(float(z), thing_at(z)[::2]) for z in heights],
        printed_mm=printed - 0.08,
    )


def needed_mm(case, *, clearance_at=None):
    """The least clearance (beyond ``clearance_at``) with which the thing finds a seat, mm."""
    skin, layers = case.body.rings_mm, case.body.heights_mm
    steps = np.array([-0.2, -0.1, 0.0, 0.1, 0.2])

    def measured_at(z):
        k = int(np.clip(np.searchsorted(layers, z, side="right") - 1, 0, len(layers) - 2))
        part = (z - layers[k]) / (layers[k + 1] - layers[k])
        return skin[k] * (1 - part) + skin[k + 1] * part

    levels = [[shapely.polygons(measured_at(max(z + d, 0.0))) for d in steps] for z, _ in case.thing]
    edges = [[shapely.boundary(area) for area in row] for row in levels]
    for row in (*levels, *edges):
        for item in row:
            shapely.prepare(item)
    middle = np.concatenate([ring for _, ring in case.thing]).mean(axis=0)
    give = np.array([0.0 if clearance_at is None else clearance_at(z) for z, _ in case.thing])
    move, best = np.zeros(3), np.inf
    for _ in range(4):
        values, slopes = [], []
        for (row, rim), (_, ring), extra in zip(
            zip(levels, edges, strict=True), case.thing, give, strict=True
        ):
            r = ring - middle
            c, s = math.cos(move[2]), math.sin(move[2])
            points = r @ np.array([[c, s], [-s, c]]) + middle + move[:2]
            xy = shapely.points(points)
            within = shapely.contains_xy(row[2], points[:, 0], points[:, 1])
            flat = np.array([shapely.distance(edge, xy) for edge in rim])
            out = np.array([shapely.distance(area, xy) for area in row])
            away = np.where(
                within,
                -np.hypot(flat, steps[:, None]).min(axis=0),
                np.hypot(out, steps[:, None]).min(axis=0),
            )
            near = shapely.get_coordinates(
                shapely.line_interpolate_point(rim[2], shapely.line_locate_point(rim[2], xy))
            )
            direction = np.where(within[:, None], near - points, points - near)
            length = np.linalg.norm(direction, axis=1, keepdims=True)
            direction = np.where(length > 1e-9, direction / np.maximum(length, 1e-12), outward(points))
            lever = points - middle - move[:2]
            turn = lever[:, 0] * direction[:, 1] - lever[:, 1] * direction[:, 0]
            values.append(away - extra)
            slopes.append(np.column_stack([direction, turn]))
        value, slope = np.concatenate(values), np.concatenate(slopes)
        best = min(best, float(value.max()))
        worst = np.argsort(-value)[:250]
        answer = linprog(
            [0, 0, 0, 1],
            A_ub=np.column_stack([slope[worst], -np.ones(len(worst))]),
            b_ub=-value[worst],
            bounds=[(-1, 1), (-1, 1), (-0.02, 0.02), (None, None)],
        )
        assert answer.success
        if value.max() - answer.x[3] < 1e-3:
            break
        move = move + answer.x[:3]
    return best + case.printed_mm
