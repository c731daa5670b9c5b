"""What the view in space is given, and that its script stands by itself."""

import json
import re
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from made_demos import made_demo, parts_of
from shown import points_mm

from cradle.geometry.mesh import bounds_mm
from cradle.report import viewer
from cradle.report.shown_mesh import shown_body
from cradle.report.viewer import one_script, viewer_html

WEB = Path(viewer.__file__).parent / "web"


def data_of(html):
    return json.loads(re.search(r'id="solid-data">(.*?)</script>', html)[1])


def test_holder_and_things_are_there_with_the_gap_at_every_point():
    made = made_demo("pair")
    data = data_of(parts_of(made)["solid"])
    holder, things = points_mm(data["holder"]), points_mm(data["thing"])
    for end, own in zip(bounds_mm(made.holder.mesh), (holder.min(axis=0), holder.max(axis=0)), strict=True):
        assert own == pytest.approx(end, abs=0.2)  # thinned to be shown
    assert len(data["thing"]["gaps"]) == len(things)
    # of two that ask for different gaps each is told in multiples of its own
    assert data["thing"]["gap_asked"] == sorted(round(one.wanted.least_mm, 3) for one in made.things)
    parts = np.split(np.array(data["thing"]["gaps"]), [len(shown_body(made.own.model.body).mesh.vertices_mm)])
    for gaps, one in zip(parts, made.things, strict=True):
        least = one.least_gap_mm / one.wanted.least_mm
        assert gaps[gaps < 255].min() * data["thing"]["gap_most"] / 250 == pytest.approx(least, abs=0.05)


def test_nothing_is_fetched_and_the_picture_stands_in():
    html = viewer_html({"asked": 0.35}, still="<svg>still</svg>")
    assert "<svg>still</svg>" in html
    assert data_of(html) == {"asked": 0.35}
    assert not re.search(r"(?:src|href)=|https?://(?!www\.w3\.org/2000/svg)|\bimport\b|\bexport\b", html)
    assert html == viewer_html({"asked": 0.35}, still="<svg>still</svg>")


def test_the_modules_of_the_script_have_no_name_in_common_and_each_stands_behind_what_it_imports():
    names: Counter[str] = Counter()
    before: set[str] = set()
    for name in viewer._MODULES:
        text = (WEB / f"{name}.js").read_text(encoding="utf-8")
        assert set(re.findall(r'^import .* from "\./(\w+)\.js";$', text, re.MULTILINE)) <= before
        assert len(re.findall(r"^import\b", text, re.MULTILINE)) == text.count("import {")  # each on one line
        names.update(re.findall(r"^(?:export )?(?:const|let|function|class) (\w+)", text, re.MULTILINE))
        names.update(re.findall(r"^  (\w+) = ", text, re.MULTILINE))  # of a declaration of several
        before.add(name)
    assert len(names) > 40
    assert [name for name, times in names.items() if times > 1] == []
    assert one_script().count("solidView(") == 2  # made, and asked for
