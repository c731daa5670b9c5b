"""Path data against a reference library, svgelements."""

import numpy as np
import pytest
import svgelements

from cradle.drawings.svg_path import ArcTo, ClosePath, CurveTo, LineTo, MoveTo, segments
from cradle.errors import CaptureError

ARGUMENTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "Z": 0}


def random_path(rng):
    x, y = rng.uniform(-9, 9, 2)
    parts, before = [f"M{x:.3f},{y:.3f}"], "M"
    for _ in range(rng.integers(1, 12)):
        name = str(rng.choice([*"MLHVCSQTZAAA"]))
        if (name == "S" and before in "QT") or (name == "T" and before in "CS"):
            continue  # the reference mirrors across kinds, against 9.3.6 and 9.3.7
        before = name
        for turn in range(1 if name == "Z" else rng.integers(1, 3)):
            letter = name if rng.random() < 0.5 else name.lower()
            letter = letter if turn == 0 or rng.random() < 0.5 else ""
            if name == "A":
                rx, ry, phi, x, y = rng.uniform(-9, 9, 5)
                flags = rng.integers(0, 2, 2)
                gap = " " if rng.random() < 0.5 else ""
                parts.append(
                    f"{letter} {rx:.2f} {ry:.2f} {10 * phi:.1f} {flags[0]}{gap}{flags[1]}{gap}{abs(x):.3f} {y:.3f}"
                )
            else:
                parts.append(letter + " " + " ".join(f"{v:.3f}" for v in rng.uniform(-9, 9, ARGUMENTS[name])))
    return " ".join(parts)


def ours(text):
    found = []
    for segment in segments(text):
        match segment:
            case MoveTo(end):
                found.append(("move", [end]))
            case ClosePath():
                found.append(("close", []))
            case LineTo(start, end):
                found.append(("line", [start, end]))
            case CurveTo(control):
                found.append(("curve", list(control)))
            case ArcTo():
                t = segment.start_rad + segment.sweep_rad * np.linspace(0, 1, 9)[:, None]
                points = segment.centre + np.cos(t) * segment.first_axis + np.sin(t) * segment.second_axis
                found.append(("arc", points.tolist()))
    return found


def theirs(text):
    found = []
    xy = lambda p: (float(p.x), float(p.y))  # noqa: E731
    for segment in svgelements.Path(text):
        match segment:
            case svgelements.Move():
                found.append(("move", [xy(segment.end)]))
            case svgelements.Close():
                found.append(("close", []))
            case svgelements.Line():
                found.append(("line", [xy(segment.start), xy(segment.end)]))
            case svgelements.QuadraticBezier():
                found.append(("curve", [xy(segment.start), xy(segment.control), xy(segment.end)]))
            case svgelements.CubicBezier():
                control = (segment.start, segment.control1, segment.control2, segment.end)
                found.append(("curve", [xy(p) for p in control]))
            case svgelements.Arc():
                found.append(("arc", [xy(segment.point(t)) for t in np.linspace(0, 1, 9)]))
    return found


@pytest.mark.parametrize("seed", range(60))
def test_random_paths_are_read_as_the_reference_reads_them(seed):
    text = random_path(np.random.default_rng(seed))
    mine, reference = ours(text), theirs(text)
    assert [kind for kind, _ in mine] == [kind for kind, _ in reference], text
    for (kind, a), (_, b) in zip(mine, reference, strict=True):
        # where radii are made to reach, the reference takes the root of a difference that should be 0
        within = 1e-6 + 2e-8 * np.abs(b).max() if kind == "arc" else 1e-9
        assert np.abs(np.subtract(a, b)).max(initial=0.0) < within, (kind, text)


def test_every_kind_of_segment_is_among_the_random_ones():
    kinds = {kind for seed in range(60) for kind, _ in ours(random_path(np.random.default_rng(seed)))}
    assert kinds == {"move", "close", "line", "curve", "arc"}


@pytest.mark.parametrize(
    ("text", "last"),
    [
        ("M0 0A5 5 0 0 1 0 0", MoveTo((0.0, 0.0))),  # B.2.5: no arc between equal ends
        ("M0 0A0 5 0 0 1 3 4", LineTo((0.0, 0.0), (3.0, 4.0))),  # B.2.5: no radius, a straight line
        ("M.5.5-.5-.5", LineTo((0.5, 0.5), (-0.5, -0.5))),  # 9.3.9: numbers close together
        ("M1 1zl2 0", LineTo((1.0, 1.0), (3.0, 1.0))),  # 9.3.4: on from where it began
        ("M0 0 Q1 1 2 0 S4 4 5 5", CurveTo(((2.0, 0.0), (2.0, 0.0), (4.0, 4.0), (5.0, 5.0)))),  # 9.3.6
        ("M0 0 T4 0", CurveTo(((0.0, 0.0), (0.0, 0.0), (4.0, 0.0)))),  # 9.3.7: nothing to mirror
    ],
)
def test_corner_cases_are_read_as_the_standard_says(text, last):
    assert list(segments(text))[-1] == last


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("M0 0 z 5 5", '"5 5" at character 8'),
        ("M0 0 A5 5 0 2 1 3 3", '"2 1 3 3" at character 13'),
        ("5 5", "character 1"),
        ("M0 0 L", "breaks off"),
        ("M0", "breaks off"),
        ("M0 0 C1 1 2 2 Z", "breaks off"),
        ("M0 0 L1 1 # 2", '"# 2" at character 11'),
        ("M0 0 A5 5 1e309 0 1 3 3", '"1e309" at character 11 is not a finite'),
        ("M0 0 L1 -1e999", '"-1e999" at character 9'),
    ],
)
def test_what_cannot_be_read_is_told(text, words):
    with pytest.raises(CaptureError, match=words):
        list(segments(text))
