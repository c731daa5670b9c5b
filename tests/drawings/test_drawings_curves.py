"""Curves of a drawing joined end to end: the same outline whatever it was cut into."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from cradle.drawings.curves import Curve, Drawing, Ends, picked
from cradle.drawings.joining import joined_curves
from cradle.errors import CaptureError, OutlineError
from cradle.geometry.ring import signed_area

T = np.linspace(0, 2 * math.pi, 61)
OVAL = np.column_stack([30 * np.cos(T), 20 * np.sin(T)])[:-1]


def cut(pieces):
    """The oval in so many open curves, every second one backwards."""
    bounds = np.linspace(0, len(OVAL), pieces + 1).astype(int)
    curves = []
    for k, (a, b) in enumerate(itertools.pairwise(bounds)):
        points = OVAL[np.arange(a, b + 1) % len(OVAL)]
        curves.append(Curve(points_mm=points[:: -1 if k % 2 else 1], ends=Ends.OPEN, name=f"piece {k}"))
    return curves


@pytest.mark.parametrize("pieces", [2, 3, 4, 7, 12])
def test_pieces_that_touch_make_the_outline_in_any_order(pieces):
    for order in (slice(None), slice(None, None, -1)):
        curves, findings = joined_curves(cut(pieces)[order], where="x.svg")
        assert [c.ends for c in curves] == [Ends.CLOSED]
        assert not findings
        assert len(curves[0].points_mm) == len(OVAL)
        assert abs(signed_area(curves[0].points_mm)) == pytest.approx(signed_area(OVAL))


@pytest.mark.parametrize("others", [3, 300])
def test_all_that_meet_at_a_point_are_named_of_few_pieces_and_of_many(others):
    rays = [
        Curve(points_mm=np.array([[7.0, 0.0], [9.0 + i, 5.0 * i]]), ends=Ends.OPEN, name=f"ray {i}")
        for i in range(3)
    ]
    apart = [
        Curve(points_mm=np.array([[-10.0 * i, 0.0], [-10.0 * i, 5.0]]), ends=Ends.OPEN, name="apart")
        for i in range(others)
    ]
    with pytest.raises(OutlineError, match=r"meet at \(7\.00, 0\.00\): ray 0, ray 1.* ray 2"):
        joined_curves([*apart, *rays], where="x.svg")


def test_a_layer_is_picked_by_name_and_the_names_there_are_told():
    held = Drawing(
        curves=tuple(
            Curve(points_mm=OVAL, ends=Ends.CLOSED, name=name, groups=(name,)) for name in ("cut", "notes")
        ),
        ignored=("2 texts",),
    )
    assert [c.name for c in picked(held, layer="cut", where="x.svg")] == ["cut"]
    assert len(picked(held, layer=None, where="x.svg")) == 2
    assert [c.name for c in picked(held, layer="Cut", where="x.svg")] == ["cut"]
    with pytest.raises(CaptureError, match=r'on "Cuts" \(the drawing also holds 2 texts\).*"cut", "notes"'):
        picked(held, layer="Cuts", where="x.svg")
    both = replace(held, curves=(*held.curves, replace(held.curves[0], name="CUT", groups=("CUT",))))
    assert [c.name for c in picked(both, layer="CUT", where="x.svg")] == ["CUT"]
    with pytest.raises(CaptureError, match='on "Cut"'):  # which of the two is not known
        picked(both, layer="Cut", where="x.svg")
    with pytest.raises(CaptureError, match="no curve in the drawing"):
        picked(Drawing(curves=()), layer=None, where="x.svg")
