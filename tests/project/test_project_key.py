"""A key declared once: what reader, writer and commented project take from the field of a spec."""

from dataclasses import FrozenInstanceError

import pytest

from cradle.project.convert import Choice, length, text
from cradle.project.key import Kinds, Mistake, Table, key, spec
from cradle.project.mistake import MistakeError
from cradle.project.project import TABLES


@spec
class Shelf:
    """A table for this test."""

    width_mm: float = key(length(above=0.0), "along the wall")
    tilt_deg: float = key(length(least=0.0), "towards the wall", default=2.0)
    depth_mm: float = key(length(above=0.0), default=90.0, start=120.0)
    name: str | None = key(text("a name"), default=None, name="called", example="upper")


def test_a_key_is_called_as_its_field_without_the_unit():
    assert list(Table(makes=Shelf).keys) == ["width", "tilt", "depth", "called"]


def test_a_key_without_a_default_is_required_and_shown():
    keys = Table(makes=Shelf).keys
    assert [k.required for k in keys.values()] == [True, False, False, False]
    assert Table(makes=Shelf).defaults() == {"tilt_deg": 2.0, "depth_mm": 90.0, "name": None}


def test_a_new_project_gives_the_start_or_the_default_and_leaves_an_example_behind_a_mark():
    keys = Table(makes=Shelf).keys
    assert [(k.shown, k.live) for k in keys.values()] == [
        (None, True), (2.0, True), (120.0, True), ("upper", False),
    ]  # fmt: skip


def test_a_spec_is_frozen_and_takes_keywords_only():
    shelf = Shelf(width_mm=300.0)
    with pytest.raises(FrozenInstanceError):
        shelf.width_mm = 1.0
    with pytest.raises(TypeError):
        Shelf(300.0)


def test_words_of_a_choice_stand_where_the_meaning_wants_them():
    chosen = TABLES["block"].table.keys["form"]
    assert isinstance(chosen.convert, Choice)
    words = chosen.convert.words
    assert len(words) >= 3
    assert " | ".join(words) in chosen.meaning
    assert f"{', '.join(words[:-1])} or {words[-1]}" in chosen.wanted


def every_table():
    for name, top in TABLES.items():
        kinds = top.table.tables.items() if isinstance(top.table, Kinds) else [("", top.table)]
        for kind, table in kinds:
            yield f"{name} {kind}".strip(), table
            yield from ((f"{name}.{inner}", source) for inner, source in table.sources.items())


@pytest.mark.parametrize(("name", "table"), list(every_table()))
def test_every_default_and_every_shown_value_is_one_that_the_key_itself_takes(name, table):
    for one in table.keys.values():
        if one.shown is not None and one.shown is not ...:
            one.convert(list(one.shown) if isinstance(one.shown, tuple) else one.shown)
        default = table.defaults().get(one.field)
        if isinstance(default, int | float | str) and not isinstance(default, bool):
            one.convert(default)
    assert table.keys


@pytest.mark.parametrize(("name", "table"), list(every_table()))
def test_every_key_refuses_what_is_no_value_of_any_key(name, table):
    for one in table.keys.values():
        with pytest.raises(MistakeError):
            one.convert({"a": object()})


def test_a_check_is_asked_with_the_values_that_are_no_mistakes_themselves():
    def narrow(values):
        if values.get("width_mm", 0) < values.get("depth_mm", 0):
            yield Mistake(found="deeper than wide")

    table = Table(makes=Shelf, check=narrow)
    assert [m.found for m in table.check({"width_mm": 1.0, "depth_mm": 2.0})] == ["deeper than wide"]
    assert list(table.check({"depth_mm": 2.0, "width_mm": 3.0})) == []
