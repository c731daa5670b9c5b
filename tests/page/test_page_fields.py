"""Every key of a project as a field."""

import re

import pytest

from cradle.errors import InputError
from cradle.page.field_words import CHOICES, LABELS, SAYS, UNITS
from cradle.page.fields import FieldKind, field_at, schema
from cradle.page.typed_values import value_of
from cradle.project.key import Kinds
from cradle.project.project import TABLES
from cradle.project.toml_positions import path_of


def fields_by_table():
    for name, top in TABLES.items():
        if isinstance(top.table, Kinds):
            for kind, table in top.table.tables.items():
                yield (name, 0), schema()[name]["kinds"][kind]["fields"], table
            continue
        yield (name,), schema()[name]["fields"], top.table
        for word, table in top.table.sources.items():
            yield (name, 0, word), schema()[name]["inside"][word]["fields"], table


def test_every_key_has_a_labelled_field_with_its_unit():
    seen = 0
    for path, fields, table in fields_by_table():
        drawn = table.drawing.keys if table.drawing is not None else {}
        assert [f["key"] for f in fields] == [*table.keys, *drawn]
        for field, key in zip(fields, {**table.keys, **drawn}.values(), strict=True):
            seen += 1
            assert field["label"].strip()
            assert "_" not in field["label"]
            assert field_at((*path, key.name)).key == key.name
            if key.field.endswith("_mm"):
                assert field["unit"] == "mm"
            if key.field.endswith("_deg"):
                assert field["unit"] == "°"
            if field["kind"] == "choice":
                assert len(field["words"]) > 0
                for word in field["words"]:
                    key.convert(word)
    assert seen > 100


def test_no_field_speaks_of_how_a_file_is_written():
    seen = 0
    for _, fields, _ in fields_by_table():
        for field in fields:
            seen += 1
            assert not re.search(r"[\[\]{}=_|\"]|\btrue\b|left out", field["label"] + field["says"]), field
            assert set(field["choices"]) <= set(field["words"])
    assert seen > 100


def test_every_word_of_a_form_belongs_to_a_field():
    places = set()
    for path, fields, _ in fields_by_table():
        places |= {(path[-1] or path[0], field["key"]) for field in fields}
    places |= {("opening", "kind")}
    for words in (LABELS, UNITS, SAYS, CHOICES):
        assert set(words) <= places


def test_a_default_can_be_typed_as_it_is_shown():
    tried = 0
    for path, fields, table in fields_by_table():
        keys = {**table.keys, **(table.drawing.keys if table.drawing is not None else {})}
        for field in fields:
            default = field["default"]
            if default is None or isinstance(default, bool):
                continue
            typed = " ".join(map(str, default)) if isinstance(default, list) else str(default)
            value = value_of((*path, field["key"]), typed)
            keys[field["key"]].convert(value)
            tried += 1
    assert tried > 40


@pytest.mark.parametrize(
    ("key", "typed", "value"),
    [
        ("block.wall", "3", 3),
        ("block.wall", "2.40", 2.4),
        ("block.wall", "1 3/8 in", "1 3/8 in"),
        ("block.wall", "  ", None),
        ("block.wall", "2,4", 2.4),
        ("block.wall", "2,45 mm", "2.45 mm"),
        ("block.wall", "1,234", "1,234"),
        ("block.wall", "1,234 mm", "1,234 mm"),
        ("block.wall", "0,875", 0.875),
        ("block.wall", "1,646 in", "1.646 in"),
        ("block.wall", '2,3125"', '2.3125"'),
        ("fit.lift_out", "0,0,1", [0, 0, 1]),
        ("test_pieces.clearances", "0,2; 0,35 1", [0.2, 0.35, 1]),
        ("test_pieces.clearances", "0.2, 0.3", [0.2, 0.3]),
        ("fit.clearance", "auto", "auto"),
        ("fit.lift_out", "[0, 0.16, 1]", [0, 0.16, 1]),
        ("fit.lift_out", "auto", "auto"),
        ("object.hazards", [], []),
        ("object.hazards", ["sharp", "wet"], ["sharp", "wet"]),
        ("opening[1].at", "1 in; 20", ["1 in", 20]),
        ("opening[1].at", "1 1/2 in, 2 in", ["1 1/2 in", "2 in"]),
        ("opening[1].at", '1,5 in 2,25"', ["1.5 in", '2.25"']),
        ("opening[1].at", "10 mm 3/4 in", ["10 mm", "3/4 in"]),
        ("row.things", "../a b/holder.toml, c.toml", ["../a b/holder.toml", "c.toml"]),
        ("row.things", "../a, b/holder.toml; c.toml", ["../a, b/holder.toml", "c.toml"]),
        ("section[1].half", True, True),
        ("section[1].picture.point", "812 1204", [812, 1204]),
        ("object.name", "007", "007"),
    ],
)
def test_what_is_typed_becomes_what_a_file_says(key, typed, value):
    assert value_of(path_of(key), typed) == value
    assert field_at(path_of("opening[1].kind")).kind is FieldKind.CHOICE


@pytest.mark.parametrize("key", ["block", "block.nothing", "nothing.wall", "section[0].width", "a b", ""])
def test_there_is_no_field_for_anything_else(key):
    with pytest.raises(InputError):
        value_of(path_of(key), "1")


def test_how_far_the_lens_was_is_asked_beside_the_view():
    """Photographs from nearer than 4 m need it, which most are (common practice, no source)."""
    assert not field_at(path_of("view[1].distance")).rare
    assert field_at(path_of("view[1].top")).rare
