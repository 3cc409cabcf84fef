from __future__ import annotations

from typing import Any

import pytest

from plotlib.errors import InvalidValue
from plotlib.machine import Axis, Machine, ServoLift


def bench(**changes: Any) -> Machine:
    """A machine of 200 x 90 mm."""
    axis = Axis(9_000)
    lift = ServoLift("M5", "M3 S90")
    return Machine(**{"width": 200, "height": 90, "x": axis, "y": axis, "lift": lift} | changes)


def test_a_line_too_long_for_the_controller_is_refused_where_it_is_declared() -> None:
    with pytest.raises(InvalidValue, match="longest_line allows 40") as caught:
        bench(feed=600, longest_line=40, prologue="G4 P1 (" + "x" * 40 + ")")
    assert caught.value.name == "prologue"


def test_a_comment_is_refused_where_the_controller_takes_none() -> None:
    with pytest.raises(InvalidValue, match="comments=False"):
        bench(feed=600, comments=False, setup=("G21", "G90 (absolute)"))


def test_a_move_that_needs_more_than_the_longest_line_is_refused() -> None:
    with pytest.raises(InvalidValue, match="needs up to 28") as caught:
        bench(feed=600, longest_line=27)
    assert caught.value.name == "longest_line"
    assert bench(feed=600, longest_line=28).line_needed(600) == 28
