"""Readings become corrections: worked cases, and a simulated machine with known faults."""

from __future__ import annotations

import math
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from plotlib import calibration
from plotlib.errors import InvalidValue
from plotlib.machine import Axis, Corrections, Machine, ServoLift

BENCH = Machine(
    width=225,
    height=250,
    x=Axis(9_000),
    y=Axis(6_000),
    feed=3_000,
    lift=ServoLift("M5", "M3 S90"),
)
FAULTS = st.builds(
    Corrections,
    scale_x=st.floats(0.97, 1.03),
    scale_y=st.floats(0.97, 1.03),
    skew=st.floats(-1.5, 1.5),
)


def frame(made: Corrections, width: float, height: float) -> dict[str, float]:
    """What a ruler finds on the frame that a machine with these faults draws."""
    lean = math.radians(made.skew)
    w = made.scale_x * width
    across, up = np.array([math.sin(lean), math.cos(lean)]) * made.scale_y * height
    return {
        "measured_width": w,
        "measured_height": made.scale_y * height,
        "rising": math.hypot(w + across, up),
        "falling": math.hypot(w - across, up),
    }


def residual(found: Corrections, true: Corrections) -> float:
    """How far off, mm, a corrected machine draws at the farthest corner of its bed."""
    corners = np.array([(225, 0), (0, 250), (225, 250)])
    counted = np.linalg.solve(np.array(found.matrix), corners.T)
    drawn = (np.array(true.matrix) @ counted).T
    return float(np.hypot(*(drawn - corners).T).max())


@settings(max_examples=60, deadline=None)
@given(FAULTS)
def test_readings_without_error_leave_nothing(true: Corrections) -> None:
    made = calibration.from_frame(200, 200, **frame(true, 200, 200))
    machine = calibration.corrected(BENCH, made)
    assert machine.corrections is not None
    assert residual(machine.corrections, true) < 1e-6


@settings(max_examples=60, deadline=None)
@given(FAULTS, st.data())
def test_reading_errors_of_a_tenth_cost_their_share_and_no_more(
    true: Corrections, data: Any
) -> None:
    """An error e of a side of 200 mm is worth e / 200 of any way along it; an error e of both
    diagonals, d, turns the angle by d e / (w h) at most (derivative of the cosine law), and so
    moves the far edge, 250 mm away.
    """
    error = 0.1
    exact = frame(true, 200, 200)
    read = {name: value + data.draw(st.floats(-error, error)) for name, value in exact.items()}
    made = calibration.from_frame(200, 200, **read)
    diagonal = max(exact["rising"], exact["falling"]) + error
    area = (exact["measured_width"] - error) * (exact["measured_height"] - error)
    share = math.hypot(225, 250) / 200 * error + 250 * 1.03 * diagonal * error / area
    assert residual(made, true) <= 0.02 + share


@settings(max_examples=15, deadline=None)
@given(FAULTS, st.integers(0, 1_000))
def test_many_marks_average_reading_errors_out(true: Corrections, seed: int) -> None:
    """The standard error of a least-squares slope is the error of a reading over the root of the
    sum of squared distances from the mean (any textbook of regression): 81 marks with 0.1 mm each,
    on paper that lies askew, leave eight hundredths at the far corner in the root mean square.
    """
    rng = np.random.default_rng(seed)
    x, y = np.meshgrid(np.linspace(10, 215, 9), np.linspace(10, 240, 9))
    wanted = np.column_stack([x.ravel(), y.ravel()])
    turn = np.radians(2.3)
    askew = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    drawn = wanted @ np.array(true.matrix).T @ askew + [3, -2]
    of_slope = 0.1 / np.sqrt(((wanted - wanted.mean(axis=0)) ** 2).sum(axis=0))
    turned = 250 * np.hypot(*of_slope)  # x by y and y by x, which make the skew
    expected = math.hypot(225 * of_slope[0], 250 * of_slope[1], turned)
    assert expected == pytest.approx(0.08, abs=0.01)
    fits = [
        calibration.from_marks(wanted, drawn + rng.normal(0, 0.1, wanted.shape)) for _ in range(60)
    ]
    left = [residual(fit.corrections, true) for fit in fits]
    assert np.sqrt(np.mean(np.square(left))) == pytest.approx(expected, rel=0.4)
    assert np.mean([fit.turn for fit in fits]) == pytest.approx(2.3, abs=0.02)
    assert np.mean([fit.residual for fit in fits]) == pytest.approx(0.1 * math.sqrt(2), rel=0.1)


