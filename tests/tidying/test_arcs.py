"""Arcs found in strokes: as the circles that they were made of, and as near as they promise."""

from __future__ import annotations

import itertools
import math

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings

from plotlib.arrays import arcs_kernel as kernel
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.shapes import circle, line, rectangle, regular_polygon, star
from plotlib.tidying import Arc, arcs


def along(centre: tuple[float, float], radius: float, start: float, end: float) -> FloatArray:
    """Points every degree or so on an arc, its ends among them; angles in degrees."""
    angle = np.radians(np.linspace(start, end, max(2, round(abs(end - start)) + 1)))
    return np.column_stack([centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle)])


def worst_gap(arc: Arc, drawing: Drawing) -> float:
    """The Hausdorff distance of an arc, in chords that lie within 1e-4 of it, and its polyline."""
    step = math.degrees(2 * math.acos(1 - 1e-4 / arc.radius))
    count = math.ceil(abs(arc.end - arc.start) / step) + 1
    angle = np.radians(np.linspace(arc.start, arc.end, count))
    drawn = np.asarray(arc.centre) + arc.radius * np.column_stack([np.cos(angle), np.sin(angle)])
    points = drawing[arc.stroke][arc.first : arc.last + 1]
    return float(
        shapely.hausdorff_distance(
            shapely.linestrings(drawn), shapely.linestrings(points), densify=0.02
        )
    )


# ---- values, by the geometry of the circle


@pytest.mark.parametrize(
    ("start", "end"), [(0, 90), (90, 0), (10, 200), (200, 10), (350, 400), (-20, -300), (5, 330)]
)
def test_an_arc_is_found_as_it_was_made(start: float, end: float) -> None:
    (found,) = arcs(Drawing([along((30, -40), 17, start, end)]))
    assert found.centre == pytest.approx((30, -40), abs=1e-9)
    assert found.radius == pytest.approx(17, abs=1e-9)
    assert 0 <= found.start < 360
    assert math.remainder(found.start - start, 360) == pytest.approx(0, abs=1e-9)
    assert found.end - found.start == pytest.approx(end - start, abs=1e-9)
    assert found.length == pytest.approx(17 * math.radians(abs(end - start)), abs=1e-9)
    assert (found.stroke, found.first, found.last) == (0, 0, abs(end - start))


@pytest.mark.parametrize("sense", [1, -1])
def test_a_circle_is_one_arc(sense: int) -> None:
    ring = circle((60, 50), 20)
    points = ring[0][::sense]
    (found,) = arcs(Drawing([points]))
    assert (found.first, found.last) == (0, len(points) - 1)
    assert found.end - found.start == sense * 360
    assert found.radius == pytest.approx(20, abs=1e-9)


def test_the_corners_of_a_rounded_rectangle() -> None:
    found = arcs(rectangle((0, 0), 50, 30, radius=5))
    assert [arc.centre for arc in found] == [
        pytest.approx(place, abs=1e-9) for place in ((45, 5), (45, 25), (5, 25), (5, 5))
    ]
    assert all(arc.end - arc.start == pytest.approx(90, abs=1e-6) for arc in found)


def test_a_spoon_is_a_line_and_an_arc() -> None:
    bowl = along((0, 0), 8, 200, -20)
    spoon = Drawing([[(-30, 0), (-12, -2)], np.vstack([[(-40, -3)], bowl, [(40, -3)]])])
    (found,) = arcs(spoon)
    assert (found.stroke, found.first, found.last) == (1, 1, len(bowl))
    assert found.end - found.start == pytest.approx(-220)


def test_two_arcs_share_the_point_where_they_meet() -> None:
    wave = np.vstack([along((0, 0), 10, 180, 0), along((20, 0), 10, 180, 360)[1:]])
    first, second = arcs(Drawing([wave]))
    assert first.last == second.first == 180
    assert first.end - first.start == pytest.approx(-180)
    assert second.end - second.start == pytest.approx(180)


def test_more_than_a_turn_is_more_than_one_arc() -> None:
    twice = along((0, 0), 10, 0, 720)
    found = arcs(Drawing([twice]))
    assert sum(arc.end - arc.start for arc in found) == pytest.approx(720)


