from __future__ import annotations

import random
import re

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib.drawing import Drawing
from plotlib.machine import Axis, Machine, ZLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.testing import (
    assert_deterministic,
    assert_inside,
    assert_pen_gap,
    assert_plot_time_below,
    assert_same_ink,
    drawings,
    regions,
)

FEW = settings(max_examples=40, deadline=None)
RING = shapely.Point(50, 50).buffer(40).difference(shapely.Point(50, 50).buffer(20))
AXIS = Axis(6_000, 500)
BENCH = Machine(width=200, height=200, x=AXIS, y=AXIS, lift=ZLift(4, 0, 600), feed=3_000)


def fault(claim: object, *arguments: object, **named: object) -> str:
    with pytest.raises(AssertionError) as caught:
        claim(*arguments, **named)  # type: ignore[operator]
    return str(caught.value)


# inside


def test_a_line_over_a_hole_is_outside_though_both_its_ends_are_inside() -> None:
    message = fault(assert_inside, Drawing([[(20, 50), (80, 50)]]), RING)
    assert re.search(r"by 19\.9\d* mm at \((50|50\.0+\d*|49\.99\d*), 50\)", message), message
    assert "M20 50L80 50" in message


def test_dots_and_edges_are_looked_at() -> None:
    card = shapely.box(0, 0, 90, 50)
    assert_inside(Drawing([[(90, 50)], card.exterior.coords]), card)
    assert "by 1 mm at (91, 50)" in fault(assert_inside, Drawing([[(91, 50)]]), card)
    assert_inside(Drawing(), card)


def test_what_lies_within_the_tolerance_passes() -> None:
    card = shapely.box(0, 0, 90, 50)
    over = Drawing([[(0, 0), (90.4, 50)]])
    assert_inside(over, card, tolerance=0.41)
    assert "0.4 mm" in fault(assert_inside, over, card, tolerance=0.39)


@FEW
@given(drawings(), regions())
def test_what_was_clipped_is_inside_and_what_was_erased_is_not(
    drawing: Drawing, region: shapely.Polygon
) -> None:
    assert_inside(drawing.clipped(region), region)
    outside = shapely.difference(shapely.box(-1, -1, 101, 101), region)
    assert_inside(drawing.erased(region), outside)


@FEW
@given(drawings(), regions())
def test_it_passes_what_the_hausdorff_distance_passes(
    drawing: Drawing, region: shapely.Polygon
) -> None:
    """Against shapely's directed distance of a densified line, within its own step of 0.5 mm."""
    lines = shapely.MultiLineString([np.vstack([s, s[-1:] + 1e-6]) for s in drawing])
    if not len(drawing):
        return
    places = shapely.get_coordinates(shapely.segmentize(lines, 0.5))
    farthest = shapely.distance(region, shapely.points(places)).max()
    assert_inside(drawing, region, tolerance=farthest + 0.26)
    if farthest > 0.02:
        fault(assert_inside, drawing, region, tolerance=farthest - 0.01)


def test_a_peak_between_two_halves_is_found_with_a_wide_tolerance_too() -> None:
    """A line from one square to another, past the corner of a third: x = 8200 / 180 is as far from
    the first as from that corner.
    """
    squares = [shapely.box(-1, -1, 0, 1), shapely.box(100, -1, 101, 1), shapely.box(90, 10, 91, 11)]
    peak = (90**2 + 10**2) / (2 * 90)
    line = Drawing([[(0, 0), (100, 0)]])
    assert_inside(line, shapely.MultiPolygon(squares), tolerance=peak + 1e-6)
    fault(assert_inside, line, shapely.MultiPolygon(squares), tolerance=peak - 0.02)


# the same ink


def test_order_direction_cuts_and_double_ink_make_no_difference() -> None:
    one = Drawing([[(0, 0), (10, 0), (10, 10)], [(3, 3)]])
    other = Drawing([[(3, 3)], [(10, 10), (10, 2)], [(10, 0), (10, 5)], [(10, 0), (0, 0)]])
    assert_same_ink(one, other)
    assert_same_ink(other, one)


def test_missing_and_moved_ink_is_told_with_its_place() -> None:
    one = Drawing([[(0, 0), (10, 0)], [(0, 5), (10, 5)]])
    message = fault(assert_same_ink, one, one[:1])
    assert "ink of the first drawing lies 5 mm from all ink of the other" in message
    assert "M0 5L10 5" in message
    assert "ink of the other drawing" in fault(assert_same_ink, one[:1], one)


def test_ink_of_another_pen_is_other_ink() -> None:
    line = [[(0, 0), (10, 0)]]
    message = fault(assert_same_ink, Drawing(line, pen=Pen("red")), Drawing(line, pen=Pen("blue")))
    assert "is missing in the other, which has none of this pen" in message
    assert 'pen "red"' in message


def test_a_gap_in_the_middle_is_found() -> None:
    whole = Drawing([[(0, 0), (100, 0)]])
    parts = Drawing([[(0, 0), (49.9, 0)], [(50.1, 0), (100, 0)]])
    assert_same_ink(whole, parts, tolerance=0.11)
    assert "0.1" in fault(assert_same_ink, whole, parts, tolerance=0.09)