@settings(max_examples=40, deadline=None)
@given(FAULTS, FAULTS)
def test_a_second_sheet_improves_the_first(first: Corrections, true: Corrections) -> None:
    """What a corrected machine draws is the product of both maps; the second finds the rest."""
    machine = calibration.corrected(BENCH, first)
    drawn = np.array(true.matrix) @ np.linalg.inv(np.array(first.matrix))
    marks = np.array([(10, 10), (200, 10), (200, 240), (10, 240), (100, 100)])
    fit = calibration.from_marks(marks, marks @ drawn.T)
    again = calibration.corrected(machine, fit.corrections)
    assert again.corrections is not None
    assert residual(again.corrections, true) < 1e-6


def test_backlash_of_two_sheets_adds_up() -> None:
    once = calibration.corrected(BENCH, Corrections(backlash_x=0.2))
    twice = calibration.corrected(once, Corrections(backlash_x=0.05, backlash_y=0.1))
    assert twice.corrections == Corrections(backlash_x=0.25, backlash_y=0.1)


def test_a_misreading_is_told() -> None:
    long = math.hypot(100, 100) + 5
    sides = {"measured_width": 100, "measured_height": 100}
    with pytest.raises(InvalidValue, match=r"the diagonals are \+5\.00 mm from what the sides"):
        calibration.from_frame(100, 100, **sides, rising=long, falling=long)
    with pytest.raises(InvalidValue, match="lie on one line"):
        calibration.from_marks([(0, 0), (1, 1), (2, 2)], [(0, 0), (1, 1), (2, 2)])
    with pytest.raises(InvalidValue, match="measured must have a place for each"):
        calibration.from_marks([(0, 0), (1, 0), (0, 2)], [(0, 0), (1, 1), (2, 2), (3, 3)])
    with pytest.raises(InvalidValue, match="no fault of a machine"):
        calibration.from_marks([(0, 0), (1, 0), (0, 1)], [(0, 0), (2, 0), (0, 1)])


def test_what_marks_leave_is_told_in_mm() -> None:
    """Errors of 0.3 mm by turns at the corners of a rectangle are what no affine map can take: of
    (1, -1, 1, -1) the sums with 1, x and y are 0.
    """
    wanted = np.array([(0, 0), (100, 0), (100, 60), (0, 60)], float)
    by_turns = np.array([1, -1, 1, -1]) * 0.3
    measured = wanted + np.array([7, -2]) + np.column_stack([by_turns, 0 * by_turns])
    fit = calibration.from_marks(wanted, measured)
    assert fit.residual == pytest.approx(0.3)
    assert fit.shift == pytest.approx((7, -2))
    assert fit.turn == pytest.approx(0)
    assert fit.corrections.scale_x == pytest.approx(1)
    fit = calibration.from_marks(wanted, measured + np.column_stack([0 * by_turns, by_turns]))
    assert fit.residual == pytest.approx(0.3 * math.sqrt(2))


def test_turned_paper_is_told_and_changes_nothing() -> None:
    wanted = np.array([(0, 0), (100, 0), (100, 60), (0, 60)], float)
    turned = np.array([[math.cos(0.1), -math.sin(0.1)], [math.sin(0.1), math.cos(0.1)]])
    fit = calibration.from_marks(wanted, wanted * (1.01, 0.99) @ turned.T)
    assert fit.turn == pytest.approx(math.degrees(0.1))
    made = fit.corrections
    assert (made.scale_x, made.scale_y, made.skew) == pytest.approx((1.01, 0.99, 0), abs=1e-9)
    assert fit.residual == pytest.approx(0, abs=1e-9)


def test_diagonals_may_be_off_by_a_little() -> None:
    """The root of their mean square is the root of the sum of the squares of the sides."""
    sides = {"measured_width": 90, "measured_height": 120}
    off = None
    for excess in (0.99, -0.99):
        lengths = {"rising": 150 + excess, "falling": 150 + excess}
        with pytest.raises(InvalidValue) as caught:
            calibration.from_frame(90, 120, **sides, rising=160, falling=160)
        off = caught.value.excess
        made = calibration.from_frame(90, 120, **sides, **lengths)
        assert made.skew == 0
    assert off == pytest.approx(10)
    leaning = calibration.from_frame(90, 120, **sides, rising=150.9, falling=149.1)
    lean = (150.9**2 - 149.1**2) / (4 * 90 * 120)
    assert leaning.skew == pytest.approx(math.degrees(math.asin(lean)))


@pytest.mark.parametrize("is_rising", [True, False])
def test_diagonals_of_no_parallelogram_are_refused_and_not_a_fault_of_arithmetic(
    is_rising: bool,
) -> None:
    """They fit the sides in the mean, and lean by more than there is: a sine of 1.02."""
    long = 200.9
    short = math.sqrt(2 * (90**2 + 110**2) - long**2)
    diagonals = (long, short) if is_rising else (short, long)
    sides = {"measured_width": 90, "measured_height": 110}
    with pytest.raises(InvalidValue, match="no fault of a machine"):
        calibration.from_frame(90, 110, **sides, rising=diagonals[0], falling=diagonals[1])
