"""What is regular in a picture is found once, however often rules are looked for in it."""

from __future__ import annotations

from painted import GREY, Table, scanned
from things_painted import rule_on

from cradle.pictures.image import read_picture
from cradle.pictures.regions import find_things
from cradle.rulers import marked_picture
from cradle.rulers.marked_picture import MarkedPicture
from cradle.rulers.ruler import find_rulers


def test_a_second_search_looks_for_no_lines_and_reads_no_marks_again(tmp_path, monkeypatch):
    table = Table(150, 60, 8, GREY, 3)
    rule_on(table, at_mm=(20, 40), length_mm=100, body=GREY)
    picture = read_picture(scanned(table, dpi=150, tag=False).save(tmp_path / "a.png"))
    things, marked = find_things(picture), MarkedPicture(picture)
    first = find_rulers(marked, things).scales
    monkeypatch.delattr(marked_picture, "regular_lines")
    monkeypatch.delattr(marked_picture, "regular_marks")
    again = find_rulers(marked, things).scales
    assert len(first) == 1
    assert [scale.told for scale in again] == [scale.told for scale in first]
