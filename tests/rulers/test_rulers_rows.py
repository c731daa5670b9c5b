"""Rows of marks that belong to one rule are told from those of another."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from cradle.rulers.ruler import _with_row
from cradle.rulers.ruler_kind import GRADUATIONS, GraduationReading
from cradle.rulers.ruler_rows import RuleRow, other_edge


def _row(first_mm, last_mm, *, across_mm, graduation=GRADUATIONS[0]):
    """A row of marks 8 px apart along x."""
    at = np.arange(first_mm, last_mm + 1)
    marks = SimpleNamespace(
        number=at - at[0],
        at_px=8.0 * np.column_stack([at, np.full(len(at), across_mm)]),
        ahead=np.array([1.0, 0.0]),
        across=np.array([0.0, 1.0]),
        spacing_px=8.0 * graduation.unit_mm,
    )
    return RuleRow(marks=marks, reading=GraduationReading(graduation=graduation, agreement=0.9))


LONG = _row(0, 200, across_mm=0)


@pytest.mark.parametrize(
    ("first_mm", "last_mm", "across_mm", "same"),
    [(110, 200, 22, True), (0, 60, 22, True), (110, 200, 60, False), (210, 290, 22, False)],
)
def test_the_other_edge_of_a_rule_may_be_read_for_any_part_of_it(first_mm, last_mm, across_mm, same):
    other = _row(first_mm, last_mm, across_mm=across_mm)
    assert other_edge(LONG, other) == same
    assert other_edge(other, LONG) == same


def test_of_a_rules_two_edges_the_one_that_tells_more_comes_first():
    short = _row(110, 200, across_mm=22)
    for one, other in ((LONG, short), (short, LONG)):
        (rule,) = _with_row(((one,),), other)
        assert rule[0] is LONG
        assert rule[1] is short
    half = _row(0, 200, across_mm=22, graduation=GRADUATIONS[2])
    ((first, _),) = _with_row(((short,),), half)
    assert first is short
