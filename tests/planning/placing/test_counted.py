"""What the controller of a machine with corrections would have to count, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from plotlib.drawing import Drawing
from plotlib.errors import OutsideEnvelope
from plotlib.machine import Axis, Corrections, Machine, ServoLift
from plotlib.planning.placing.counted import check_counts
from plotlib.planning.placing.grid import to_grid


def bench(corrections: Corrections | None, **changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 100,
        "x": Axis(6_000),
        "y": Axis(2_000),
        "lift": ServoLift("M5", "M3 S90"),
        "feed": 3_000,
        "corrections": corrections,
    }
    return Machine(**{**values, **changes})


def check(machine: Machine, *strokes: Any) -> None:
    check_counts(to_grid(Drawing(strokes), machine, None), machine)


def test_an_axis_that_goes_too_short_must_count_further() -> None:
    """Each count is 0.8 mm: 160 mm are 200 counts, and 161 mm 201.25."""
    machine = bench(Corrections(scale_x=0.8))
    check(machine, [(0, 0), (160, 100)])
    with pytest.raises(OutsideEnvelope) as caught:
        check(machine, [(0, 0), (160, 100)], [(150, 5), (160, 5), (161, 5), (9, 9)], [(160.4, 5)])
    error = caught.value
    assert str(error).startswith(
        "stroke 1: with the machine's corrections its controller would have to count 1.250 mm "
        "beyond the bed on the right; draw farther inside"
    )
    assert (error.stroke, error.side, error.count) == (1, "right", 2)
    assert error.excess == pytest.approx(1.25)


def test_no_corrections_count_nothing() -> None:
    check(bench(None), [(0, 0), (200, 100)])
    check(bench(Corrections(scale_x=0.8)))


@pytest.mark.parametrize(
    ("home", "free", "beyond", "side"),
    [
        ((0, 0), (198, 100), (198.001, 100), "right"),
        ((200, 100), (2, 0), (1.999, 0), "left"),
        ((100, 0), (198, 100), (198.001, 100), "right"),  # in the middle: as at the left
        ((101, 0), (2, 0), (1.999, 0), "left"),
    ],
)
def test_away_from_home_the_count_is_ahead_by_the_backlash(
    home: Any, free: Any, beyond: Any, side: str
) -> None:
    """An axis with a play of 2 mm can reach 198 of 200 mm, seen from the edge where home is."""
    machine = bench(Corrections(backlash_x=2.0), home=home)
    check(machine, [free, (50, 50)])
    with pytest.raises(OutsideEnvelope) as caught:
        check(machine, [beyond, (50, 50)])
    assert (caught.value.side, caught.value.count) == (side, 1)
    assert caught.value.excess == pytest.approx(0.001)


def test_up_and_down_have_a_play_of_their_own() -> None:
    low = bench(Corrections(backlash_y=1.0))
    check(low, [(200, 99), (0, 0)])
    with pytest.raises(OutsideEnvelope, match=r"0\.500 mm beyond the bed on the top"):
        check(low, [(5, 5)], [(5, 99.5), (0, 0)])
    high = bench(Corrections(backlash_y=1.0), home=(0, 100))
    check(high, [(200, 1), (0, 100)])
    with pytest.raises(OutsideEnvelope, match=r"0\.500 mm beyond the bed on the bottom"):
        check(high, [(5, 0.5), (0, 50)])


def test_a_leaning_axis_counts_from_home() -> None:
    """Leaning to the right by 10 degrees: at 90 mm up, x is counted 90 tan(10) = 15.869 mm less."""
    machine = bench(Corrections(skew=10.0))
    check(machine, [(20, 90)])
    with pytest.raises(OutsideEnvelope, match=r"count 0\.869 mm beyond the bed on the left"):
        check(machine, [(15, 90)])
    raised = bench(Corrections(skew=10.0), home=(0, 90))
    check(raised, [(0, 90)])
