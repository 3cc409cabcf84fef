"""Places and words against the bed, by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

import plotlib as pl
from plotlib.errors import ProofError
from plotlib.gcode.proving import moves
from plotlib.gcode.reading.plain import Source


def bench(**changes: Any) -> pl.Machine:
    axis = pl.Axis(9_000)
    values: dict[str, Any] = {
        "width": 200,
        "height": 100,
        "x": axis,
        "y": axis,
        "feed": 600,
        "lift": pl.ServoLift("M5", "M3 S90"),
    }
    return pl.Machine(**{**values, **changes})


@pytest.mark.parametrize(
    ("place", "is_off"),
    [
        ((0, 0), False),
        ((200, 100), False),
        ((-0.0004, 50), False),  # rounds to 0
        ((-0.0006, 50), True),
        ((50, -0.001), True),
        ((200.0006, 50), True),
        ((200.0004, 100.0004), False),
        ((50, 100.001), True),
    ],
)
def test_a_place_is_off_the_bed_in_whole_units(place: tuple[float, float], is_off: bool) -> None:
    inside = [(10.0, 10.0), (190.0, 90.0)]
    for rows in ([place, *inside], [*inside, place], [place]):
        assert moves._is_off(np.array(rows, float), bench()) == is_off
    assert not moves._is_off(np.zeros((0, 2)), bench())


@pytest.mark.parametrize(
    ("line", "reason", "changes"),
    [
        ("X200.001", "X200.001 is 0.001 mm outside", {}),
        ("X-0.001", "X-0.001 is 0.001 mm outside", {}),
        ("Y100.5", "Y100.5 is 0.5 mm outside", {}),
        ("G1 X10 Y-3 ", "Y-3 is 3 mm outside", {}),  # not plain
        ("X200 Y100", None, {}),
        ("X0 Y0", None, {}),
        # counted to the left from the right edge: 0 to 200
        ("X200", None, {"zero": (200, 0), "x": pl.Axis(9_000, reversed=True)}),
        ("X-1", "X-1 is 1 mm outside", {"zero": (200, 0), "x": pl.Axis(9_000, reversed=True)}),
        # from the middle: -100 to 100
        ("X-100", None, {"zero": (100, 0)}),
        ("X101", "X101 is 1 mm outside", {"zero": (100, 0)}),
    ],
)
def test_words_of_the_controller_stay_within_what_it_may_count(
    line: str, reason: str | None, changes: dict[str, Any]
) -> None:
    source = Source.of(f"G21 G90\nX10 Y10\n{line}\nX11 Y11\n")
    if reason is None:
        moves._check_controller(source, bench(**changes))
        return
    with pytest.raises(ProofError, match=reason) as caught:
        moves._check_controller(source, bench(**changes))
    assert caught.value.line == 3


def test_the_farthest_outside_of_several_is_named() -> None:
    source = Source.of("X-5\nX207\nX-3\nX300 Y1\nX4\n")
    with pytest.raises(ProofError, match="X300 is 100 mm outside") as caught:
        moves._check_controller(source, bench())
    assert caught.value.line == 4
