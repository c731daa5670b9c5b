"""Nouns behave as the standard library's frozen, slotted dataclasses do."""

import copy
import pickle
from dataclasses import FrozenInstanceError, dataclass, field, fields, replace
from typing import Any, ClassVar

import pytest

from cradle.noun import noun, record


class Shape:
    """What each decorator is given."""

    kind: ClassVar[str] = "none"
    width_mm: float
    names: list[str] = field(default_factory=list)
    depth_mm: float = 2.0
    area_mm2: float = field(init=False, default=0.0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "area_mm2", self.width_mm * self.depth_mm)


def bare() -> type[Any]:
    own = {k: v for k, v in vars(Shape).items() if k not in {"__dict__", "__weakref__"}}
    return type(
        "Shape", (), own | {"names": field(default_factory=list), "area_mm2": field(init=False, default=0.0)}
    )


@noun
class Mark:
    at_mm: float
    word: str = ""


@record
class Reading:
    mm: float
    of: tuple[str, ...] = ()


@record
class Doubtful(Reading):
    why: str = "blurred"


PAIRS = [
    pytest.param(noun(bare()), dataclass(frozen=True, slots=True, eq=False, kw_only=True)(bare()), id="noun"),
    pytest.param(record(bare()), dataclass(frozen=True, slots=True, kw_only=True)(bare()), id="record"),
]


@pytest.mark.parametrize(("ours", "theirs"), PAIRS)
def test_a_noun_is_made_and_shown_as_a_dataclass_is(ours: Any, theirs: Any):
    for given in ({"width_mm": 3.0}, {"width_mm": 1.0, "depth_mm": 4.0, "names": ["a"]}):
        one, other = ours(**given), theirs(**given)
        assert [getattr(one, f.name) for f in fields(one)] == [getattr(other, f.name) for f in fields(other)]
        assert repr(one) == repr(other)
        assert repr(replace(one, width_mm=9.0)) == repr(replace(other, width_mm=9.0))
        assert (one == ours(**given), one == one, one == 3) == (other == theirs(**given), True, False)
    assert ours(width_mm=1.0).names is not ours(width_mm=1.0).names
    assert not hasattr(ours(width_mm=1.0), "__dict__")


@pytest.mark.parametrize(("ours", "theirs"), PAIRS)
@pytest.mark.parametrize("wrong", [{}, {"width_mm": 1.0, "height": 2.0}, {"width_mm": 1.0, "area_mm2": 2.0}])
def test_wrong_fields_are_refused_as_a_dataclass_refuses_them(
    ours: Any, theirs: Any, wrong: dict[str, float]
):
    for made in (ours, theirs):
        with pytest.raises(TypeError):
            made(**wrong)
        with pytest.raises(TypeError):
            made(1.0)


@pytest.mark.parametrize(("ours", "theirs"), PAIRS)
def test_nothing_of_a_noun_is_changed(ours: Any, theirs: Any):
    for one in (ours(width_mm=1.0), theirs(width_mm=1.0)):
        with pytest.raises(FrozenInstanceError):
            one.width_mm = 2.0
        with pytest.raises(FrozenInstanceError):
            del one.width_mm
        assert one.width_mm == 1.0


def test_nouns_go_from_one_process_to_another():
    for one in (Mark(at_mm=1.0, word="a"), Reading(mm=2.0, of=("b",)), Doubtful(mm=3.0)):
        for again in (pickle.loads(pickle.dumps(one)), copy.copy(one), copy.deepcopy(one)):
            assert type(again) is type(one)
            assert repr(again) == repr(one)


def test_records_that_are_equal_count_as_one():
    assert len({Reading(mm=1.0), Reading(mm=1.0), Reading(mm=2.0), Doubtful(mm=1.0)}) == 3
    assert len({Mark(at_mm=1.0), Mark(at_mm=1.0)}) == 2


def test_a_record_made_from_another_has_the_fields_of_both():
    assert repr(Doubtful(mm=1.0)) == "Doubtful(mm=1.0, of=(), why='blurred')"
    assert Doubtful(mm=1.0) != Reading(mm=1.0)
