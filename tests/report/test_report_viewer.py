"""What the view in space is given."""

import json
import re

import pytest
from stacked import rectangle, stacked

from cradle.report.shown_mesh import shown
from cradle.report.viewer import viewer_html

HOLDER, THING = (
    shown(stacked([0, 20], [rectangle(60, 40)] * 2)),
    shown(stacked([5, 35], [rectangle(20, 10)] * 2)),
)


def data_of(html):
    return json.loads(re.search(r'id="solid-data">(.*?)</script>', html)[1])


def test_the_view_turns_about_the_holder_s_middle_and_both_parts_are_there():
    data = data_of(viewer_html(HOLDER, THING, still="<svg/>"))
    assert data["middle"] == [0, 0, 10]
    assert data["size"] == 60
    assert len(data["parts"]) == 2
    assert [part["low"] for part in data["parts"]] == [[-30, -20, 0], [-10, -5, 5]]


def test_nothing_is_fetched_and_the_picture_stands_in():
    html = viewer_html(HOLDER, THING, still="<svg>still</svg>")
    assert "<svg>still</svg>" in html
    assert not re.search(r"(?:src|href)=|https?://", html)
    assert html == viewer_html(HOLDER, THING, still="<svg>still</svg>")


@pytest.mark.parametrize("part", [0, 1])
def test_every_part_has_a_button_that_says_whether_it_is_shown(part):
    html = viewer_html(HOLDER, THING, still="")
    pressed = re.search(rf'data-part="{part}" aria-pressed="(\w+)"', html)[1]
    assert pressed == str(data_of(html)["parts"][part]["shown"]).lower()
