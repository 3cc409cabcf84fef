from __future__ import annotations

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue

# D. H. Douglas, T. K. Peucker, Cartographica 10, 1973: the method; the figures were computed by
# hand from its definition.
LINE = [(0, 0), (1, 0.1), (2, -0.1), (3, 5), (4, 6), (5, 7), (6, 8.1), (7, 9), (8, 9), (9, 9)]


@pytest.mark.parametrize(
    ("tolerance", "kept"),
    [
        (1, [0, 2, 3, 7, 9]),
        (0.5, [0, 2, 3, 7, 9]),
        (0.2, [0, 2, 3, 7, 9]),
        (0.05, [0, 1, 2, 3, 6, 7, 9]),
        (2, [0, 9]),
    ],
)
def test_simplify_keeps_the_points_that_the_method_keeps(tolerance: float, kept: list[int]) -> None:
    assert Drawing([LINE]).simplified(tolerance)[0].tolist() == [list(LINE[k]) for k in kept]


coordinate = st.integers(-20, 20).map(lambda k: k / 2)
strokes = st.lists(
    st.lists(st.tuples(coordinate, coordinate), min_size=1, max_size=12), min_size=1, max_size=5
)


@given(strokes, st.floats(0, 8), st.booleans())
def test_simplify_stays_within_its_tolerance(
    points: list[list[tuple[float, float]]], tolerance: float, close: bool
) -> None:
    drawing = Drawing([[*stroke, stroke[0]] if close else stroke for stroke in points])
    result = drawing.simplified(tolerance)
    assert len(result) == len(drawing)
    for before, after in zip(drawing, result, strict=True):
        assert before[0].tolist() == after[0].tolist()
        assert before[-1].tolist() == after[-1].tolist()
        line = shapely.Point(after[0]) if len(after) == 1 else shapely.LineString(after)
        assert shapely.distance(shapely.points(before), line).max() <= tolerance + 1e-9
        places = {tuple(point) for point in before.tolist()}
        assert all(tuple(point) in places for point in after.tolist())


@given(strokes, st.floats(0.05, 30))
def test_resample_spaces_points_evenly_on_the_stroke(
    points: list[list[tuple[float, float]]], spacing: float
) -> None:
    drawing = Drawing(points)
    result = drawing.resampled(spacing)
    for before, after, total in zip(drawing, result, drawing.lengths, strict=True):
        assert before[0].tolist() == after[0].tolist()
        assert before[-1].tolist() == after[-1].tolist()
        line = shapely.Point(before[0]) if len(before) == 1 else shapely.LineString(before)
        assert shapely.distance(shapely.points(after), line).max() <= 1e-9
        assert np.hypot(*np.diff(after, axis=0).T).max(initial=0) <= spacing + 1e-9
        fewest = max(int(np.ceil(total / spacing - 1e-9)), 1) if total else 0
        assert len(after) - 1 in {fewest, 3}


def test_resample_of_a_straight_line_is_exact() -> None:
    assert Drawing([[(0, 0), (1, 0), (10, 0)]]).resampled(2.5)[0].tolist() == [
        [0, 0],
        [2.5, 0],
        [5, 0],
        [7.5, 0],
        [10, 0],
    ]


@pytest.mark.parametrize("wrong", [0, -1, np.nan, "a", None])
def test_wrong_spacing_and_tolerance_are_refused(wrong: object) -> None:
    with pytest.raises(InvalidValue, match="spacing"):
        Drawing([LINE]).resampled(wrong)  # type: ignore[arg-type]
    if wrong != 0:
        with pytest.raises(InvalidValue, match="tolerance"):
            Drawing([LINE]).simplified(wrong)  # type: ignore[arg-type]


def test_a_spacing_too_fine_for_any_memory_is_refused() -> None:
    with pytest.raises(
        InvalidValue,
        match=r"a spacing of 1e-09 mm makes 10,000,000,000 points, more than 100,000,000",
    ):
        Drawing([[(0, 0), (10, 0)]]).resampled(1e-9)
    with pytest.raises(InvalidValue, match="more than 100,000,000"):
        Drawing([[(0, 0), (1e8, 0)]]).resampled(1e-300)
