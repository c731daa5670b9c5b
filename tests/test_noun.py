"""Nouns: frozen, given by keyword, whole or not at all."""

import pickle
from copy import copy
from dataclasses import FrozenInstanceError, field, replace

import pytest

from cradle.noun import noun, record


@noun
class Length:
    value_mm: float
    sure_mm: float = 0.1
    notes: list[str] = field(default_factory=list)


@record
class Size:
    width_mm: float
    row: int = field(default=0, compare=False)


@record
class Box(Size):
    height_mm: float


def test_a_noun_left_without_a_field_is_refused_by_name():
    with pytest.raises(TypeError, match="Length needs value_mm"):
        Length()


def test_a_noun_given_what_it_has_not_is_refused_by_name():
    with pytest.raises(TypeError, match="Length has no depth_mm"):
        Length(value_mm=1.0, depth_mm=2.0)


@pytest.mark.parametrize("name", ["value_mm", "unheard_of"])
def test_nothing_of_a_noun_changes(name):
    length = Length(value_mm=1.0)
    with pytest.raises(FrozenInstanceError, match=name):
        setattr(length, name, 2.0)
    with pytest.raises(FrozenInstanceError, match=name):
        delattr(length, name)
    assert length.value_mm == 1.0


def test_each_noun_has_defaults_of_its_own():
    one, other = Length(value_mm=1.0), Length(value_mm=1.0)
    one.notes.append("seen")
    assert other.notes == []


@pytest.mark.parametrize("again", [lambda noun: pickle.loads(pickle.dumps(noun)), copy, replace])
def test_a_noun_comes_back_whole_from_another_process_or_a_copy(again):
    box = Box(width_mm=3.0, height_mm=2.0, row=4)
    assert again(box) == box
    assert (again(box).row, again(box).height_mm) == (4, 2.0)


def test_records_are_equal_by_what_is_compared():
    assert Size(width_mm=1.0, row=1) == Size(width_mm=1.0, row=2)
    assert hash(Size(width_mm=1.0, row=1)) == hash(Size(width_mm=1.0, row=2))
    assert Size(width_mm=1.0) != Size(width_mm=2.0)
    assert Size(width_mm=1.0) != 1.0
    assert Box(width_mm=1.0, height_mm=1.0) != Size(width_mm=1.0)
