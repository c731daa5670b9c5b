"""Tables and lists, read back by the standard library's own parser."""

from types import SimpleNamespace

from html_read import read
from stacked import rectangle

from cradle.finding import Finding, Severity
from cradle.report.tables import caution_list, fact_list, finding_list, inspection_table, section_table, table
from cradle.result.measurements import InspectionDimension


def test_cells_come_back_as_they_were_whatever_is_in_them():
    rows = [["a <b>", "1 & 2"], ['"q"', "</td><script>"]]
    reader = read(table("sizes < 5", ["name", "x > y"], rows))
    assert reader.rows == [["name", "x > y"], *rows]


def test_a_control_dimension_leaves_room_for_its_reading():
    dimensions = [
        InspectionDimension(name="width", height_mm=12.0, length_mm=40.456, low_mm=40.2, high_mm=40.7),
        InspectionDimension(name="diameter", height_mm=None, length_mm=5.0, low_mm=4.91, high_mm=5.09),
    ]
    assert read(inspection_table(dimensions)).rows[1:] == [
        ["width", "12.00", "40.46", "40.20 to 40.70", ""],
        ["diameter", "", "5.00", "4.91 to 5.09", ""],
    ]


def test_a_section_that_was_not_measured_shows_a_dash():
    section = SimpleNamespace(
        name="low",
        height_mm=5.0,
        traced_mm=(40.0, 30.25),
        caliper_mm=(40.4, None),
        scale=(1.01, 1.0),
        points_mm=rectangle(40.4, 30.25),
        placed_by="mirror",
    )
    assert read(section_table([section])).rows[1] == [
        "low",
        "5.00",
        "40.00 × 30.25",
        "40.40 × –",
        "101.00 × 100.00",
        "40.40 × 30.25",
        "mirror",
    ]


def test_findings_are_told_worst_as_they_come_and_notes_are_folded():
    findings = [
        Finding(code="a", severity=Severity.FAIL, where="block", message="too <thin>", advice="make it 3 mm"),
        Finding(code="b", severity=Severity.WARN, message="doubtful"),
        Finding(code="c", severity=Severity.NOTE, where="a", message="closed"),
    ]
    html = finding_list(findings)
    assert read(html).items == [
        "do not print block too <thin>. make it 3 mm",
        "warning doubtful.",
        "note a closed.",
    ]
    assert html.index("<details>") > html.index("doubtful")
    assert "1 note:" in html
    assert "2 notes:" in finding_list(findings[2:] * 2)
    assert finding_list([]) == "<p>None.</p>"


def test_cautions_are_items_and_never_markup():
    assert read(caution_list(["mind the <edge>", "Heat: softens at 55 °C"])).items == [
        "mind the <edge>",
        "Heat: softens at 55 °C",
    ]


def test_facts_are_escaped():
    assert fact_list([("a<b", "1&2")]) == "<dl><div><dt>a&lt;b</dt><dd>1&amp;2</dd></div></dl>"
