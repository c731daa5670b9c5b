"""What is impossible is refused with what was found, what is allowed and what to do."""

import ast
from pathlib import Path

import numpy as np
import pytest
from pockets import TILE, opening, pocket_of
from stacked import rectangle
from test_architecture import MODULES

from cradle import errors
from cradle.errors import GeometryError, HolderError, SolidError
from cradle.geometry.mesh import TriMesh
from cradle.geometry.rounding import single_precision
from cradle.geometry.solid import common as common_part
from cradle.geometry.solid import extruded, moved
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec
from cradle.project.opening import Through

IMPOSSIBLE = {
    name for name, kind in vars(errors).items() if isinstance(kind, type) and issubclass(kind, GeometryError)
}
RAISED = [
    pytest.param(call, id=f"{Path(module).stem}-{call.lineno}")
    for module in MODULES
    for call in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
    if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in IMPOSSIBLE
]


def notch(x):
    return opening("notch", Through.FRONT, at_mm=(x, 12), width_mm=5)


REFUSED = [
    ([], {"chamfer_mm": 20.0, "wall_mm": 30.0}, "each must be less than 18.25 mm"),
    ([opening("feet", diameter_mm=30, depth_mm=1)], {}, "2 mm must be left to its edge"),
    ([opening("keyhole", Through.BACK, screw="M4", depth_mm=1.0)], {}, "5.6 mm is needed"),
    (
        [opening("keyhole", Through.BACK, diameter_mm=5.0, head_mm=6.5)],
        {},
        "1 mm or more is needed",
    ),
    ([opening("keyhole", Through.BACK, screw="M3")], {"flare_mm": 6.0}, "up to 0.3 mm is allowed"),
    (
        [opening("label", Through.FRONT, text="much too long a text", height_mm=10)],
        {},
        "wall, 59 mm wide and 36 mm high",
    ),
    ([opening("label", Through.FRONT, text="EGG", height_mm=6, depth_mm=45)], {}, "less than 21.5 mm"),
    ([opening("screw", Through.FRONT, screw="M4", at_mm=(40, 15))], {}, "between -20.5 and 20.5 mm along it"),
    ([opening("round", Through.LEFT, at_mm=(0, 90), diameter_mm=5)], {}, "between -0.5 and 30.0 mm up"),
    (
        [notch(-4), notch(4), opening("slot", Through.FRONT, at_mm=(0, 15), width_mm=5, length_mm=14)],
        {},
        "it must stay one",
    ),
]


@pytest.fixture(scope="module")
def tile():
    return pocket_of(TILE)


@pytest.mark.parametrize(("openings", "block", "allowed"), REFUSED)
def test_an_impossible_holder_is_refused_with_what_is_allowed_and_what_to_do(tile, openings, block, allowed):
    spec = BlockSpec(**{"wall_mm": 9.0, "floor_mm": 6.0} | block)
    with pytest.raises(HolderError) as refused:
        make_holder([tile], block=spec, openings=openings, under=np.zeros((1, 2)))
    assert allowed in refused.value.found
    assert refused.value.where
    assert refused.value.hint


def test_a_mesh_that_no_file_can_hold_and_a_solid_that_is_none_are_refused_with_what_is_allowed():
    far = TriMesh.of(np.array([[1e39, 0, 0], [0, 1, 0], [0, 0, 1.0]]), np.array([[0, 1, 2]]))
    with pytest.raises(SolidError, match=r"up to 3.4e\+38 mm is allowed.*; check"):
        single_precision(far)
    plate = extruded(rectangle(4, 4), low_mm=0, high_mm=1)
    with pytest.raises(SolidError, match=r"its volume must be above 0; check"):
        common_part(plate, moved(plate, (0, 0, 5)))


@pytest.mark.parametrize("call", RAISED)
def test_whatever_is_impossible_says_what_to_do(call):
    assert "hint" in {given.arg for given in call.keywords}