@FEW
@given(drawings(), st.floats(0.02, 5), st.floats(0, 2 * np.pi))
def test_moving_by_more_than_the_tolerance_is_seen_and_by_less_is_not(
    drawing: Drawing, step: float, angle: float
) -> None:
    moved = drawing.moved(step * np.cos(angle), step * np.sin(angle))
    assert_same_ink(drawing, moved, tolerance=step * 1.001)
    if len(drawing):  # the farthest corner in the direction of the move has nothing beyond it
        fault(assert_same_ink, drawing, moved, tolerance=step * 0.98)


@FEW
@given(drawings())
def test_a_plan_keeps_the_ink(drawing: Drawing) -> None:
    assert_same_ink(plan(drawing, BENCH).drawing, drawing, tolerance=0.002)


# the same twice


def test_shared_random_numbers_are_seen_and_left_as_they_were() -> None:
    def careless(size: float) -> Drawing:
        return Drawing([[(random.random() * size, 0), (1, np.random.rand())]])  # noqa: NPY002

    before = random.getstate(), np.random.get_state()[1].tolist()  # noqa: NPY002
    message = fault(assert_deterministic, careless, 10)
    assert "two calls of careless differ: point 0 of stroke 0" in message
    after = random.getstate(), np.random.get_state()[1].tolist()  # noqa: NPY002
    assert before == after


def test_each_kind_of_result_is_compared() -> None:
    state = iter(range(100))
    for changing, words in (
        (lambda: next(state), "one is 0, the other 1"),
        (lambda: [1, {"tide": next(state)}], "in item 1 at 'tide' one is 2, the other 3"),
        (lambda: np.full(3, next(state)), "the arrays differ"),
        (lambda: np.zeros(next(state)), "has shape (6,), the other (7,)"),
        (lambda: Drawing([[(0, 0)]] * next(state)), "one has 8 strokes, the other 9"),
        (lambda: Drawing([[(0, k) for k in range(next(state))]]), "10 points in one, 11"),
        (lambda: Drawing([[(0, 0)]], pen=Pen(f"{next(state)}")), "the pens differ"),
        (lambda: "a" if next(state) % 2 else 1, "one gave int, the other str"),
        (lambda: [0] * next(state), "one has 16 items, the other 17"),
        (lambda: {next(state): 1}, "one has the keys [18]"),
        (lambda: plan(Drawing([[(next(state), 0)]]), BENCH), "point 0 of stroke 0 lies 1 mm"),
    ):
        message = fault(assert_deterministic, changing)
        assert words in message, message
    assert_deterministic(lambda: (Drawing([[(0, 0)]]), {"a": np.arange(3)}, plan(Drawing(), BENCH)))


# time


def test_the_time_is_told_with_what_it_goes_to() -> None:
    plot = plan(Drawing([[(0, 0), (100, 0)]]), BENCH)
    assert_plot_time_below(plot, plot.duration * 1.01)
    message = fault(assert_plot_time_below, plot, plot.duration)
    assert "100 mm of ink in 1 stroke," in message
    assert "0.0 s more than" in message


# gaps


def test_parallel_lines_count_from_their_middle_lines() -> None:
    rows = Drawing([[(0, y), (50, y)] for y in np.arange(0, 10, 0.7)])
    assert_pen_gap(rows, 0.7)
    message = fault(assert_pen_gap, rows, 0.71)
    assert "come as near as 0.7 mm, 0.01 mm less than the gap" in message


def test_lines_that_cross_come_as_near_as_nothing() -> None:
    cross = Drawing([[(0, 0), (10, 10)], [(0, 10), (10, 0)]])
    message = fault(assert_pen_gap, cross, 0.3)
    assert "strokes 0 and 1 come as near as 0 mm" in message
    assert "at (5, 5)" in message


def test_a_bend_is_no_fault_but_a_stroke_that_comes_back_is() -> None:
    bend = Drawing([[(0, 0), (10, 0), (10, 1.5), (0, 1.5)]])
    assert_pen_gap(bend, 1.0)
    message = fault(assert_pen_gap, bend, 1.6)
    assert "stroke 0 comes back to itself, as near as 1.5 mm" in message


def test_a_ring_is_near_itself_across_its_end_only_as_a_bend() -> None:
    ring = Drawing([shapely.Point(0, 0).buffer(5, quad_segs=32).exterior.coords])
    assert_pen_gap(ring, 2.0)


@FEW
@given(drawings(most=5), st.floats(0.1, 20))
def test_strokes_apart_pass_as_shapely_measures_them(drawing: Drawing, gap: float) -> None:
    """Strokes against each other, each as one geometry of shapely's."""
    alone = [
        shapely.LineString(s) if np.ptp(s, axis=0).any() else shapely.Point(s[0])
        for s in (stroke.round(6) for stroke in drawing)
    ]
    nearest = min(
        (shapely.distance(a, b) for k, a in enumerate(alone) for b in alone[:k]), default=np.inf
    )
    if nearest < gap * 0.999:
        fault(assert_pen_gap, drawing, gap)


def test_a_long_drawing_is_shown_in_part() -> None:
    many = Drawing([[(x, 0), (x, 9.123456)] for x in range(200)])
    message = fault(assert_inside, many, shapely.box(0, 0, 198.5, 10))
    assert "stroke 199 as an SVG path (mm, y up): M199 0L199 9.12346" in message
    long = Drawing([[(x, x % 7) for x in range(200)]])
    message = fault(assert_inside, long, shapely.box(0, 0, 198.5, 10))
    assert "… (cut off)" in message
