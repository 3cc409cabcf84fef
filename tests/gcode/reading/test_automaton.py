"""What the automaton repeats is what the slow way does: the same program is read with it after
forty lifts, and without it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from oracles_gcode import COIL, HELD_UP, RAMP, SERVO, ZED, assert_same, bench

from plotlib.errors import GcodeError
from plotlib.gcode.reader import read
from plotlib.gcode.reading import interpreter
from plotlib.gcode.reading.automaton import _Listener
from plotlib.gcode.reading.lines import Fault
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Lift, ServoLift

STEPS = ServoLift(("M3 S40", "M3 S20", "M3 S0"), ("M3 S30", "M3 S60", "M3 S90"))
LIFTS = [SERVO, STEPS, RAMP, COIL, HELD_UP, ZED]


def program(lift: Lift, seed: int, *, odd: float = 0.0) -> str:
    """Strokes with their lifts, and now and then something else: a stop, another dwell, half a
    lift, modes and offsets, a comment.
    """
    rng = np.random.default_rng(seed)
    out = ["G21", "G90", "F600", *up(lift), "G0 X1 Y1"]
    for _ in range(60):
        x, y = rng.integers(0, 60, 2)
        out += [f"G0 X{x} Y{y}", *down(lift), f"G1 X{y} Y{x} F{rng.integers(1, 9)}00"]
        out += [f"X{x + k}.5" for k in range(rng.integers(0, 3))]
        strange = (
            ["(MSG, wait)", "M0", *up(lift), "G90"],
            ["G4 P0.7"],
            [*down(lift)[:1], "X3 Y3"],
            [*up(lift), "G92 X10 Y10", "G0 X20", "G92.1"],
            ["G20", "G1 X1 F20", "G21"],
            ["G91", "X0.1", "G90"],
            ["(here)", "M3 S17", "M5"],
            [*up(lift), *up(lift)],
        )
        if rng.random() < odd:
            out += strange[rng.integers(len(strange))]
        out += up(lift)
    return "\n".join([*out, "M2"]) + "\n"


def up(lift: Lift) -> list[str]:
    return change(lift, "up")


def down(lift: Lift) -> list[str]:
    return change(lift, "down")


def change(lift: Lift, state: str) -> list[str]:
    if lift.heights is not None:
        return ["G1 Z4 F600" if state == "up" else "G1 Z-0.5 F600"]
    lines = []
    for line, wait in zip(*lift.change(state), strict=True):  # type: ignore[arg-type]
        lines += [line, *([f"G4 P{wait}"] if wait else [])]
    return [*lines, "G4 P0.2"]


def both(text: str, lift: Lift, monkeypatch: pytest.MonkeyPatch) -> tuple[Toolpath, Toolpath]:
    machine = bench(lift=lift, zero=(20, 30), home=(20, 30))
    ignore = {"missing feeds", "unsaid modes"}
    slow = read(text, machine, ignore=ignore)
    monkeypatch.setattr(interpreter, "LEAST", 0)
    return slow, read(text, machine, ignore=ignore)


@pytest.mark.parametrize("lift", LIFTS, ids=repr)
@pytest.mark.parametrize("odd", [0.0, 0.1, 0.4])
@pytest.mark.parametrize("seed", range(3))
def test_both_ways_read_the_same(
    lift: Lift, odd: float, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow, quick = both(program(lift, seed, odd=odd), lift, monkeypatch)
    assert len(slow) >= 50
    assert_same(slow, quick)


def test_most_lines_are_walked(monkeypatch: pytest.MonkeyPatch) -> None:
    done = []
    walked = interpreter.Automaton.run

    def run(self, carriage, index, end):
        after = walked(self, carriage, index, end)
        done.append(after - index)
        return after

    monkeypatch.setattr(interpreter.Automaton, "run", run)
    text = program(SERVO, 1)
    both(text, SERVO, monkeypatch)
    assert sum(done) > 0.75 * text.count("\n")
    assert len(done) < 10


@pytest.mark.parametrize("line", ["G1 X5 F0", "M9999", "G3 X1", "X1 X2", "G4 P-1", "G0 X1e3"])
def test_a_fault_among_them_is_found_on_its_line(
    line: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interpreter, "LEAST", 0)
    lines = program(SERVO, 2).splitlines()
    lines.insert(300, line)
    with pytest.raises(GcodeError) as caught:
        read("\n".join(lines) + "\n", bench(zero=(20, 30), home=(20, 30)))
    assert caught.value.line == 301


def test_a_line_of_a_lift_says_two_changes_of_the_pen_and_one_dwell_at_the_most() -> None:
    """What says more is read word by word."""
    heard = _Listener(is_drawing=False)
    for _ in range(2):
        heard.pen(1, True, True, height=math.nan, feed=math.nan)
    with pytest.raises(Fault, match="more than a lift"):
        heard.pen(1, True, True, height=math.nan, feed=math.nan)
    with pytest.raises(Fault, match="more than a lift"):
        _Listener(is_drawing=False).pen(1, True, True, height=4.0, feed=math.nan)
    heard.dwell(1, 0.2)
    assert heard.seconds == 0.2
    with pytest.raises(Fault, match="two dwells"):
        heard.dwell(1, 0.2)
    heard.lowered(1.0, 2.0, 1)
    assert (heard.stroke, heard.is_drawing) == (1, True)
    with pytest.raises(Fault, match="two changes"):
        heard.raised()
    other = _Listener(is_drawing=True)
    other.raised()
    assert (other.stroke, other.is_drawing) == (-1, False)
