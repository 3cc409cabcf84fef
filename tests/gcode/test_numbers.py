from __future__ import annotations

from decimal import Decimal

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from plotlib.gcode.numbers import dwell_line, feed_word, fixed, to_controller
from plotlib.machine import Axis, Machine, ServoLift


def bench(**changes: object) -> Machine:
    lift = ServoLift("M5", "M3 S90")
    return Machine(
        width=100, height=80, x=Axis(6_000), y=Axis(6_000), feed=3_000, lift=lift, **changes
    )  # type: ignore[arg-type]


@given(st.integers(-(10**12), 10**12), st.integers(0, 6))
def test_fixed_decimals_are_the_number_itself(units: int, decimals: int) -> None:
    word = fixed("X", np.array([units]), decimals)[0]
    assert Decimal(word[1:]) * 10**decimals == units
    assert "-0" not in word or units < 0
    assert (
        word[1:].partition(".")[2] == word[len(word) - decimals :] if decimals else "." not in word
    )


def test_zero_has_no_sign() -> None:
    assert fixed("Y", np.array([0, -1, 1, -1000]), 3) == ["Y0.000", "Y-0.001", "Y0.001", "Y-1.000"]


def test_the_controller_counts_from_its_zero_along_its_own_directions() -> None:
    machine = bench(zero=(50, 80), decimals=1)
    turned = Machine(
        width=100,
        height=80,
        x=Axis(1, reversed=True),
        y=Axis(1),
        feed=1,
        lift=machine.lift,
        zero=(50, 80),
        decimals=1,
    )
    points = np.array([[0, 0], [1000, 800]])
    assert to_controller(points, machine).tolist() == [[-500, -800], [500, 0]]
    assert to_controller(points, turned).tolist() == [[500, -800], [-500, 0]]


@pytest.mark.parametrize(
    ("feed", "word"),
    [
        (3000, "F3000"),
        (900.5, "F900.5"),
        (1234.56789, "F1234.567"),
        (0.0019, "F0.001"),
        (100.1, "F100.1"),
    ],
)
def test_feeds_are_never_rounded_up(feed: float, word: str) -> None:
    assert feed_word(feed) == word


@pytest.mark.parametrize(
    ("seconds", "unit", "line"),
    [
        (0.2, "seconds", "G4 P0.2"),
        (0.2, "milliseconds", "G4 P200"),
        (1.0, "seconds", "G4 P1"),
        (0.0501, "seconds", "G4 P0.051"),
        (12, "milliseconds", "G4 P12000"),
    ],
)
def test_dwells_are_never_rounded_down(seconds: float, unit: str, line: str) -> None:
    assert dwell_line(seconds, bench(dwell=unit)) == line


@given(st.lists(st.integers(-5, 5), min_size=12, max_size=40), st.integers(0, 3))
def test_many_numbers_are_written_as_each_one_is(units: list[int], decimals: int) -> None:
    words = [fixed("X", np.array([value]), decimals)[0] for value in units]
    assert fixed("X", np.array(units), decimals) == words
