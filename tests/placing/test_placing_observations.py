"""Every reading's slopes against its own differences: what the least squares believe of how readings answer to the unknowns."""

import numpy as np
import pytest
from section_shapes import outline, pear, placed, spec
from stacked import ellipse

from cradle.geometry.arrays import frozen
from cradle.geometry.ring import turned
from cradle.placing import place
from cradle.project.section import Align, DrawingSource
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec
from cradle.sections.laid import Lying
from cradle.sections.observations import Unknowns, sum_of
from cradle.sections.posterior import PARAMETERS, ReadingKind
from cradle.sections.profiles import Profiles
from cradle.views.silhouette import Silhouette

STEP = 1e-6
HEIGHTS = (5.0, 20.0, 35.0)


@pytest.fixture
def asked(monkeypatch):
    """What the estimate is asked with."""
    asked = {}

    def keep(laid, **more):
        asked.update(laid=laid, observations=more["evidence"].observations)
        return estimate(laid, **more)

    estimate = place.estimate
    monkeypatch.setattr(place, "estimate", keep)
    return asked


def side(places):
    return frozen(np.column_stack([HEIGHTS, places]))


FRONT_VIEW = Silhouette(
    spec=ViewSpec(
        seen_from=Side.FRONT, source=DrawingSource(path="invented.csv"), scale=ViewScale.FREE, bottom_mm=1.0
    ),
    points_mm=frozen([[-30.0, 1], [31, 1], [33, 20], [30, 40], [-29, 40], [-34, 20]]),
)


def pear_stack(align, *, views=()):
    rings = [turned(pear() * f, angle_deg=2.0) + [3.0, -1.0] for f in (1.0, 1.1)] + [ellipse(30.0, 22.0)]
    specs = [
        spec("low", HEIGHTS[0], width_mm=61.5, depth_mm=47.0, girth_mm=176.0),
        spec("middle", HEIGHTS[1], width_mm=67.0),
        spec("top", HEIGHTS[2], depth_mm=44.0, turn_deg=1.0, shift_mm=(0.5, 1.0)),
    ]
    profiles = Profiles(
        front=side([-23.0, -25.5, -21.0]), back=side([24.0, 26.0, 23.0]),
        **({} if views else {"left": side([-31.0, -34.0, -30.0]), "right": side([31.0, 33.0, 30.5])}),
    )  # fmt: skip
    return placed([outline(r) for r in rings], specs=specs, align=align, profiles=profiles, views=views)


@pytest.mark.slow
@pytest.mark.parametrize("views", [(), (FRONT_VIEW,)])
@pytest.mark.parametrize("align", [Align.AUTO, Align.PROFILES, Align.MIRROR, Align.MATCH])
def test_slopes_are_those_of_small_differences(asked, align, views):
    pear_stack(align, views=views)
    laid, observations = asked["laid"], asked["observations"]
    unknowns = Unknowns(sections=len(laid))
    count = unknowns.count
    values = np.zeros(count)
    unknowns.placings(values)[:] = [
        [0.4, -0.3, 0.02, 1.01, 0.99],
        [0.1, 0.2, -0.03, 0.98, 1.0],
        [0.5, 1.0, 0.02, 1.0, 1.02],
    ]
    values[PARAMETERS * len(laid) :] = np.linspace(-0.02, 0.03, count - PARAMETERS * len(laid))

    def left(at):
        lying = [
            Lying(laid=one, values=own, over_mm=np.zeros(4))
            for one, own in zip(laid, unknowns.placings(at), strict=True)
        ]
        return [observation.evaluate(lying, at) for observation in observations]

    slopes = np.zeros((len(observations), count))
    for row, (_, terms) in enumerate(left(values)):
        for unknown, slope in terms:
            slopes[row, unknown] += slope
    for unknown in range(count):
        more, less = np.array(values), np.array(values)
        more[unknown] += STEP
        less[unknown] -= STEP
        model = [-(a - b) / (2 * STEP) for (a, _), (b, _) in zip(left(more), left(less), strict=True)]
        assert slopes[:, unknown] == pytest.approx(model, abs=2e-5), unknown
    kinds = {o.kind for o in observations}
    if align is Align.AUTO:
        assert {ReadingKind.WIDTH, ReadingKind.DEPTH, ReadingKind.FRONT, ReadingKind.SCALE} <= kinds
        assert len(observations) > 30


def test_no_unknown_stands_where_another_does():
    unknowns = Unknowns(sections=4)
    places = [*range(PARAMETERS * 4), *map(unknowns.height, range(4)), unknowns.calipers]
    places += [*unknowns.plane(0), *unknowns.plane(1), unknowns.lean(0), unknowns.lean(1)]
    places += [unknowns.tilt(0), unknowns.tilt(1)]
    assert sorted(places) == list(range(unknowns.count))
    assert Unknowns.sections_of(unknowns.count) == 4


def test_an_unknown_read_directly_leaves_what_it_is_off():
    evaluate = sum_of([(3, 1.0)], value=1.0)
    assert evaluate([], np.array([0.0, 0.0, 0.0, 1.5])) == (-0.5, [(3, 1.0)])
