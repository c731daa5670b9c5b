import io
import re
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
from ezdxf import recover
from holder_shapes import RINGS
from svgelements import SVG
from svgelements import Path as SvgPath

from cradle.export.dxf import sections_dxf_bytes
from cradle.export.named_ring import NamedRing, layer_names
from cradle.export.svg import sections_svg_bytes


def test_layers_are_named_in_words_and_no_two_are_alike():
    ring = RINGS[0].points_mm
    rings = [
        NamedRing(name=n, height_mm=h, points_mm=ring) for n, h in [("low", 4.0), ("Low", 4.0), ("a:b", 12.5)]
    ]
    assert layer_names(rings) == ["section low at 4 mm", "section Low at 4 mm no 2", "section a b at 12.5 mm"]


def test_the_drawing_reads_back_in_millimetres_without_a_fault():
    # $INSUNITS 4 is the millimetre (DXF reference, HEADER section; from memory)
    document, auditor = recover.read(io.BytesIO(sections_dxf_bytes(RINGS)))
    assert not auditor.has_errors
    assert not auditor.has_fixes
    assert not document.audit().has_issues
    assert document.header["$INSUNITS"] == 4
    lines = list(document.modelspace())
    assert [line.dxftype() for line in lines] == ["LWPOLYLINE"] * 3
    assert [line.dxf.layer for line in lines] == [
        "section low at 4 mm",
        "section belly widest at 13.1 mm",
        "section Größe µ at 40.75 mm",
    ]
    for line, ring in zip(lines, RINGS, strict=True):
        assert line.closed
        assert line.dxf.elevation == ring.height_mm
        assert np.array(line.get_points("xy")) == pytest.approx(ring.points_mm, abs=1e-9)
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    points = np.concatenate([r.points_mm for r in RINGS])
    assert low == pytest.approx((*points.min(axis=0), 4.0))
    assert high == pytest.approx((*points.max(axis=0), 40.75))


def test_writing_leaves_the_library_s_setting_as_it_was():
    before = ezdxf.options.write_fixed_meta_data_for_testing
    sections_dxf_bytes(RINGS)
    assert ezdxf.options.write_fixed_meta_data_for_testing is before is False


def test_the_svg_has_true_size_and_shows_y_upwards():
    data = sections_svg_bytes(RINGS)
    assert data == sections_svg_bytes(RINGS)
    root = ElementTree.fromstring(data)
    points = np.concatenate([r.points_mm for r in RINGS])
    width = np.ptp(points[:, 0]) + 10
    assert root.get("width") == f"{width:.3f}mm"
    assert float(root.get("viewBox").split()[2]) == pytest.approx(width, abs=1e-3)
    assert [e.text for e in root.iter("{http://www.w3.org/2000/svg}title")] == layer_names(RINGS)
    # read by svgelements at one pixel a millimetre
    paths = [e for e in SVG.parse(io.BytesIO(data), ppi=25.4).elements() if isinstance(e, SvgPath)]
    assert len(paths) == 3
    low = points.min(axis=0) - 5
    high = points.max(axis=0) + 5
    for path, ring in zip(paths, RINGS, strict=True):
        x0, y0, x1, y1 = path.bbox()
        assert x1 - x0 == pytest.approx(np.ptp(ring.points_mm[:, 0]), abs=2e-3)
        assert y1 - y0 == pytest.approx(np.ptp(ring.points_mm[:, 1]), abs=2e-3)
        assert x0 + low[0] == pytest.approx(ring.points_mm[:, 0].min(), abs=2e-3)
        assert high[1] - y0 == pytest.approx(ring.points_mm[:, 1].max(), abs=2e-3)
    assert not re.search(rb"\d{4}-\d{2}-\d{2}", data)


def test_side_by_side_nothing_overlaps_and_each_height_has_its_name():
    import shapely
    from stacked import circle

    from cradle.export.rows import laid_apart

    rings = [
        NamedRing(name=f"level{k}", height_mm=float(k), points_mm=circle(20.0 + 7 * k + wider))
        for k in range(9)
        for wider in (0.0, 0.4)
    ]
    apart, names = laid_apart(rings)
    assert [ring.name for ring in apart] == [ring.name for ring in rings]
    for ring, before in zip(apart, rings, strict=True):
        assert np.ptp(ring.points_mm, axis=0) == pytest.approx(np.ptp(before.points_mm, axis=0))
    boxes = [shapely.box(*label.box()) for label in names]
    boxes += [shapely.Polygon(ring.points_mm) for ring in apart[1::2]]
    for k, one in enumerate(boxes):
        assert not any(shapely.intersects(one, other) for other in boxes[k + 1 :])
    for inner, outer in zip(apart[::2], apart[1::2], strict=True):
        assert shapely.contains(shapely.Polygon(outer.points_mm), shapely.Polygon(inner.points_mm))
    drawing = sections_svg_bytes(apart, names=names).decode()
    document, auditor = recover.read(io.BytesIO(sections_dxf_bytes(apart, names=names)))
    assert not auditor.errors
    written = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert written == [f"level{k}, {k} mm" for k in range(9)]
    assert all(f">level{k}, {k} mm</text>" in drawing for k in range(9))
    assert len({line.dxf.layer for line in document.modelspace().query("LWPOLYLINE")}) == 18
