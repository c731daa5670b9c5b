"""Student's t against scipy's own."""

from __future__ import annotations

import pytest

from cradle.sections.students_t import students_t


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 8, 101, 400])
def test_students_t_is_that_of_scipy(freedom: int) -> None:
    from scipy.special import stdtrit

    for share in (0.5, 0.05, 0.05 / 6, 0.05 / 400):
        assert students_t(share, freedom=freedom) == pytest.approx(stdtrit(freedom, 1 - share / 2), rel=1e-9)
