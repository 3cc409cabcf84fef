"""Whole programs, word for word."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from plotlib.drawing import Drawing
from plotlib.gcode import correcting
from plotlib.gcode.comments import comment_lines, pen_labels, pen_message
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Corrections, Machine, ServoLift, ZLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan

TWO = Drawing([[(1, 2), (5, 2), (5, 4)], [(5, 6), (9, 6)]])


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 100,
        "height": 80,
        "x": Axis(9_000),
        "y": Axis(9_000),
        "lift": ServoLift("M5", "M3 S90", 0.2, 0),
        "feed": 3_000,
        "decimals": 0,
        "setup": (),
        "epilogue": (),
        "comments": False,
    }
    return Machine(**{**values, **changes})


def said(drawing: Drawing, **changes: Any) -> list[str]:
    plot = plan(drawing, bench(**changes), keep_order=True, join=None)
    return text_of(plot).splitlines()


def test_no_word_is_said_twice() -> None:
    assert said(TWO) == [
        "M5", "G4 P0.2",
        "G0 X1 Y2", "M3 S90", "G1 X5 F3000", "Y4", "M5", "G4 P0.2",
        "G0 X9 Y6", "M3 S90", "G1 X5", "M5", "G4 P0.2",
        "G0 X0 Y0",
    ]  # fmt: skip


@pytest.mark.parametrize("line", ["M3 S90 F500", "S90 M3 G17", "M3 S90 G94"])
def test_words_of_a_lift_that_change_motion_or_feed_are_followed_by_both(line: str) -> None:
    lines = said(TWO, lift=ServoLift("M5", line, 0, 0))
    assert lines.count("G1 X5 F3000") == 2


def test_a_lift_along_z_says_its_feed() -> None:
    assert said(TWO, lift=ZLift(4, -1, 600, 0, 0.1), dwell="milliseconds") == [
        "G1 Z4 F600",
        "G0 X1 Y2", "G1 Z-1", "G4 P100", "X5 F3000", "Y4", "Z4 F600",
        "G0 X9 Y6", "G1 Z-1", "G4 P100", "X5 F3000", "Z4 F600",
        "G0 X0 Y0",
    ]  # fmt: skip


def test_travel_by_g1_at_its_feed_or_what_the_axes_can_do() -> None:
    """Straight up the y axis does 2,000 mm/min, along x the travel feed holds."""
    drawing = Drawing([[(5, 0), (9, 0)], [(9, 8)]])
    changes = {"travel_word": "G1", "travel_feed": 5_000, "y": Axis(2_000)}
    assert said(drawing, **changes) == [
        "M5", "G4 P0.2",
        "G1 X5 F5000", "M3 S90", "X9 F3000", "M5", "G4 P0.2",
        "Y8 F1999.999", "M3 S90", "M5", "G4 P0.2",
        said(drawing, **changes)[-1],
    ]  # fmt: skip
    assert said(drawing, **changes)[-1].startswith("X0 Y0 F")


def test_a_setup_of_unknown_words_is_followed_by_the_whole_place() -> None:
    at_home = Drawing([[(0, 0), (5, 0)]])
    assert said(at_home)[2:4] == ["M3 S90", "G1 X5 F3000"]
    for setup in (("G21", "G90", "M17"), ("G90 X",), ("M80",)):
        if setup != ("G90 X",):
            assert said(at_home, setup=setup)[len(setup) + 2] == "G0 X0 Y0"
    assert said(at_home, setup=("N10 G21", "G90 G17 G94"))[4] == "M3 S90"


def test_each_pen_is_asked_for_and_everything_said_again() -> None:
    drawing = Drawing([[(1, 2), (5, 2)]], pen=Pen("red", 0.3)) + Drawing(
        [[(5, 2), (9, 2)]], pen=Pen("blå", 0.5)
    )
    lines = said(drawing, comments=True, park=(7, 7))
    assert [line for line in lines if line[0] != "("] + lines[-11:-10] == [
        "M5", "G4 P0.2",
        "G0 X1 Y2", "M3 S90", "G1 X5 F3000", "M5", "G4 P0.2",
        "G0 X7 Y7", "M0", "G90", "M5", "G4 P0.2",
        "G0 X5 Y2", "M3 S90", "G1 X9 F3000", "M5", "G4 P0.2",
        "G0 X7 Y7",
        "(MSG, put in pen bla, 0.5 mm)",
    ]  # fmt: skip


def test_comments_fill_their_lines() -> None:
    assert comment_lines("abcd efgh", longest=11) == ["(abcd efgh)"]
    assert comment_lines("abcd efgh", longest=10) == ["(abcd)", "(efgh)"]
    assert comment_lines("abc-defgh ij", longest=8) == ["(abc-de)", "(fgh ij)"]


def test_labels_and_messages_fill_their_lines() -> None:
    """(MSG, ) takes seven characters."""
    long = Pen("a" * 30)
    assert pen_labels([long], longest=27) == ("a" * 20,)
    assert pen_labels([long, Pen("a" * 31)], longest=27) == ("a" * 15 + " no 1", "a" * 15 + " no 2")
    sentence = "(MSG, put in pen red, 0.3 mm)"
    red = Pen("red", 0.3)
    assert pen_message("red", red, longest=len(sentence)) == sentence
    assert pen_message("red", red, longest=len(sentence) - 1) == "(MSG, red)"


# ---- corrections


def test_backlash_is_taken_up_once_and_kept_while_the_axis_rests() -> None:
    """2 mm of play in x and 1 in y, in tenths of units: away from home the count is ahead by it,
    on the way back it is not, and an axis that rests keeps what it had.
    """
    machine = bench(corrections=Corrections(backlash_x=2.0, backlash_y=1.0))
    places = np.array([(10, 0), (10, 5), (10, 9), (4, 9), (4, 9), (4, 3), (8, 3)])
    assert correcting.counts(places, machine).tolist() == [
        [120, 0], [120, 60], [120, 100], [40, 100], [40, 100], [40, 30], [100, 30],
    ]  # fmt: skip


def test_an_axis_that_has_not_moved_has_come_home() -> None:
    """What homing leaves is the way towards home."""
    machine = bench(corrections=Corrections(backlash_x=2.0, backlash_y=1.0))
    assert correcting.counts(np.array([(0, 7), (0, 3)]), machine).tolist() == [[0, 80], [0, 30]]
    far = bench(corrections=Corrections(backlash_x=2.0), home=(100, 0))
    assert correcting.counts(np.array([(60, 0), (80, 0)]), far).tolist() == [[580, 0], [800, 0]]
    middle = bench(corrections=Corrections(backlash_x=2.0), home=(50, 0))
    assert correcting.counts(np.array([(60, 0), (40, 0)]), middle).tolist() == [[620, 0], [400, 0]]


def test_counts_begin_at_the_zero_of_the_machine() -> None:
    machine = bench(
        corrections=Corrections(scale_x=0.8), zero=(10, 20), x=Axis(9_000, reversed=True)
    )
    assert correcting.home_count(machine).tolist() == [[100, -200]]
    # 8 mm are 10 counts of 0.8 mm.
    assert correcting.counts(np.array([(8, 0)]), machine).tolist() == [[0, -200]]
    leaning = bench(corrections=Corrections(skew=10.0, scale_y=0.9))
    ((x, y),) = correcting.nominal_places(np.array([(50, 60)]), leaning).tolist()
    assert y == round(600 / (0.9 * 0.984807753))
    assert x == round(500 - 600 * 0.176326981)
