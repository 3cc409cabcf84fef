"""The lines that raise the pen, from whatever the controller is doing."""

from __future__ import annotations

from typing import Any

import pytest
from streaming_bench import HEIGHTS, RAMP, SERVO, bench

import plotlib as pl
from plotlib.streaming.stream import raising_lines

SETUP = ["G21", "G90", "G17", "G94"]
LOW = pl.ZLift(up=-3, down=1, feed=480, settle_up=0.2)
QUICK = pl.ServoLift("M5", "M3 S90", settle_up=0)


@pytest.mark.parametrize(
    ("lift", "lines"),
    [
        (SERVO, ["M5", "G4 P0.2"]),
        (QUICK, ["M5"]),
        (RAMP, ["M3 S30", "G4 P0.15"]),
        (HEIGHTS, ["G90", "G1 Z4.000 F600"]),
        (LOW, ["G90", "G1 Z-3.000 F480", "G4 P0.2"]),
    ],
)
@pytest.mark.parametrize("may_be_down", [False, True])
def test_a_controller_that_goes_on_is_told_the_height(
    lift: Any, lines: list[str], may_be_down: bool
) -> None:
    made = raising_lines(bench(lift=lift), is_anew=False, may_be_down=may_be_down)
    assert made == lines


@pytest.mark.parametrize(
    ("lift", "up", "down"),
    [
        (SERVO, ["M5", "G4 P0.2"], ["M5", "G4 P0.2"]),
        (RAMP, ["M3 S30", "G4 P0.15"], ["M3 S30", "G4 P0.15"]),
        (HEIGHTS, [], ["G91", "G1 Z4.000 F600", "G90"]),
        (LOW, [], ["G91", "G1 Z-4.000 F480", "G90", "G4 P0.2"]),
    ],
)
def test_after_a_reset_the_height_is_not_known_and_the_way_is(
    lift: Any, up: list[str], down: list[str]
) -> None:
    machine = bench(lift=lift)
    assert raising_lines(machine, is_anew=True, may_be_down=False) == SETUP + up
    assert raising_lines(machine, is_anew=True, may_be_down=True) == SETUP + down
