from __future__ import annotations

import subprocess
import sys

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given

from plotlib.arrays import simplify_kernel
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from tests.outside import COMPUTED, published

# D. H. Douglas, T. K. Peucker, Cartographica 10, 1973: the method; the figures were computed by
# hand from its definition.
LINE = [(0, 0), (1, 0.1), (2, -0.1), (3, 5), (4, 6), (5, 7), (6, 8.1), (7, 9), (8, 9), (9, 9)]


@published(
    module="arrays",
    source="D. H. Douglas, T. K. Peucker, Cartographica 10, 1973, worked by hand",
    kind=COMPUTED,
    column="kept",
)
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


# ---- strokes of any length

SMALL_STACK = """
import threading
import numpy as np
from plotlib import Drawing

def zigzag(count):
    along = np.arange(count)
    return np.column_stack((along * 0.5, along % 2 * 3.0))

def hatch(count):
    along = np.arange(count)
    return np.column_stack(((along + 1) // 2 % 2 * 100.0, along // 2 * 0.5))

def work():
    for stroke in (zigzag(200_000), hatch(200_000)):
        drawing = Drawing([stroke])
        print(len(drawing.simplified(0.1)[0]), bool(drawing._repr_svg_() or drawing._repr_png_()))

threading.stack_size(1 << 20)
thread = threading.Thread(target=work)
thread.start()
thread.join()
"""


def test_long_strokes_need_no_deep_stack() -> None:
    """Corners of a zigzag are farther from each other's links than the tolerance, so all stay."""
    done = subprocess.run(
        [sys.executable, "-c", SMALL_STACK], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (0, "200000 True\n" * 2)


def by_shapely(points: FloatArray, tolerance: float) -> FloatArray:
    line = shapely.simplify(shapely.linestrings(points), tolerance, preserve_topology=False)
    return shapely.get_coordinates(line)


@pytest.mark.parametrize("seed", range(60))
def test_the_kernel_keeps_the_points_that_shapely_keeps(seed: int) -> None:
    random = np.random.default_rng(seed)
    points = random.normal(size=(random.integers(3, 3_000), 2)).cumsum(axis=0)
    if seed % 2:
        points = np.vstack([points, points[:1]])
    if seed % 3 == 0:
        points = np.rint(points)
    tolerance = 10 ** random.uniform(-2, 1)
    keep = simplify_kernel.kept(points, np.array([0, len(points)]), tolerance)
    assert points[keep].tolist() == by_shapely(points, tolerance).tolist()


def test_a_stretch_split_too_often_is_halved_and_stays_within_its_tolerance() -> None:
    """A zigzag that grows is split at its end each time, deeper than the kernel follows."""
    along = np.arange(5_000)
    points = np.column_stack((along * 0.5, np.where(along % 2, 1.0, 0.0) * (1 + along / 1000)))
    points[1_000:3_000, 1] = 0.0
    keep = simplify_kernel.kept(points, np.array([0, len(points)]), 0.2)
    line = shapely.LineString(points[keep])
    assert shapely.distance(shapely.points(points), line).max() <= 0.2
    assert keep[:1_000].all()
    assert keep[3_000:].all()
    assert 2 <= keep[1_000:3_000].sum() <= 20


def test_short_and_long_strokes_stay_in_their_order() -> None:
    ramp = np.column_stack((np.linspace(0, 1, 5_000), np.zeros(5_000)))
    drawing = Drawing([[(5, 5)], ramp, [(0, 0), (1, 0), (2, 0)], ramp[::-1], [(0, 0), (1, 1)]])
    ends = [stroke[[0, -1]].tolist() for stroke in drawing.simplified(0.01)]
    assert ends == [stroke[[0, -1]].tolist() for stroke in drawing]
    assert np.diff(drawing.simplified(0.01).offsets).tolist() == [1, 2, 2, 2, 2]
