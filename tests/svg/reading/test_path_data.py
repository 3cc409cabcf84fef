"""The grammar of path data, rule by rule.

Inputs and meanings are those of W3C, *Scalable Vector Graphics (SVG) 2*, chapter Paths; centres,
sweeps and lengths of arcs were worked by its equations in Implementation Notes ("Conversion from
endpoint to center parameterization").
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from plotlib.svg.reading.outline import Outline
from plotlib.svg.reading.path_data import path_outline
from plotlib.svg.reading.places import flattened


def corners(data: str) -> list[list[tuple[float, float]]]:
    """The ends of segments, subpath by subpath."""
    outline = path_outline(data)
    assert outline.fault == ""
    return places(outline)


def places(outline: Outline) -> list[list[tuple[float, float]]]:
    found = []
    for first, last in zip(outline.firsts[:-1], outline.firsts[1:], strict=True):
        part = outline.controls[first:last]
        found.append([tuple(part[0, 0].tolist()), *(tuple(p.tolist()) for p in part[:, 3])])
    return found


@pytest.mark.parametrize(
    ("data", "wanted"),
    [
        ("M 100-200 L0 0", [[(100, -200), (0, 0)]]),  # a sign ends a number
        ("M 0.6.5 L0 0", [[(0.6, 0.5), (0, 0)]]),  # and so does a second point
        ("M1 1 2 2 3 3", [[(1, 1), (2, 2), (3, 3)]]),  # further pairs are lines
        ("m1 1 2 2", [[(1, 1), (3, 3)]]),  # the first m is absolute, its lines relative
        ("M1,1L2,2,3,3", [[(1, 1), (2, 2), (3, 3)]]),
        ("M1 1l2 2 3-3", [[(1, 1), (3, 3), (6, 0)]]),
        ("M1 1H5 7h-2V9v-1 2", [[(1, 1), (5, 1), (7, 1), (5, 1), (5, 9), (5, 8), (5, 10)]]),
        ("M1 1h4v4zl1 1", [[(1, 1), (5, 1), (5, 5), (1, 1)], [(1, 1), (2, 2)]]),  # z, then no M
        ("M1 1h4v4zm1 1h1", [[(1, 1), (5, 1), (5, 5), (1, 1)], [(2, 2), (3, 2)]]),
        ("M10 10", []),  # a move alone draws nothing
        ("M10 10 M20 20 L30 30", [[(20, 20), (30, 30)]]),
        ("M 10,10 L 10,10", [[(10, 10), (10, 10)]]),  # zero length
        ("M 30,30 Z", [[(30, 30), (30, 30)]]),
        ("M1 1h2v2zz", [[(1, 1), (3, 1), (3, 3), (1, 1)]]),
        ("", []),
        ("none", []),
        ("  M\t1\n1\r\fL 2 2 ", [[(1, 1), (2, 2)]]),
        ("M1e1 1E-1L+2-.5e+1", [[(10, 0.1), (2, -5)]]),
        ("M23. 4L0 0", [[(23, 4), (0, 0)]]),  # allowed before SVG 2, still met
        ("M0 0L1 1L2 2", [[(0, 0), (1, 1), (2, 2)]]),
    ],
)
def test_moves_and_lines(data: str, wanted: list[list[tuple[float, float]]]) -> None:
    assert corners(data) == wanted


@pytest.mark.parametrize(
    ("data", "wanted"),
    [
        ("M0 0C1 2 3 4 5 6", [(0, 0), (1, 2), (3, 4), (5, 6)]),
        ("M1 1c1 2 3 4 5 6", [(1, 1), (2, 3), (4, 5), (6, 7)]),
        ("M0 0C0 0 3 4 5 6S8 8 9 9", [(5, 6), (7, 8), (8, 8), (9, 9)]),  # 2 (5, 6) - (3, 4)
        ("M0 0c0 0 3 4 5 6s3 2 4 3", [(5, 6), (7, 8), (8, 8), (9, 9)]),
        ("M5 6S8 8 9 9", [(5, 6), (5, 6), (8, 8), (9, 9)]),  # after no curve: the current point
        ("M5 6Q7 8 9 6S8 8 9 9", [(9, 6), (9, 6), (8, 8), (9, 9)]),
        ("M0 0Q3 3 6 0", [(0, 0), (2, 2), (4, 2), (6, 0)]),  # the same curve as a cubic
        ("M0 0q3 3 6 0", [(0, 0), (2, 2), (4, 2), (6, 0)]),
        ("M0 0Q3 3 6 0T12 0", [(6, 0), (8, -2), (10, -2), (12, 0)]),  # control at (9, -3)
        ("M0 0q3 3 6 0t6 0", [(6, 0), (8, -2), (10, -2), (12, 0)]),
        ("M0 0T6 0", [(0, 0), (0, 0), (2, 0), (6, 0)]),
        ("M0 0Q3 3 6 0T12 0T18 0", [(12, 0), (14, 2), (16, 2), (18, 0)]),
    ],
)
def test_curves(data: str, wanted: list[tuple[float, float]]) -> None:
    outline = path_outline(data)
    assert outline.fault == ""
    np.testing.assert_allclose(outline.controls[-1], wanted, atol=1e-12)


@pytest.mark.parametrize(
    ("data", "kept", "why"),
    [
        ("M 10,10 L 20,20,30", [[(10, 10), (20, 20)]], "character 19"),
        ("M1 1L2 2 x L3 3", [[(1, 1), (2, 2)]], "what follows L cannot be read"),
        ("M1 1L2 2,", [[(1, 1), (2, 2)]], "character 9"),
        ("M1 1L2 2z5", [[(1, 1), (2, 2), (1, 1)]], "what follows z"),
        ("L1 1", [], "must begin with M or m"),
        ("1 1", [], "must begin with M or m"),
        ("M1 1C1 2 3 4", [], "C takes 6 numbers"),
        ("M1 1L", [], "L takes 2 numbers"),
        ("M", [], "M takes 2 numbers"),
        ("M1 1H3 A5 5 0 2 1 9 9", [[(1, 1), (3, 1)]], "A takes radii"),
        ("M1 1H3 A5 5 000 9 9", [[(1, 1), (3, 1)]], "A takes radii"),  # no separator before flags
        ("M1 1L2 2 3 . 4", [[(1, 1), (2, 2)]], "what follows L"),
    ],
)
def test_an_error_keeps_everything_before_it(data: str, kept: list[object], why: str) -> None:
    outline = path_outline(data)
    assert why in outline.fault
    assert places(outline) == kept


@pytest.mark.parametrize(
    "data",
    [
        "M0 0a25,25 0 01 50-25",
        "M0 0a25,25,0,0,1,50,-25",
        "M0 0A25 25 0 0150-25",
        "M0 0a25 25 0 01.5e2-25 M0 0",
    ],
)
def test_compact_flags_of_arcs(data: str) -> None:
    outline = path_outline(data)
    assert outline.fault == ""
    end = outline.controls[-1, 3].tolist()
    assert end in ([50, -25], [150, -25])


def measured(data: str) -> tuple[float, np.ndarray]:
    outline = path_outline(data)
    points, _ = flattened(outline.controls, outline.firsts, 1e-7)
    return float(np.hypot(*np.diff(points, axis=0).T).sum()), points


ARCS = [
    ("M0 0 A10 10 0 0 1 10 10", (0, 10), 15.707963268),
    ("M0 0 A10 10 0 1 1 10 10", (10, 0), 47.123889804),
    ("M0 0 A10 10 0 0 0 10 10", (10, 0), 15.707963268),
    ("M0 0 A10 10 0 1 0 10 10", (0, 10), 47.123889804),
    ("M0 0 A-10 -10 0 0 1 10 10", (0, 10), 15.707963268),  # radii count without sign
    ("M0 0 A2 1 0 0 1 10 0", (5, 0), 12.110560276),  # too small: scaled up by the root of 6.25
    ("M0 0 A2 1 90 0 1 10 0", (5, 0), 24.221120551),
    ("M0 0 A1 1 0 0 1 30 40", (15, 20), 78.539816340),
    ("M0 0 A3 4 30 1 1 2 5", (2.745931345, 1.225687447), 15.581137869),
]


@pytest.mark.parametrize(("data", "centre", "length"), ARCS)
def test_arcs_have_the_worked_centre_and_length(
    data: str, centre: tuple[float, float], length: float
) -> None:
    found, points = measured(data)
    assert found == pytest.approx(length, abs=2e-5)
    away = points - centre
    if "A3 4" in data:
        turned = away @ np.array([[np.cos(np.pi / 6), -0.5], [0.5, np.cos(np.pi / 6)]])
        np.testing.assert_allclose(np.hypot(turned[:, 0] / 3, turned[:, 1] / 4), 1, atol=1e-6)
    elif "A2" not in data:
        far = np.hypot(*away.T)
        np.testing.assert_allclose(far, far[0], atol=1e-5)


def test_the_pie_of_the_standard() -> None:
    outline = path_outline("M300,200 h-150 a150,150 0 1,0 150,-150 z")
    points, _ = flattened(outline.controls[1:-1], np.array([0, len(outline.controls) - 2]), 1e-6)
    assert np.hypot(*np.diff(points, axis=0).T).sum() == pytest.approx(706.858347058, abs=1e-3)
    whole = shapely.Polygon(outline.controls[:, 0])
    assert whole.bounds == pytest.approx((150, 50, 450, 350), abs=0.2)


@pytest.mark.parametrize(
    ("data", "count"),
    [
        ("M1 1A5 5 0 0 1 1 1", 0),  # an arc back to its start is left out
        ("M1 1A0 5 0 0 1 9 9", 1),  # a radius of 0: a straight line
        ("M1 1A5 0 0 0 1 9 9", 1),
        ("M0 0A1e200 1e200 0 0 1 1e-200 9", 1),
    ],
)
def test_arcs_that_are_none(data: str, count: int) -> None:
    outline = path_outline(data)
    assert outline.fault == ""
    assert len(outline.controls) == count


@given(st.text(alphabet="MmLlHhVvCcSsQqTtAaZz0123456789.-+eE ,\n", max_size=40))
def test_no_text_is_too_wild(data: str) -> None:
    outline = path_outline("M0 0" + data)
    assert outline.firsts[-1] == len(outline.controls)
    assert len(outline.shut) == len(outline.firsts) - 1
    assert (np.diff(outline.firsts) > 0).all()


@given(st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)), min_size=2, max_size=9))
def test_relative_and_absolute_are_the_same_lines(points: list[tuple[float, float]]) -> None:
    absolute = "M" + "L".join(f"{x!r} {y!r}" for x, y in points)
    steps = np.diff(np.array(points), axis=0, prepend=0)
    relative = "m" + "l".join(f"{x!r} {y!r}" for x, y in steps.tolist())
    one = path_outline(absolute).controls[:, 3]
    other = path_outline(relative).controls[:, 3]
    np.testing.assert_allclose(one, other, atol=1e-8)
