"""Ink once: the union of the ink stays, and only double ink goes."""

from __future__ import annotations

from itertools import combinations, groupby, pairwise

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from plotlib.drawing import Drawing
from plotlib.pen import Pen
from plotlib.shapes import circle, rectangle
from plotlib.tidying import once
from plotlib.tidying import once_kernel as kernel

BLUE = Pen("blue")
RED = Pen("red", colour="red")


def ink(drawing: Drawing) -> shapely.Geometry:
    return shapely.union_all(drawing.to_shapely())


def far(drawing: Drawing, other: Drawing, step: float = 0.01) -> float:
    """How far points along a drawing are from another one, at most."""
    if not len(drawing):
        return 0.0
    points = shapely.points(drawing.resampled(step).points)
    return float(shapely.distance(points, ink(other)).max())


def test_a_grid_of_squares_becomes_its_edges() -> None:
    # 100 columns and rows: 2 * 100 * 101 = 20,200 edges, by hand
    squares = [
        [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1), (i, j)]
        for i in range(100)
        for j in range(100)
    ]
    edges = once(Drawing(squares))
    assert len(edges.points) - len(edges) == 20_200
    assert edges.length == 20_200.0


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ([[(0, 0), (9, 0)], [(0, 0), (9, 0)]], [[(0, 0), (9, 0)]]),
        ([[(0, 0), (9, 0)], [(9, 0), (0, 0)]], [[(0, 0), (9, 0)]]),
        ([[(0, 0), (9, 0)], [(5, 0), (12, 0)]], [[(0, 0), (9, 0)], [(9, 0), (12, 0)]]),
        # the longer stroke stays whole, whichever comes first
        ([[(4, 0), (5, 0)], [(0, 0), (9, 0)]], [[(0, 0), (9, 0)]]),
        # there and back
        ([[(0, 0), (9, 0), (0, 0)]], [[(0, 0), (9, 0)]]),
        # a shared stretch in the middle
        (
            [[(0, 0), (9, 0), (9, 9)], [(3, -3), (3, 0), (6, 0), (6, -3)]],
            [[(0, 0), (9, 0), (9, 9)], [(3, -3), (3, 0)], [(6, 0), (6, -3)]],
        ),
        # overlaps shorter than any run of near ink go too, if they are exact
        ([[(0, 0), (9, 0)], [(8.999, 0), (9.5, 0)]], [[(0, 0), (9, 0)], [(9, 0), (9.5, 0)]]),
        # crossings and touching ends stay
        ([[(0, 0), (9, 0)], [(4, -4), (4, 4)]], [[(0, 0), (9, 0)], [(4, -4), (4, 4)]]),
        ([[(0, 0), (9, 0)], [(9, 0), (18, 0)]], [[(0, 0), (9, 0)], [(9, 0), (18, 0)]]),
        ([[(0, 0), (9, 0)], [(0, 0), (9, 1.2)]], [[(0, 0), (9, 0)], [(0, 0), (9, 1.2)]]),
        # dots
        ([[(5, 5)], [(5, 5)], [(6, 5)]], [[(5, 5)], [(6, 5)]]),
        ([[(3, 0)], [(0, 0), (9, 0)], [(3, 0.5)]], [[(0, 0), (9, 0)], [(3, 0.5)]]),
        ([[(3, 3), (3, 3)], [(3, 3)]], [[(3, 3)]]),
        ([], []),
    ],
)
def test_double_ink_goes(given: list[list[tuple[float, float]]], kept: list[object]) -> None:
    found = [[tuple(point) for point in stroke.tolist()] for stroke in once(Drawing(given))]
    assert found == kept


def test_ink_of_another_pen_is_not_the_same() -> None:
    line = Drawing([[(0, 0), (9, 0)]])
    both = line.inked(BLUE) + line.inked(RED) + line.inked(BLUE)
    assert once(both) == line.inked(BLUE) + line.inked(RED)


def test_neighbouring_areas_share_their_border() -> None:
    tiles = rectangle((0, 0), 10, 10) + rectangle((10, 2), 8, 4) + rectangle((18, 0), 5, 9)
    tidy = once(tiles)
    assert tidy.length == pytest.approx(tiles.length - 4 - 4, abs=1e-9)
    assert ink(tidy).symmetric_difference(ink(tiles)).length < 1e-9
    assert [len(stroke) for stroke in tidy] == [5, 2, 2, 5]


def test_a_closed_stroke_that_loses_its_start_is_one_piece() -> None:
    square = Drawing([[(5, 0), (10, 0), (10, 10), (0, 10), (0, 0), (5, 0)]])
    line = Drawing([[(2, 10), (5, 10), (8, 10), (8, 60)]])
    assert [len(stroke) for stroke in once(square + line)] == [7, 4]


@pytest.mark.parametrize("turn", [0.0, 3.0, 117.0])
def test_a_circle_that_is_traced_again_goes_whole(turn: float) -> None:
    first = circle((50, 50), 20)
    again = first.turned(turn, about=(50, 50))
    assert len(once(first + again, tolerance=0.05)) == 1
    assert len(once(first + circle((50, 50), 20.2), tolerance=0.05)) == 2


