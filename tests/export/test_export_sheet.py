"""Plan and cuts of the holder, read by programs that nobody here wrote."""

from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import shapely
from made_demos import made_demo, sheet_of

from cradle.drawing.dimension_lines import drawn_dimension
from cradle.drawing.sheet import Axis, Dimension, Stroke
from cradle.export.dxf import sheet_dxf_bytes
from cradle.export.sheet_svg import sheet_svg_bytes
from cradle.geometry.mesh import bounds_mm

DEMOS = ["ocarina", "nozzle"]


def dimensions(name):
    return {d.name: d for view in sheet_of(name).views for d in view.dimensions}


@pytest.mark.parametrize("name", DEMOS)
def test_dimensions_are_the_inspection_dimensions(name):
    drawn = dimensions(name)
    control = made_demo(name).inspection
    shared = [c for c in control if c.name in drawn]
    assert len(shared) >= 7
    for c in shared:
        assert drawn[c.name].length_mm == pytest.approx(c.length_mm, abs=1e-6), c.name


def seen(view):
    """Corners of what is cut and of what is seen behind it, a wall plate for one."""
    return np.concatenate([line.points_mm for line in view.lines if line.stroke in (Stroke.CUT, Stroke.EDGE)])


@pytest.mark.parametrize("name", DEMOS)
def test_the_views_are_in_line_and_do_not_overlap(name):
    plan, front, right = sheet_of(name).views
    drawn = dimensions(name)
    assert drawn["outside width"].start_mm[0] == pytest.approx(seen(front)[:, 0].min(), abs=0.1)
    boxes = [shapely.box(*view.extent_mm()) for view in (plan, front, right)]
    for i, j in ((0, 1), (0, 2), (1, 2)):
        assert shapely.area(shapely.intersection(boxes[i], boxes[j])) == 0
    assert min(b.bounds[0] for b in boxes) == pytest.approx(0, abs=1e-9)
    assert min(b.bounds[1] for b in boxes) == pytest.approx(0, abs=1e-9)


def test_the_cuts_of_every_thing_in_a_row_lie_clear_of_each_other():
    made, views = made_demo("pair"), sheet_of("pair").views
    assert [view.title for view in views] == [
        "plan, from above",
        "cut A–A, from the front",
        "cut B–B, from the right",
        "cut C–C, from the front",
        "cut D–D, from the right",
    ]
    boxes = [shapely.box(*view.extent_mm()) for view in views]
    for i, box in enumerate(boxes):
        for other in boxes[:i]:
            assert shapely.area(shapely.intersection(box, other)) == 0
    assert min(b.bounds[0] for b in boxes) == pytest.approx(0, abs=1e-9)
    assert min(b.bounds[1] for b in boxes) == pytest.approx(0, abs=1e-9)
    drawn = {d.name: d.length_mm for view in views for d in view.dimensions}
    shared = [c for c in made.inspection if c.name in drawn]
    assert {held.label for held in made.things} <= {c.name.rpartition(", ")[2] for c in shared}
    for c in shared:
        assert drawn[c.name] == pytest.approx(c.length_mm, abs=1e-6), c.name


@pytest.mark.parametrize("name", DEMOS)
def test_the_cuts_show_the_holder_s_own_material(name):
    made = made_demo(name)
    size = np.ptp(bounds_mm(made.holder.mesh), axis=0)
    for view, across in zip(sheet_of(name).views[1:], (0, 1), strict=True):
        every = np.concatenate(view.material)
        (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
        assert y1 - y0 == pytest.approx(size[2], abs=1e-6)
        assert np.ptp(seen(view)[:, 0]) == pytest.approx(size[across], abs=0.1)
        rings = [shapely.linearrings(ring) for ring in view.material]
        area = sum(shapely.Polygon(r).area * (1 if r.is_ccw else -1) for r in rings)
        assert 0.1 * (x1 - x0) * (y1 - y0) < area < 0.9 * (x1 - x0) * (y1 - y0)


@pytest.mark.parametrize("name", DEMOS)
def test_the_dxf_passes_the_library_s_audit_in_millimetres(name, tmp_path):
    data = sheet_dxf_bytes(sheet_of(name), words=["thing", "0.35 mm"])
    assert data == sheet_dxf_bytes(sheet_of(name), words=["thing", "0.35 mm"])
    (tmp_path / "sheet.dxf").write_bytes(data)
    document = ezdxf.readfile(tmp_path / "sheet.dxf")
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.header["$INSUNITS"] == 4  # DXF reference: 4 = millimetres
    space = document.modelspace()
    texts = {e.dxf.text for e in space.query("TEXT")}
    for d in dimensions(name).values():
        assert f"{d.length_mm:.2f}" in texts
    for stroke in Stroke:
        assert len(space.query(f'LWPOLYLINE[layer=="{stroke.value}"]')) > 0, stroke


@pytest.mark.parametrize("name", DEMOS)
def test_the_svg_is_at_true_size(name):
    data = sheet_svg_bytes(sheet_of(name), title="a <thing> & more", words=["thing"])
    assert data == sheet_svg_bytes(sheet_of(name), title="a <thing> & more", words=["thing"])
    root = ElementTree.fromstring(data)
    box = [float(v) for v in root.get("viewBox").split()]
    assert root.get("width") == f"{box[2]:.3f}mm"
    assert root.get("height") == f"{box[3]:.3f}mm"
    titles = {e.text for e in root.iter("{http://www.w3.org/2000/svg}title")}
    assert {"a <thing> & more", "outside width", "floor"} <= titles


@pytest.mark.parametrize("length", [1.0, 30.0])
@pytest.mark.parametrize("axis", list(Axis))
def test_a_dimension_s_arrows_point_at_its_ends(axis, length):
    end = (length, 0.0) if axis is Axis.ACROSS else (0.0, length)
    drawn = drawn_dimension(Dimension(name="d", axis=axis, start_mm=(0.0, 0.0), end_mm=end, at_mm=-8.0))
    k = 0 if axis is Axis.ACROSS else 1
    tips = [arrow[0][k] for arrow in drawn.arrows]
    assert tips == [0.0, length]
    tails = [arrow[1][k] for arrow in drawn.arrows]
    inside = all(0 < t < length for t in tails)
    assert inside == (length > 10)
    assert drawn.text == f"{length:.2f}"
