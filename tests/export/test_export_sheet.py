"""Plan and cuts of the holder, read by programs that nobody here wrote."""

from itertools import combinations
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import scipy.optimize
import shapely
from made_demos import made_demo, sheet_of, views_of

from cradle.drawing.dimension_lines import drawn_dimension, spread
from cradle.drawing.layout import lay_out
from cradle.drawing.view import Axis, Dimension, Placement, Stroke
from cradle.export.dxf import sheet_dxf_bytes
from cradle.export.sheet_svg import sheet_svg_bytes
from cradle.geometry.mesh import bounds_mm

DEMOS = ["ocarina", "nozzle"]


def dimensions(name):
    return {d.name: d for view in views_of(name) for d in view.dimensions}


@pytest.mark.first_daily
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
    plan, front, right, said = sheet_of(name).views
    assert seen(plan)[:, 0].min() == pytest.approx(seen(front)[:, 0].min(), abs=0.1)
    assert seen(front)[:, 1].min() == pytest.approx(seen(right)[:, 1].min(), abs=1e-6)
    boxes = [shapely.box(*view.box()) for view in (plan, front, right, said)]
    for i, j in combinations(range(4), 2):
        assert shapely.area(shapely.intersection(boxes[i], boxes[j])) == 0
    assert min(b.bounds[0] for b in boxes) == pytest.approx(0, abs=1e-9)
    assert min(b.bounds[1] for b in boxes) == pytest.approx(0, abs=1e-9)


@pytest.mark.slow
def test_the_cuts_of_every_thing_in_a_row_lie_clear_of_each_other():
    made, views = made_demo("pair"), sheet_of("pair").views
    assert [view.title for view in views] == [
        "plan, from above",
        "cut A–A, from the front",
        "cut B–B, from the right",
        "cut C–C, from the right",
        "a thing",
    ]
    boxes = [shapely.box(*view.box()) for view in views]
    for i, box in enumerate(boxes):
        for other in boxes[:i]:
            assert shapely.area(shapely.intersection(box, other)) == 0
    assert min(b.bounds[0] for b in boxes) == pytest.approx(0, abs=1e-9)
    assert min(b.bounds[1] for b in boxes) == pytest.approx(0, abs=1e-9)
    drawn = {name: d.length_mm for name, d in dimensions("pair").items()}
    shared = [c for c in made.inspection if c.name in drawn]
    assert {held.label for held in made.things} <= {c.name.rpartition(", ")[2] for c in shared}
    for c in shared:
        assert drawn[c.name] == pytest.approx(c.length_mm, abs=1e-6), c.name


@pytest.mark.parametrize("name", DEMOS)
def test_the_cuts_show_the_holder_s_own_material(name):
    made = made_demo(name)
    size = np.ptp(bounds_mm(made.holder.mesh), axis=0)
    for view, across in zip(sheet_of(name).views[1:3], (0, 1), strict=True):
        every = np.concatenate(view.material)
        (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
        assert y1 - y0 == pytest.approx(size[2], abs=1e-6)
        assert np.ptp(seen(view)[:, 0]) == pytest.approx(size[across], abs=0.1)
        rings = [shapely.linearrings(ring) for ring in view.material]
        area = sum(shapely.Polygon(r).area * (1 if r.is_ccw else -1) for r in rings)
        assert 0.1 * (x1 - x0) * (y1 - y0) < area < 0.9 * (x1 - x0) * (y1 - y0)


@pytest.mark.parametrize("name", DEMOS)
def test_the_dxf_passes_the_library_s_audit_in_millimetres(name, tmp_path):
    data = sheet_dxf_bytes(sheet_of(name))
    assert data == sheet_dxf_bytes(sheet_of(name))
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
    assert {"a thing", "A", "B", "plan, from above"} <= texts
    for stroke in Stroke:
        assert len(space.query(f'LWPOLYLINE[layer=="{stroke.value}"]')) > 0, stroke
    planes = document.layers.get(Stroke.PLANE.value)
    # a chain line, not a continuous one
    assert document.linetypes.get(planes.dxf.linetype).pattern_tags.tags[3:]


@pytest.mark.parametrize("name", DEMOS)
def test_the_svg_is_at_true_size(name):
    data = sheet_svg_bytes(sheet_of(name), title="a <thing> & more")
    assert data == sheet_svg_bytes(sheet_of(name), title="a <thing> & more")
    root = ElementTree.fromstring(data)
    box = [float(v) for v in root.get("viewBox").split()]
    assert root.get("width") == f"{box[2]:.3f}mm"
    assert root.get("height") == f"{box[3]:.3f}mm"
    assert "stroke-dasharray" in data.decode()  # the cutting planes
    titles = {e.text for e in root.iter("{http://www.w3.org/2000/svg}title")}
    assert {"a <thing> & more", "outside width", "floor"} <= titles


@pytest.mark.parametrize("length", [1.0, 30.0])
@pytest.mark.parametrize("axis", list(Axis))
def test_a_dimension_s_arrows_point_at_its_ends(axis, length):
    end = (length, 0.0) if axis is Axis.ACROSS else (0.0, length)
    side = Placement.BELOW if axis is Axis.ACROSS else Placement.LEFT
    drawn = drawn_dimension(
        Dimension(name="d", axis=axis, start_mm=(0.0, 0.0), end_mm=end, placement=side),
        scale=1.0,
        box=(0.0, 0.0, *end),
    )
    k = 0 if axis is Axis.ACROSS else 1
    tips = [arrow[0][k] for arrow in drawn.arrows]
    assert tips == [0.0, length]
    tails = [arrow[1][k] for arrow in drawn.arrows]
    inside = all(0 < t < length for t in tails)
    assert inside == (length > 10)
    assert {label.text for label in drawn.labels} == {f"{length:.2f}"}


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("scale", [5.0, 0.2])
def test_files_are_at_true_size_whatever_they_are_drawn_for(name, scale, tmp_path):
    sheet = lay_out(views_of(name), scale=scale, words=())
    (tmp_path / "sheet.dxf").write_bytes(sheet_dxf_bytes(sheet))
    space = ezdxf.readfile(tmp_path / "sheet.dxf").modelspace()
    for line in space.query(f'LWPOLYLINE[layer=="{Stroke.CUT.value}"]'):
        assert len(line) > 2
    heights = [p[1] for line in space.query(f'LWPOLYLINE[layer=="{Stroke.CUT.value}"]') for p in line]
    size = np.ptp(bounds_mm(made_demo(name).holder.mesh), axis=0)
    assert max(heights) - min(heights) == pytest.approx(size[2], abs=1e-6)
    box = [float(v) for v in ElementTree.fromstring(sheet_svg_bytes(sheet, title="t")).get("viewBox").split()]
    assert scale * box[2] == pytest.approx(sheet.size_mm[0] + 12, abs=0.02)


@pytest.mark.parametrize("seed", range(10))
def test_places_are_spread_as_little_as_can_be(seed):
    rng = np.random.default_rng(seed)
    places = np.sort(rng.uniform(0, 20, 7))
    found = np.array(spread(places.tolist(), least=3.0))
    assert (np.diff(found) >= 3.0 - 1e-9).all()
    # by another library's least squares under the same bounds: x = start + sum of steps, each step 3 or more
    steps = np.tril(np.ones((7, 7)))
    bounds = ([-np.inf] + [3.0] * 6, [np.inf] * 7)
    other = steps @ scipy.optimize.lsq_linear(steps, places, bounds=bounds, tol=1e-14).x
    assert ((found - places) ** 2).sum() == pytest.approx(((other - places) ** 2).sum(), abs=1e-6)
