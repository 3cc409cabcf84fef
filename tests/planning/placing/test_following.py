"""Points that a pen needs over a bent bed, against the bed measured at many places."""

from __future__ import annotations

from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from plotlib.drawing import Drawing
from plotlib.machine import Axis, HeightMap, Machine, ZLift
from plotlib.planning.placing.following import farthest, following
from plotlib.planning.placing.grid import to_grid
from plotlib.planning.placing.pressing import pressed

# A saddle: z = 0.4 at two opposite corners of 100 x 100 mm and 0 at the others.
SADDLE = HeightMap(x=(0, 100), y=(0, 100), heights=[(0.4, 0), (0, 0.4)], tolerance=0.02)
ROOF = HeightMap(x=(0, 50, 100), y=(0, 100), heights=[(0, 0.5, 0), (0, 0.5, 0)], tolerance=0.02)


def bench(bed: HeightMap | None, **changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 100,
        "height": 100,
        "x": Axis(10_000),
        "y": Axis(4_000),
        "lift": ZLift(4, 0, 600),
        "feed": 3_000,
        "height_map": bed,
    }
    return Machine(**{**values, **changes})


def shares(start: Any, end: Any, bed: HeightMap) -> Any:
    """2,001 shares of a way, and those at which it crosses a line of the map's grid."""
    crossed = [np.linspace(0, 1, 2_001)]
    for axis, knots in enumerate((bed.x, bed.y)):
        if start[axis] != end[axis]:
            at = (np.array(knots) - start[axis]) / (end[axis] - start[axis])
            crossed.append(at[(at > 0) & (at < 1)])
    return np.sort(np.concatenate(crossed))


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 100_000))
def test_the_farthest_place_is_the_one_that_many_places_show(seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = np.sort(rng.choice(np.arange(10, 90, 5), 4, replace=False))
    y = np.sort(rng.choice(np.arange(10, 90, 5), 3, replace=False))
    bed = HeightMap(x=x, y=y, heights=rng.uniform(-0.2, 0.2, (3, 4)))
    start, end = rng.uniform(0, 100, (2, 6, 2))
    end[0, 0] = start[0, 0]  # along the axes too
    end[1, 1] = start[1, 1]
    off, share = farthest(start, end, bed)
    for k in range(6):
        ways = shares(start[k], end[k], bed)
        heights = bed.at(start[k] + ways[:, None] * (end[k] - start[k]))
        apart = np.abs(heights - heights[0] - ways * (heights[-1] - heights[0]))
        # Between two of the shares a parabola rises by (cell's twist) x (way / 4000)^2 at most.
        assert apart.max() - 1e-12 <= off[k] <= apart.max() + 5e-5
    ends = np.column_stack([bed.at(start), bed.at(end)])
    at = start + share[:, None] * (end - start)
    there = bed.at(at) - ends[:, 0] - share * (ends[:, 1] - ends[:, 0])
    assert np.abs(there) == pytest.approx(off, abs=1e-12)
    assert ((share >= 0) & (share <= 1)).all()


def test_a_diagonal_of_a_saddle_is_farthest_off_in_its_middle() -> None:
    """Along it the height is 0.4 (1 - 2 t + 2 t^2): 0.2 below its ends in the middle."""
    off, share = farthest(np.array([(0.0, 0.0)]), np.array([(100.0, 100.0)]), SADDLE)
    assert off.tolist() == pytest.approx([0.2])
    assert share.tolist() == pytest.approx([0.5])


def test_strokes_get_a_point_at_the_ridge_of_a_roof() -> None:
    machine = bench(ROOF)
    drawing = Drawing([[(10, 20), (90, 20)], [(5, 5)], [(10, 40), (40, 40), (80, 60)]])
    strokes = following(to_grid(drawing, machine, None), machine)
    assert strokes.offsets.tolist() == [0, 3, 4, 8]
    assert machine.to_mm(strokes.points).tolist() == [
        [10, 20], [50, 20], [90, 20],
        [5, 5],
        [10, 40], [40, 40], [50, 45], [80, 60],
    ]  # fmt: skip
    assert strokes.pen_index.tolist() == [0, 0, 0]


@pytest.mark.parametrize("tolerance", [0.012, 0.021, 0.1])
def test_no_chord_is_farther_off_than_the_tolerance_less_a_unit(tolerance: float) -> None:
    """A parabola that is 0.2 off: pieces of 1 / n of its length are 0.2 / n^2 off. Halving goes on
    as long as they are farther off than what is left.
    """
    bed = HeightMap(x=SADDLE.x, y=SADDLE.y, heights=SADDLE.heights, tolerance=tolerance)
    machine = bench(bed)
    strokes = following(to_grid(Drawing([[(0, 0), (100, 100)]]), machine, None), machine)
    pieces = len(strokes.points) - 1
    left = tolerance - machine.unit
    assert 0.2 / pieces**2 <= left
    assert 0.2 / (pieces / 2) ** 2 > left
    assert (np.diff(strokes.points[:, 0]) == 100_000 // pieces).all()


def test_at_least_half_of_the_tolerance_is_kept_on_a_coarse_grid() -> None:
    """Decimals of 0.01 mm and a tolerance of 0.012: 0.006 and not 0.002 is what is left."""
    bed = HeightMap(x=SADDLE.x, y=SADDLE.y, heights=SADDLE.heights, tolerance=0.012)
    machine = bench(bed, decimals=2)
    strokes = following(to_grid(Drawing([[(0, 0), (100, 100)]]), machine, None), machine)
    pieces = len(strokes.points) - 1
    assert pieces == 8  # 0.2 / 64 is 0.0031, and of 4 pieces 0.0125


def test_flat_beds_and_no_beds_leave_strokes_as_they_are() -> None:
    flat = HeightMap(x=(0, 100), y=(0, 100), heights=[(0.1, 0.2), (0.1, 0.2)])  # a plane
    drawing = Drawing([[(0, 0), (100, 100)], [(3, 3), (3, 90), (40, 90)]])
    for bed in (None, flat):
        machine = bench(bed)
        strokes = to_grid(drawing, machine, None)
        assert following(strokes, machine).points.tolist() == strokes.points.tolist()
    empty = to_grid(Drawing([]), bench(ROOF), None)
    assert len(following(empty, bench(ROOF))) == 0


@pytest.mark.parametrize(("up", "signed"), [(4, 1), (-4, -1)])
def test_the_pen_is_pressed_towards_where_it_is_raised(up: float, signed: int) -> None:
    """Down is 0.5; the roof is 0, 0.25 and 0.5 mm high there."""
    lift = ZLift(up, 0.5, 600)
    machine = bench(ROOF, lift=lift)
    places = machine.to_units([(0, 10), (25, 10), (50, 99)])
    assert pressed(places, machine).tolist() == [500, 500 + 250 * signed, 500 + 500 * signed]
