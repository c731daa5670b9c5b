"""Traced outlines in one file, read back by the standard library and ezdxf."""

import csv
import io
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
from holder_shapes import RINGS

from cradle.errors import InputError
from cradle.export.outline import outlines_bytes


def test_a_csv_holds_one_outline_to_a_tenth_of_a_micron():
    text = outlines_bytes(RINGS[:1], path=Path("a.csv")).decode()
    head, *rows = text.splitlines()
    assert head == "# low, mm"
    read = np.array([[float(r["x"]), float(r["y"])] for r in csv.DictReader(io.StringIO("\n".join(rows)))])
    assert np.abs(read - RINGS[0].points_mm).max() <= 0.5e-4 + 1e-12
    with pytest.raises(InputError, match="holds one outline, and 3 were traced"):
        outlines_bytes(RINGS, path=Path("a.csv"))


def test_a_name_over_several_lines_stays_in_its_comment():
    from dataclasses import replace

    text = outlines_bytes([replace(RINGS[0], name="a\nx,y\n1,1")], path=Path("a.CSV")).decode()
    assert text.splitlines()[0] == "# a x,y 1,1, mm"


def test_svg_and_dxf_hold_all_of_them(tmp_path):
    root = ElementTree.fromstring(outlines_bytes(RINGS, path=Path("a.svg")))
    assert sum(e.tag.endswith(("path", "polygon")) for e in root.iter()) >= len(RINGS)
    file = tmp_path / "a.dxf"
    file.write_bytes(outlines_bytes(RINGS, path=file))
    lines = ezdxf.readfile(file).modelspace().query("LWPOLYLINE")
    sizes = sorted(len(line) for line in lines)
    assert sizes == [60, 60, 60]


@pytest.mark.parametrize("name", ["a.png", "a", "a.svgz"])
def test_an_unknown_ending_is_refused_with_those_that_are_known(name):
    with pytest.raises(InputError, match=r"\.svg \.dxf \.csv"):
        outlines_bytes(RINGS, path=Path(name))
