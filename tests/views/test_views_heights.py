"""Heights of sections in another unit than mm, or of one another, beside a view."""

import re
from itertools import combinations

import numpy as np
import pytest
from fronts import placed_by_front, silhouette_of, stack_of

from cradle.errors import SectionError


def test_heights_in_cm_are_named_where_a_view_would_fit_them():
    levels = stack_of(lambda z: 40.0 + 0.02 * (z - 22) ** 2)
    at = (5, 25, 45)
    with pytest.raises(
        SectionError, match="heights of all 3 sections look as if they were in cm: so they fit the view"
    ):
        placed_by_front(
            silhouette_of(levels), heights=[z / 10 for z in at], rings=[levels[z][1] for z in at], top_mm=50.0
        )
    with pytest.raises(SectionError) as refused:
        placed_by_front(silhouette_of(levels), heights=at, rings=[levels[z][1] for z in (25, 5, 25)])
    assert "in cm" not in str(refused.value)


FORMS = {
    "widens": lambda z: 44 + 18 * np.sin(z / 28),
    "tapers": lambda z: 60.0 - 0.8 * z,
    "waist": lambda z: 40.0 + 0.02 * (z - 22) ** 2,
    "step": lambda z: float(np.interp(z, [15, 18], [30.0, 48.0])),
    "straight, then wider": lambda z: float(np.interp(z, [30, 45], [40.0, 55.0])),
}


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS.keys())
def test_a_view_of_its_own_size_tells_heights_in_another_unit_and_none_where_they_are_in_mm(form):
    levels, at = stack_of(form), (5, 25, 45)
    shown, rings = 3.7 * silhouette_of(levels), [levels[z][1] for z in at]
    for unit, mm in (("cm", 10), ("inches", 25.4)):
        with pytest.raises(SectionError, match=rf"heights of all 3 sections look as if they were in {unit}"):
            placed_by_front(shown, heights=[z / mm for z in at], rings=rings)
    assert placed_by_front(shown, heights=at, rings=rings)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS.keys())
def test_a_handle_in_a_view_is_not_taken_for_heights_in_another_unit(form):
    levels = stack_of(form)
    with_handle = stack_of(lambda z: form(z) + (12.0 if 20 < z < 30 else 0.0))
    said = ""
    try:
        placed_by_front(
            3.7 * silhouette_of(with_handle), heights=(5, 25, 45), rings=[levels[z][1] for z in (5, 25, 45)]
        )
    except SectionError as refused:
        said = f"{refused} {refused.hint}"
    assert "they were in" not in said
    assert "swapped" not in said


@pytest.mark.parametrize(("one", "other"), list(combinations(range(3), 2)))
def test_a_view_that_fits_swapped_heights_alone_is_refused_with_them(one, other):
    def width(z):
        return float(np.interp(z, [0.0, 25.0, 50.0], [44.0, 60.0, 24.0]))

    at = [4.0, 18.0, 46.0]
    noted = list(at)
    noted[one], noted[other] = at[other], at[one]
    levels = stack_of(width, step=0.5)
    rings = dict(levels)
    cut = sorted(zip(noted, at, strict=True))
    with pytest.raises(SectionError) as refused:
        placed_by_front(
            silhouette_of(levels),
            heights=[height for height, _ in cut],
            rings=[rings[true] for _, true in cut],
            top_mm=50.0,
        )
    names = [f'"s{[true for _, true in cut].index(at[k])}"' for k in (one, other)]
    told = re.search(r"the heights of section (\S+) and section (\S+) were swapped", refused.value.hint)
    assert told
    assert sorted(told.groups()) == sorted(names)
