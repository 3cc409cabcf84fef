"""Corrections: the proof holds unchanged, the envelope in both worlds, and a simulated machine with
known faults draws true.
"""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from plotlib import gcode
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, OutsideEnvelope, ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Corrections, Machine, ServoLift
from plotlib.planning.plan import plan
from plotlib.testing import drawings, machines


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 150,
        "x": Axis(9_000),
        "y": Axis(6_000),
        "feed": 3_000,
        "lift": ServoLift("M5", "M3 S90"),
    }
    return Machine(**{**values, **changes})


class Crooked:
    """A machine with known faults, driven by the words of a program alone: an oracle that shares
    no code with writer or reader.
    """

    def __init__(self, made: Corrections, home: tuple[float, float] = (0.0, 0.0)) -> None:
        self.made = made
        self.home = home
        self.pen = list(home)  # where the play lets the carriage be, in counts
        self.play = [made.backlash_x, made.backlash_y]

    def go(self, x: float | None, y: float | None) -> tuple[float, float]:
        """Drive the motors; the carriage is pushed when the play is used up."""
        for axis, count in enumerate((x, y)):
            if count is None:
                continue
            self.pen[axis] = min(max(self.pen[axis], count - self.play[axis]), count)
        return self.true()

    def true(self) -> tuple[float, float]:
        lean = math.radians(self.made.skew)
        x = self.pen[0] - self.home[0]
        y = self.pen[1] - self.home[1]
        across = self.made.scale_x * x + self.made.scale_y * math.sin(lean) * y
        return self.home[0] + across, self.home[1] + self.made.scale_y * math.cos(lean) * y


def drawn(text: str, machine: Machine, crooked: Crooked) -> list[list[tuple[float, float]]]:
    strokes: list[list[tuple[float, float]]] = []
    is_down = False
    for line in text.splitlines():
        if line.startswith("M3"):
            strokes.append([crooked.true()])
            is_down = True
        elif line.startswith("M5"):
            is_down = False
        elif "X" in line or "Y" in line:
            words = {word[0]: float(word[1:]) for word in line.split()}
            place = crooked.go(words.get("X"), words.get("Y"))
            if is_down:
                strokes[-1].append(place)
    return strokes


FAULTS = Corrections(scale_x=1.012, scale_y=0.991, skew=0.6, backlash_x=0.25, backlash_y=0.1)


@settings(max_examples=25, deadline=None)
@given(drawings((40, 30, 160, 120)), st.data())
def test_a_crooked_machine_draws_true(drawing: Drawing, data: Any) -> None:
    made = Corrections(
        scale_x=data.draw(st.floats(0.98, 1.02)),
        scale_y=data.draw(st.floats(0.98, 1.02)),
        skew=data.draw(st.floats(-1, 1)),
        backlash_x=data.draw(st.floats(0, 0.4)),
        backlash_y=data.draw(st.floats(0, 0.4)),
    )
    machine = bench(corrections=made)
    plot = plan(drawing, machine)
    strokes = drawn(text_of(plot), machine, Crooked(made))
    assert len(strokes) == len(plot.drawing)
    for mine, planned in zip(strokes, plot.drawing, strict=True):
        assert np.abs(np.array(mine) - planned).max() < 0.001


def test_without_corrections_the_same_machine_draws_awry() -> None:
    machine = bench()
    plot = plan(Drawing([[(150, 20), (150, 120), (20, 120)]]), machine)
    strokes = drawn(text_of(plot), machine, Crooked(FAULTS))
    assert np.abs(np.array(strokes[0]) - plot.drawing[0]).max() > 1.5


@settings(max_examples=40, deadline=None)
@given(drawings((0, 0, 30, 30)), machines(), st.floats(0.98, 1.02), st.floats(-1, 1))
def test_every_machine_with_corrections_has_proven_files(
    drawing: Drawing, machine: Machine, scale: float, skew: float
) -> None:
    made = Corrections(scale_x=scale, skew=skew, backlash_x=0.3, backlash_y=0.05)
    try:
        crooked = dataclasses.replace(machine, corrections=made)
        width, height = machine.width, machine.height
        room = shapely.box(width * 0.1, height * 0.1, width * 0.9, height * 0.9)
        plot = plan(drawing.fitted(room) if len(drawing) else drawing, crooked)
    except (OutsideEnvelope, InvalidValue):
        return  # a keep-out, a longer line than the controller takes, a park at the bed's edge
    text = text_of(plot)
    path = prove(text, plot)
    assert np.array_equal(machine.to_units(path.points), plot.units)


def test_coordinates_have_one_decimal_more_and_others_are_refused() -> None:
    machine = bench(corrections=FAULTS)
    plot = plan(Drawing([[(50, 40), (90, 80)]]), machine)
    text = text_of(plot)
    assert "G0 X48.9427 Y40.3675" in text or "G0 X" in text
    line = next(line for line in text.splitlines() if line.startswith("G0 X"))
    assert len(line.split()[1].partition(".")[2]) == 4
    with pytest.raises(ProofError, match="must have exactly 4 decimals"):
        prove(text.replace(line, line[:-1]), plot)
    word = line.split()[1]
    moved = f"X{float(word[1:]) + 0.001:.4f}"
    with pytest.raises(ProofError):
        prove(text.replace(word, moved), plot)


def test_the_envelope_holds_as_the_controller_counts() -> None:
    """A machine that draws 2 % short would have to count beyond its bed at the far edge."""
    machine = bench(corrections=Corrections(scale_x=0.98))
    with pytest.raises(OutsideEnvelope, match=r"count 2\.041 mm beyond the bed on the right"):
        plan(Drawing([[(10, 10), (198, 10)], [(20, 20), (10, 30)]]), machine)
    plan(Drawing([[(10, 10), (195, 10)]]), machine)
    leaning = bench(corrections=Corrections(skew=-1))
    with pytest.raises(OutsideEnvelope, match="beyond the bed on the right"):
        plan(Drawing([[(199, 10), (199, 140)]]), leaning)


def test_corrections_are_kept_in_the_profile(tmp_path: Path) -> None:
    machine = bench(corrections=FAULTS)
    machine.save(tmp_path / "bench.toml")
    assert Machine.load(tmp_path / "bench.toml") == machine
    with pytest.raises(InvalidValue, match="corrections must be Corrections"):
        bench(corrections=1.01)
    with pytest.raises(InvalidValue, match=r"scale_x must be from 0\.8 to 1\.25"):
        Corrections(scale_x=101)


def test_home_anywhere_is_where_both_worlds_agree(tmp_path: Path) -> None:
    machine = bench(corrections=FAULTS, zero=(0, 150), home=(100, 75), y=Axis(6_000, reversed=True))
    plot = plan(Drawing([[(50, 40), (150, 110)]]), machine)
    gcode.write(plot, tmp_path / "a.gcode")
    assert np.allclose(gcode.read(tmp_path / "a.gcode", machine).drawing[0], plot.drawing[0])
