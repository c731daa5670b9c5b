"""Tables and lists, read back by the standard library's own parser."""

from html.parser import HTMLParser

import pytest

from cradle.report.tables import (
    allowed_words,
    caution_words,
    control_table,
    fact_list,
    finding_list,
    section_table,
    table,
)


class Reader(HTMLParser):
    """Cells of rows, list items, and whether every tag is closed in its turn."""

    def __init__(self):
        super().__init__()
        self.open, self.rows, self.items, self.text = [], [], [], {}

    def handle_starttag(self, tag, attrs):
        self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")
        if tag == "li":
            self.items.append("")

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if {"td", "th"} & set(self.open):
            self.rows[-1][-1] += data
        if "li" in self.open:
            self.items[-1] += data


def read(html):
    reader = Reader()
    reader.feed(html)
    assert not reader.open
    return reader


def test_cells_come_back_as_they_were_whatever_is_in_them():
    rows = [["a <b>", "1 & 2"], ['"q"', "</td><script>"]]
    reader = read(table("sizes < 5", ["name", "x > y"], rows))
    assert reader.rows == [["name", "x > y"], *rows]


def test_a_control_dimension_leaves_room_for_its_reading():
    rows = [
        {"name": "width", "height_mm": 12.0, "length_mm": 40.456, "low_mm": 40.2, "high_mm": 40.7},
        {"name": "diameter", "height_mm": None, "length_mm": 5.0, "low_mm": None, "high_mm": None},
    ]
    assert read(control_table(rows)).rows[1:] == [
        ["width", "12.00", "40.46", "40.20 to 40.70", ""],
        ["diameter", "", "5.00", "", ""],
    ]
    assert allowed_words({"low_mm": 1.0}) == ""


def test_a_section_that_was_not_measured_shows_a_dash():
    row = {
        "name": "low",
        "height_mm": 5.0,
        "traced_mm": (40.0, 30.25),
        "caliper_mm": (40.4, None),
        "scale": (1.01, 1.0),
        "used_mm": (40.4, 30.25),
        "placed_by": "mirror",
    }
    assert read(section_table([row])).rows[1] == [
        "low",
        "5.00",
        "40.00 × 30.25",
        "40.40 × –",
        "101.00 × 100.00",
        "40.40 × 30.25",
        "mirror",
    ]


def test_findings_are_told_worst_as_they_come_and_notes_are_folded():
    rows = [
        {"severity": "fail", "where": "block", "message": "too <thin>", "advice": "make it 3 mm"},
        {"severity": "warn", "where": "", "message": "doubtful"},
        {"severity": "note", "where": "a", "message": "closed"},
    ]
    html = finding_list(rows)
    assert read(html).items == [
        "do not print block too <thin>. make it 3 mm",
        "look first doubtful.",
        "note a closed.",
    ]
    assert html.index("<details>") > html.index("doubtful")
    assert "1 note:" in html
    assert "2 notes:" in finding_list(rows[2:] * 2)
    assert finding_list([]) == "<p>None.</p>"


@pytest.mark.parametrize(
    ("caution", "words"),
    [
        ("mind the edge", "mind the edge"),
        ({"title": "heat:", "text": "softens at 55 °C"}, "Heat: softens at 55 °C"),
        ({"about": "load", "message": "tips over"}, "Load: tips over"),
        ({"title": "only"}, "only"),
    ],
)
def test_a_caution_is_one_text(caution, words):
    assert caution_words([caution]) == [words]


def test_facts_are_escaped():
    assert fact_list([("a<b", "1&2")]) == "<dl><div><dt>a&lt;b</dt><dd>1&amp;2</dd></div></dl>"