@pytest.mark.parametrize(
    "drawing",
    [
        Drawing(),
        Drawing([[(3, 3)]]),
        line((0, 0), (90, 5)),
        rectangle((0, 0), 4, 4),
        regular_polygon((0, 0), 1.0, sides=6),
        star((0, 0), 20),
        Drawing([[(k, 0.02 * (k % 2)) for k in range(100)]]),
        # three points lie on a circle whatever they are
        Drawing([[(0, 0), (1, 0.3), (2, 0)]]),
        # flatter than two tolerances: 1000 - sqrt(1000² - 5²) = 0.0125, by Pythagoras
        Drawing([along((0, 0), 1000, 89.7, 90.3)]),
        # smaller than ten tolerances
        circle((0, 0), 0.29, tolerance=0.001),
        # there and back
        Drawing([np.vstack([along((0, 0), 20, 0, 2), along((0, 0), 20, 2, 0)[1:]])]),
    ],
)
def test_what_is_no_arc(drawing: Drawing) -> None:
    assert arcs(drawing) == ()


def test_points_to_the_hundredth_still_make_a_circle() -> None:
    ring = circle((33.333, 44.444), 7.77)
    rounded = Drawing([np.round(ring[0], 2)])
    (found,) = arcs(rounded)
    assert found.centre == pytest.approx((33.333, 44.444), abs=0.01)
    assert found.radius == pytest.approx(7.77, abs=0.01)


def test_a_line_of_many_points_before_an_arc() -> None:
    # passed over in halves, where a look from each point would take hours
    dense = np.column_stack([np.linspace(-300, 0, 300_001), np.zeros(300_001)])
    found = arcs(Drawing([np.vstack([dense, along((0, 12), 12, -90, 90)[1:]])]))
    assert found[0].first > 290_000
    assert found[-1].last == 300_180
    assert found[-1].radius == pytest.approx(12, abs=0.01)
    assert sum(arc.end - arc.start for arc in found) == pytest.approx(180, abs=5)


@pytest.mark.parametrize("tolerance", [0, -1, math.nan, 101, "a"])
def test_a_tolerance_out_of_range_is_refused(tolerance: float) -> None:
    with pytest.raises(InvalidValue, match="tolerance"):
        arcs(circle((0, 0), 5), tolerance=tolerance)


def test_little_work_by_python_is_the_same_as_compiled(monkeypatch: pytest.MonkeyPatch) -> None:
    drawing = rectangle((0, 0), 50, 30, radius=5) + circle((4, 4), 3)
    monkeypatch.setattr(kernel.find, "little", 10**9)
    by_python = arcs(drawing)
    monkeypatch.setattr(kernel.find, "little", 0)
    assert arcs(drawing) == by_python


# ---- laws


@settings(deadline=None, max_examples=25)
@given(st.integers(0, 2**32), st.sampled_from([0.01, 0.03, 0.2]))
def test_arc_and_polyline_are_within_the_tolerance_both_ways(seed: int, tolerance: float) -> None:
    random = np.random.default_rng(seed)
    heading = np.cumsum(
        random.normal(0, 0.03, (5, 300)) + random.uniform(-0.2, 0.2, (5, 1)), axis=1
    )
    steps = np.stack([np.cos(heading), np.sin(heading)], axis=-1) * 0.3
    drawing = Drawing(np.cumsum(steps, axis=1)) + circle((0, 0), random.uniform(3, 30))
    found = arcs(drawing, tolerance=tolerance)
    assert found
    for arc in found:
        assert arc.radius >= 10 * tolerance
        assert arc.last - arc.first >= 3
        assert worst_gap(arc, drawing) <= tolerance + 2e-4
    for before, after in itertools.pairwise(found):
        assert (before.stroke, before.last) <= (after.stroke, after.first)


@settings(deadline=None, max_examples=15)
@given(
    st.floats(1, 200),
    st.floats(0, 360),
    st.floats(20, 359),
    st.booleans(),
    st.floats(-100, 100),
)
@example(2.0, 0.0, 29.0, False, 0.0)  # its circle rises by 0.064, its points by 0.057
def test_every_arc_of_a_circle_comes_back(
    radius: float, start: float, turn: float, clockwise: bool, x: float
) -> None:
    end = start - turn if clockwise else start + turn
    step = math.degrees(2 * math.acos(1 - 0.02 / radius))
    count = max(4, math.ceil(turn / step) + 1)
    angle = np.radians(np.linspace(start, end, count))
    points = np.column_stack([x + radius * np.cos(angle), radius * np.sin(angle)])
    middle = np.radians((start + end) / 2)
    rise = radius * (np.cos(angle - middle).max() - math.cos(math.radians(turn / 2)))
    found = arcs(Drawing([points]))
    if rise < 0.0599:
        assert found == ()
    if rise < 0.0601:
        return
    (arc,) = found
    assert arc.radius == pytest.approx(radius, rel=1e-6)
    assert arc.centre == pytest.approx((x, 0), abs=1e-6 * radius + 1e-6)
    assert arc.end - arc.start == pytest.approx(end - start, abs=1e-4)
