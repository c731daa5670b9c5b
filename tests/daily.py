"""Which cases of a claim run every day (of a slow test: in every whole run); the rest are further ones, on request."""

from itertools import product

import pytest


def each_value_daily(*axes):
    """All combinations of the axes' values: daily are as few as hold every value once, the rest are further ones.

    A value that is a tuple stands for several parameters that belong together.
    """
    axes = tuple(tuple(axis) for axis in axes)
    daily = {tuple(k % len(axis) for axis in axes) for k in range(max(map(len, axes)))}
    return [
        case((axis[k] for axis, k in zip(axes, at, strict=True)), further=at not in daily)
        for at in product(*(range(len(axis)) for axis in axes))
    ]


def rest_further(cases, *, daily):
    """All cases, further ones but for those at the places ``daily``."""
    return [case([one], further=k not in daily) for k, one in enumerate(cases)]


def case(values, *, further):
    """One set of parameters, tuples among them laid out flat."""
    flat = [part for value in values for part in (value if isinstance(value, tuple) else (value,))]
    return pytest.param(*flat, marks=pytest.mark.further if further else ())
