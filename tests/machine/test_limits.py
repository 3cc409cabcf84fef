"""Every range that the docstrings state holds its two ends, and nothing beyond them."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest
import shapely

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.machine import (
    Axis,
    Corrections,
    Dialogue,
    HeightMap,
    KeepOut,
    Machine,
    ServoLift,
    SolenoidLift,
    ZLift,
)

AXIS = Axis(9_000)
SERVO = ServoLift("M5", "M3 S90")


def machine(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 90,
        "x": AXIS,
        "y": AXIS,
        "lift": SERVO,
        "feed": 600,
        "longest_line": 90,
    }
    return Machine(**{**values, **changes})


def dialogue(**changes: Any) -> Dialogue:
    return Dialogue(**{"accepted": "taken", "refused": "cannot", **changes})


def bed(**changes: Any) -> HeightMap:
    values: dict[str, Any] = {"x": (0, 1_000), "y": (0, 1_000), "heights": [(0, 0), (0, 0)]}
    return HeightMap(**{**values, **changes})


def coil(**changes: Any) -> SolenoidLift:
    values = {"pull": "Q2", "hold": "Q1", "release": "Q0", "pull_time": 0.05, "holds": "up"}
    return SolenoidLift(**{**values, **changes})


@pytest.mark.parametrize(
    ("make", "key", "low", "high", "beyond"),
    [
        (machine, "decimals", 0, 6, 1),
        (machine, "longest_line", None, 256, 1),
        (machine, "baud", 1.0, 1e12, 1e-3),
        (machine, "look_ahead", 1, 1_000_000, 1),
        (machine, "arc_tolerance", 0.001, 1.0, 1e-4),
        (machine, "feed", 0.001, 1e9, 1e-4),
        (machine, "path_tolerance", 0.0, 1e8, 1e-9),
        (dialogue, "receive_bytes", 16, 1_000_000, 1),
        (dialogue, "patience", 0.1, 600.0, 1e-3),
        (dialogue, "opening", 0.0, 600.0, 1e-3),
        (Corrections, "scale_x", 0.8, 1.25, 1e-3),
        (Corrections, "scale_y", 0.8, 1.25, 1e-3),
        (Corrections, "skew", -10.0, 10.0, 1e-3),
        (Corrections, "backlash_x", 0.0, 5.0, 1e-3),
        (Corrections, "backlash_y", 0.0, 5.0, 1e-3),
        (bed, "tolerance", 0.001, 1.0, 1e-4),
        (coil, "pull_time", 0.001, 2.0, 1e-4),
        (coil, "settle_up", 0.0, 10.0, 1e-3),
        (coil, "settle_down", 0.0, 10.0, 1e-3),
    ],
)
def test_the_ends_of_a_range_are_in_it(
    make: Any, key: str, low: float | None, high: float, beyond: float
) -> None:
    for end, step in ((low, -beyond), (high, beyond)):
        if end is None:
            continue
        assert getattr(make(**{key: end}), key) == end
        outside = end + step if abs(end) < 1e6 else end * (1 + 1e-6)
        with pytest.raises(InvalidValue):
            make(**{key: outside if isinstance(end, float) else round(outside)})


def test_the_least_longest_line_is_20_characters() -> None:
    small = machine(width=5, height=5, decimals=0, longest_line=20, feed=1)
    assert small.line_needed(1) == len("G1 X5 Y5 F1.000")
    with pytest.raises(InvalidValue, match="longest_line must be from 20 to 256"):
        machine(width=5, height=5, decimals=0, longest_line=19, feed=1)


def test_the_ends_of_the_axes() -> None:
    assert Axis(0.001, 1e9) == Axis(rate=0.001, acceleration=1e9, reversed=False)
    for rate, acceleration in ((0.000_9, None), (1, 0.000_9), (1, 1.1e9)):
        with pytest.raises(InvalidValue, match=r"must be from 0\.001 to 1e\+09"):
            Axis(rate, acceleration)


def test_what_a_machine_is_when_nothing_is_said() -> None:
    """The defaults that the docstring states."""
    bench = machine()
    assert (bench.travel_word, bench.travel_feed, bench.dwell) == ("G0", None, "seconds")
    assert (bench.decimals, bench.comments, bench.baud) == (3, True, None)
    assert (bench.path_tolerance, bench.corner_model, bench.look_ahead) == (0.05, "arc", 16)
    assert (bench.keep_outs, bench.name, bench.dialogue) == ((), "machine", None)
    assert (bench.corrections, bench.height_map, bench.arcs) == (None, None, False)
    fields: dict[str, Any] = {"width": 200, "height": 90, "x": AXIS, "y": AXIS, "lift": SERVO}
    assert Machine(feed=600, **fields).longest_line == 70


@pytest.mark.parametrize("places", [2, 100])
def test_a_bed_has_2_to_100_places_each_way(places: int) -> None:
    knots = np.arange(places) * 10.0
    flat = np.zeros((places, places))
    assert bed(x=knots, y=knots, heights=flat).highest == 0.0
    more = 1 if places == 2 else 101
    knots = np.arange(more) * 10.0
    with pytest.raises(InvalidValue, match="must be 2 to 100 ascending places"):
        bed(x=knots, heights=np.zeros((2, more)))


def test_places_of_a_bed_are_a_thousandth_apart() -> None:
    assert bed(x=(0, 0.001)).x == (0.0, 0.001)
    with pytest.raises(InvalidValue, match=r"at least 0\.001 mm apart"):
        bed(x=(0, 0.000_9))


def test_places_of_a_bed_lie_within_a_kilometre() -> None:
    assert bed(x=(-1e6, 1e6), y=(-1e6, 1e6)).y == (-1e6, 1e6)
    for far in ((-1.1e6, 0), (0, 1.1e6)):
        with pytest.raises(InvalidValue, match="must be from -1e"):
            bed(x=far)


def test_a_bed_is_20_mm_high_at_most_and_rises_1_in_10() -> None:
    assert bed(heights=[(20, 0), (0, -20)]).lowest == -20.0
    with pytest.raises(InvalidValue, match="heights must be within 20 mm, got 20"):
        bed(heights=[(0, 0), (0, -20.001)])
    assert bed(x=(0, 10), heights=[(0, 1), (0, 1)]).steepest == 0.1
    assert bed(y=(5, 15), heights=[(0, 0), (-1, 0)]).steepest == 0.1
    for key, heights in (("x", [(0, 1.01), (0, 0)]), ("y", [(0, 0), (0, 1.01)])):
        with pytest.raises(InvalidValue, match=r"would rise 0\.101 mm"):
            bed(**{key: (0, 10)}, heights=heights)


def test_a_bed_is_no_finer_than_the_last_decimal() -> None:
    lift = ZLift(4, 0, 600)
    assert machine(lift=lift, decimals=2, height_map=bed(tolerance=0.01)).decimals == 2
    with pytest.raises(InvalidValue, match="take more decimals, or a larger tolerance"):
        machine(lift=lift, decimals=2, height_map=bed(tolerance=0.009))


def test_z_may_go_to_its_very_limits() -> None:
    """Down is 0, and the bed lies from -0.5 to 0.25 mm."""
    shape = bed(heights=[(-0.5, 0), (0, 0.25)])
    assert machine(lift=ZLift(4, 0, 600, limits=(-0.5, 4)), height_map=shape).height_map == shape
    with pytest.raises(InvalidValue, match=r"Z goes from -0\.5 to 0\.25 mm, and the lift's limits"):
        machine(lift=ZLift(4, 0, 600, limits=(-0.499, 4)), height_map=shape)
    hung = ZLift(-4, 0, 600, limits=(-4, 0.5))  # Z counts away from the paper downwards
    assert machine(lift=hung, height_map=shape).lift == hung
    with pytest.raises(InvalidValue, match=r"Z goes from -0\.25 to 0\.5 mm, and the lift's limits"):
        machine(lift=dataclasses.replace(hung, limits=(-4, 0.499)), height_map=shape)


def test_places_that_two_beds_share_are_one() -> None:
    one = bed(x=(0, 500, 1_000), heights=np.zeros((2, 3)))
    other = bed(x=(0, 500.000_4, 1_000), heights=np.zeros((2, 3)))
    assert one.plus(other).x == (0.0, 500.0, 1_000.0)
    apart = bed(x=(0, 500.5, 1_000), heights=np.zeros((2, 3)))
    assert one.plus(apart).x == (0.0, 500.0, 500.5, 1_000.0)
    assert one.plus(bed(tolerance=0.1)).tolerance == bed(tolerance=0.1).plus(one).tolerance == 0.02


def test_a_line_is_as_long_as_the_longer_of_carriage_and_pen() -> None:
    """200 x 90 mm with three decimals, and the heights of the pen."""
    low = machine(lift=ZLift(4, 0, 600))
    assert low.line_needed(600) == len("G1 X200.000 Y90.000 F600.000")
    tiny = machine(width=1, height=1, decimals=0, lift=ZLift(-100, 0, 123_456))
    assert tiny.line_needed(1) == len("G1 Z-100 F123456.000")
    shaped = machine(lift=ZLift(4, 0, 600), height_map=bed(heights=[(-0.5, 0), (0, 0.25)]))
    assert shaped.line_needed(600) == len("G1 X200.000 Y90.000 Z-0.500 F600.000")


def test_arcs_and_corrections_need_room_in_a_line() -> None:
    """An arc names its centre, at most 1,000 mm away, and a corrected place has a digit more."""
    arcs = machine(arcs=True)
    assert arcs.line_needed(600) == len("G1 X200.000 Y90.000 I-1000.000 J-1000.000 F600.000")
    bent = machine(arcs=True, corrections=Corrections(scale_x=1.01))
    assert not bent.writes_arcs
    assert bent.line_needed(600) == len("G1 X200.0000 Y90.0000 F600.000")
    assert not machine(arcs=True, lift=ZLift(4, 0, 600), height_map=bed()).writes_arcs
    assert arcs.writes_arcs
    assert not machine().writes_arcs


def test_a_travel_feed_needs_room_too() -> None:
    """G1 X200.000 Y90.000 F12345.678 has 30 characters, with the feed of the pens 28."""
    fast = {"travel_word": "G1", "travel_feed": 12_345.678}
    assert machine(longest_line=30, **fast).longest_line == 30
    with pytest.raises(InvalidValue, match=r"longest_line is 29.* up to 30 characters"):
        machine(longest_line=29, **fast)


def test_programs_are_framed_by_two_percents_or_none() -> None:
    """NISTIR 6556, section 3.2."""
    framed = machine(prologue=("%", "G28"), epilogue=("M2", "%"))
    assert framed.prologue[0] == framed.epilogue[-1] == "%"
    for wrong in (
        {"prologue": ("%", "%")},
        {"epilogue": ("%", "%")},
        {"prologue": ("G28", "%"), "epilogue": ("M5", "%")},
        {"prologue": ("%", "G28"), "epilogue": ("%", "M5")},
        {"prologue": ("%", "%"), "epilogue": ("M5", "%")},
    ):
        with pytest.raises(InvalidValue, match="% stands first in the prologue"):
            machine(**wrong)


def test_home_and_park_may_stand_on_the_edge_of_the_bed_and_of_a_keep_out() -> None:
    corner = machine(home=(200, 90), park=(0, 90))
    assert (corner.home, corner.park) == ((200.0, 90.0), (0.0, 90.0))
    clamp = KeepOut(shapely.box(50, 50, 60, 60), passable=False)
    assert machine(keep_outs=[clamp], home=(50, 55)).home == (50.0, 55.0)
    for key in ("home", "park"):
        with pytest.raises(InvalidValue, match=f"{key} lies in keep-out 0, which the carriage"):
            machine(keep_outs=[clamp], **{key: (55, 55)})
    assert machine(keep_outs=clamp.area, park=(55, 55)).park == (55.0, 55.0)


def test_a_keep_out_is_two_units_wide() -> None:
    thin = shapely.box(5, 5, 5.003, 20)
    assert machine(keep_outs=[thin]).keep_outs[0].area == thin
    for parts in (
        shapely.box(5, 5, 5.001_9, 20),
        shapely.MultiPolygon([shapely.box(9, 9, 20, 20), shapely.box(5, 5, 5.001_9, 20)]),
    ):
        with pytest.raises(InvalidValue, match=r"thinner than two units .*\(0\.002 mm\)"):
            machine(keep_outs=[parts])


def test_z_limits_hold_both_heights() -> None:
    assert ZLift(4, 0, 600, limits=(0, 4)).heights.limits == (0.0, 4.0)
    assert ZLift(4, 0, 600).heights.limits == (-np.inf, np.inf)
    for limits in ((0, 3.9), (0.1, 4), (4, 0)):
        with pytest.raises(InvalidValue, match="lift limits must hold up 4 and down 0"):
            ZLift(4, 0, 600, limits=limits)


def test_a_z_lift_takes_the_time_of_its_way() -> None:
    """4.5 mm at 900 mm/min are 0.3 s."""
    lift = ZLift(4, -0.5, 900, 0.2, 0.1)
    assert lift.seconds_up == pytest.approx(0.5)
    assert lift.seconds_down == pytest.approx(0.4)


def test_a_keep_out_of_one_stroke_without_width_is_refused() -> None:
    with pytest.raises(InvalidValue, match="encloses nothing: its strokes have no width"):
        KeepOut(Drawing([[(5, 5), (9, 5), (5, 5)]]))
