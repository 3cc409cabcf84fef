"""The shape of a bed: interpolated as a general library does it, kept in the profile, and refused
where a lift cannot follow it.
"""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from scipy.interpolate import RegularGridInterpolator

from plotlib.errors import InvalidValue
from plotlib.machine import Axis, HeightMap, Machine, ServoLift, ZLift
from tests.outside import LIBRARY, Within, published

BED = HeightMap(x=(10, 90, 190), y=(10, 140), heights=[(0, 0.3, -0.2), (0.1, 0.4, 0.2)])


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 150,
        "x": Axis(9_000),
        "y": Axis(6_000),
        "feed": 3_000,
        "lift": ZLift(up=4, down=0, feed=600),
        "height_map": BED,
    }
    return Machine(**{**values, **changes})


@published(
    module="machine",
    source="RegularGridInterpolator",
    kind=LIBRARY,
    against="scipy",
    abs=1e-12,
    claim="heights of a bed between its knots",
)
@settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(seed=st.integers(0, 10_000), columns=st.integers(2, 6), rows=st.integers(2, 6))
def test_heights_are_bilinear(within: Within, seed: int, columns: int, rows: int) -> None:
    """As scipy's RegularGridInterpolator has it, places beyond the edge brought to the edge."""
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.uniform(5, 40, columns))
    y = np.cumsum(rng.uniform(5, 40, rows))
    heights = rng.uniform(-0.2, 0.2, (rows, columns))
    bed = HeightMap(x=x, y=y, heights=heights)
    places = rng.uniform(-20, 260, (200, 2))
    inside = np.clip(places, (x[0], y[0]), (x[-1], y[-1]))
    wanted = RegularGridInterpolator((x, y), heights.T)(inside)
    assert bed.at(places) == within.of(wanted)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000))
def test_two_maps_add_up_everywhere(seed: int) -> None:
    """A sum of functions that are bilinear in cells is bilinear in the cells of both grids, whose
    places are no nearer to each other than those that become one (example 2578 has such).
    """
    rng = np.random.default_rng(seed)
    beds = []
    for count in (3, 4):
        knots = np.linspace(rng.uniform(0, 20), rng.uniform(120, 180), count)
        heights = rng.uniform(-0.2, 0.2, (count, count))
        beds.append(HeightMap(x=knots, y=knots + 7.5, heights=heights))
    assume(np.abs(np.subtract.outer(beds[0].x, beds[1].x)).min() >= 0.001)
    places = rng.uniform(-10, 200, (100, 2))
    both = beds[0].plus(beds[1]).at(places)
    assert both == pytest.approx(beds[0].at(places) + beds[1].at(places), abs=1e-12)


@pytest.mark.parametrize("limits", [None, (-0.5, 4.0)])
def test_it_stands_in_the_profile(tmp_path: Path, limits: tuple[float, float] | None) -> None:
    machine = bench(lift=ZLift(up=4, down=0, feed=600, limits=limits))
    machine.save(tmp_path / "bench.toml")
    assert Machine.load(tmp_path / "bench.toml") == machine
    assert hash(machine) == hash(Machine.load(tmp_path / "bench.toml"))


def test_lifts_that_cannot_follow_a_bed_are_refused() -> None:
    with pytest.raises(InvalidValue, match="needs a lift along Z") as caught:
        bench(lift=ServoLift("M5", "M3 S90"))
    assert caught.value.facts["name"] == "height_map"
    with pytest.raises(InvalidValue, match=r"limits are -0\.1 to 4; set the pen in its holder"):
        bench(lift=ZLift(up=4, down=0, feed=600, limits=(-0.1, 4)))
    with pytest.raises(InvalidValue, match="take more decimals, or a larger tolerance"):
        bench(decimals=1)
    with pytest.raises(InvalidValue, match="height_map must be HeightMap"):
        bench(height_map=[[0, 1]])


def test_the_raised_pen_clears_the_highest_place() -> None:
    bench(lift=ZLift(up=0.8, down=0, feed=600))
    with pytest.raises(InvalidValue, match=r"is 0\.3 mm above the bed.*raise the pen by 0\.1 mm"):
        bench(lift=ZLift(up=0.7, down=0, feed=600))
    below = ZLift(up=-0.8, down=0, feed=600)  # Z counts down away from the paper
    assert dataclasses.replace(bench(), lift=below).lift == below


def test_what_cannot_be_a_bed_is_refused() -> None:
    good: dict[str, Any] = {"x": (0, 100), "y": (0, 100), "heights": [(0, 0), (0, 0)]}
    for wrong, said in (
        ({"x": (0, 0)}, "x must be 2 to 100 ascending places at least 0.001 mm apart"),
        ({"y": (100, 0)}, "y must be 2 to 100 ascending places"),
        ({"heights": [(0, 0)]}, "heights must be 2 rows, one for each y, of 2 numbers"),
        ({"heights": [(0, 25), (0, 0)]}, "heights must be within 20 mm, got 25"),
        ({"heights": [(0, 15), (0, 0)]}, r"would rise 0\.15 mm for each mm of x or y"),
        ({"tolerance": 0}, r"tolerance must be from 0\.001 to 1 "),
    ):
        with pytest.raises(InvalidValue, match=said):
            HeightMap(**{**good, **wrong})
    with pytest.raises(InvalidValue, match="lift limits must hold up 4 and down 0"):
        ZLift(up=4, down=0, feed=600, limits=(0.5, 9))
