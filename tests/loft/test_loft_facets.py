"""Facets of a skin: counted beside those that are made, and refused where they are too many."""

import numpy as np
import pytest
from bodies import ellipse, rectangle

from cradle.errors import LoftError
from cradle.geometry.arrays import frozen
from cradle.loft import facets
from cradle.loft.facets import check_facets, facet_counts
from cradle.loft.loft import loft
from cradle.loft.pieces import Piece
from cradle.loft.seams import body_mesh
from cradle.matching.ring_stack import RingStack
from cradle.project.section import Between, LoftSpec
from cradle.sections.profiles import Profiles

CAN = Piece(np.array([0.0, 10.0, 30.0]), np.array([ellipse(20, 15, points=60)] * 3))
TOWER = Piece(np.array([30.0, 31.0]), np.array([rectangle(60, 40), rectangle(50, 45)]))
TWISTED = Piece(
    np.array([0.0, 20.0]), np.array([rectangle(60, 20), rectangle(60, 20) @ [[0.8, 0.6], [-0.6, 0.8]]])
)


def stack_of(*heights):
    rings = frozen([ellipse(20, 15, points=60)] * len(heights))
    return RingStack(
        heights_mm=frozen(heights), rings_mm=rings, names=tuple(f"at {height:g}" for height in heights)
    )


@pytest.mark.parametrize("piece", [CAN, TWISTED])
def test_those_of_one_piece_are_as_many_as_are_made_but_for_the_caps(piece):
    _, counts = facet_counts([[piece]], twist_mm=0.03)
    caps = 2 * (piece.rings_mm.shape[1] - 2)
    assert counts.sum() + caps == len(body_mesh([[piece]], twist_mm=0.03).faces)


def test_too_many_are_refused_where_most_of_them_are(monkeypatch):
    monkeypatch.setattr(facets, "MOST_FACETS", 200)
    check_facets([[TWISTED]], stack_of(0.0, 20.0), twist_mm=0.03)
    with pytest.raises(LoftError) as told:
        check_facets([[CAN], [TOWER]], stack_of(0.0, 10.0, 30.0, 40.0), twist_mm=0.03)
    assert 'between sections "at 0" and "at 10": the surface would have' in str(told.value)
    assert "120 of them here, up to 200 allowed" in str(told.value)


def test_a_loft_is_refused_before_its_skin_is_made(monkeypatch):
    monkeypatch.setattr(facets, "MOST_FACETS", 200)
    rings = frozen([ellipse(20, 15, points=60), ellipse(25, 15, points=60), ellipse(22, 18, points=60)])
    stack = RingStack(heights_mm=frozen([0, 10, 20]), rings_mm=rings, names=("foot", "waist", "neck"))
    spec = LoftSpec(between=Between.STRAIGHT)
    with pytest.raises(LoftError, match=r"facets, \d+ of them here, up to 200 allowed; trace outlines"):
        loft(stack, spec=spec, profiles=Profiles(), low_mm=0, high_mm=20)
    monkeypatch.setattr(facets, "MOST_FACETS", 2000)
    assert len(loft(stack, spec=spec, profiles=Profiles(), low_mm=0, high_mm=20).mesh.faces) < 2000