def test_an_arc_that_is_traced_again_goes_and_the_rest_stays() -> None:
    angles = np.radians(np.arange(0, 181, 1.7))
    some = np.radians(np.arange(120, 300, 2.3))
    first = Drawing([np.column_stack([30 * np.cos(angles), 30 * np.sin(angles)])])
    second = Drawing([np.column_stack([30 * np.cos(some), 30 * np.sin(some)])])
    tidy = once(first + second)
    assert len(tidy) == 2
    # by hand: an arc of 0 to 299.4 degrees
    assert tidy.length == pytest.approx(30 * np.radians(299.4), abs=0.1)
    assert far(first + second, tidy) <= 0.02 + 1e-9


def test_dense_points_with_noise_do_not_erase_themselves() -> None:
    random = np.random.default_rng(3)
    along = np.linspace(0, 40, 8_000)
    wobble = np.column_stack([along, np.sin(along)]) + random.normal(0, 0.003, (8_000, 2))
    tidy = once(Drawing([wobble]))
    assert len(tidy) == 1
    assert np.array_equal(tidy[0], wobble)


def test_lines_that_cross_at_ten_degrees_stay_whole() -> None:
    line = Drawing([[(-20, 0), (20, 0)]])
    cross = line + line.turned(10) + line.turned(100)
    assert once(cross) == cross


def test_many_hits_and_much_ink_make_room() -> None:
    short = Drawing([[(k / 10, 0), (k / 10 + 0.05, 0)] for k in range(400)])
    long = Drawing([[(0, 0), (40, 0), (40, 1), (39.95, 1)]])
    assert once(short + long) == long
    pieces = Drawing([[(k / 10, 0.2 * (k % 2)), (k / 10 + 6.0, 0.2 * (k % 2))] for k in range(900)])
    comb = once(pieces)
    assert comb.length == pytest.approx(ink(pieces).length, abs=1e-6)


def test_little_work_by_python_is_the_same_as_compiled(monkeypatch: pytest.MonkeyPatch) -> None:
    few = rectangle((0, 0), 10, 10) + rectangle((10, 2), 8, 4) + circle((0, 0), 5)
    by_python = once(few)
    monkeypatch.setattr(kernel.lay, "little", 0)
    assert once(few) == by_python


places = st.tuples(st.integers(0, 12), st.integers(0, 12))
strokes = st.lists(
    st.lists(places, min_size=1, max_size=5).map(lambda stroke: [p for p, _ in groupby(stroke)]),
    min_size=1,
    max_size=8,
)


def most_lost(drawing: Drawing, tolerance: float) -> float:
    """How much of the union may go at most where two segments are near each other but not the same.

    In the direction of one of them, ink that crosses it at an angle stays within the tolerance for
    ``2 * tolerance / tan(angle)``, and each end of that ink reaches the tolerance farther. Such a
    part goes where a run of 25 tolerances holds it; ink steeper than a tangent of 0.6 never does.
    On this grid no two parallel lines are nearer than 1 / sqrt(288) = 0.059.
    """
    segments = [pair for stroke in drawing for pair in pairwise(stroke)]
    most = 0.0
    for one, other in combinations(segments, 2):
        (ux, uy), (vx, vy) = one[1] - one[0], other[1] - other[0]
        across = abs(ux * vy - uy * vx)
        along = abs(ux * vx + uy * vy)
        if across == 0.0 or across > 0.6 * along + 1e-9:
            continue
        if shapely.dwithin(shapely.LineString(one), shapely.LineString(other), tolerance):
            most += 2.0 * tolerance * along / across + 2.0 * tolerance
    return most


@settings(deadline=None, max_examples=30)
@given(strokes, st.sampled_from([0.0, 0.02]))
def test_on_a_grid_the_ink_is_the_union_of_all_segments(
    given: list[list[tuple[float, float]]], tolerance: float
) -> None:
    """Shapely's union of all segments is the oracle: same length, same places."""
    drawing = Drawing(given)
    tidy = once(drawing, tolerance=tolerance)
    lines = Drawing([stroke for stroke in tidy if len(stroke) > 1])
    before = shapely.union_all([line for line in drawing.to_shapely() if line.length > 0])
    slack = most_lost(drawing, tolerance)
    assert before.length - slack - 1e-6 <= lines.length <= before.length + 1e-6
    assert far(drawing, tidy, 0.05) <= tolerance + 2e-6
    assert far(tidy, drawing, 0.05) <= tolerance + 2e-6


@settings(deadline=None, max_examples=25)
@given(st.integers(0, 2**32), st.floats(0.001, 0.5))
def test_what_goes_lies_on_what_stays(seed: int, tolerance: float) -> None:
    random = np.random.default_rng(seed)
    walks = np.cumsum(random.normal(0, 1, (4, 12, 2)), axis=1)
    noise = random.uniform(-tolerance, tolerance, (4, 12, 2)) / 2
    drawing = Drawing([*walks, *(walks + noise)])
    tidy = once(drawing, tolerance=tolerance)
    assert tidy.length <= drawing.length + 1e-9
    assert far(drawing, tidy, 0.05) <= tolerance + 1e-6
    assert far(tidy, drawing, 0.05) <= 1e-6


@settings(deadline=None, max_examples=15)
@given(strokes)
def test_once_is_enough(given: list[list[tuple[float, float]]]) -> None:
    tidy = once(Drawing(given), tolerance=0.0)
    again = once(tidy, tolerance=0.0)
    assert again.length == pytest.approx(tidy.length, abs=1e-9)
    assert len(again) == len(tidy)
