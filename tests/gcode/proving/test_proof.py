from __future__ import annotations

from pathlib import Path

import pytest
from oracles_gcode import RAMP, ZED, bench, handwritten, job, text

from plotlib.drawing import Drawing
from plotlib.errors import PlotlibError, ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Machine, ServoLift, ZLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan


@pytest.mark.parametrize(
    "machine",
    [
        bench(),
        bench(ZED),
        bench(RAMP),
        bench(ServoLift("M3 S30", ("M3 S60", "M3 S90"), 0, 0)),
        bench(ServoLift(("M5", "G4 P0.3"), "M4 S20", 0.1, 0)),
        bench(ServoLift("M3 S40", ("M3 S40", "M3 S90"))),
        bench(ZLift(-2, 3, 450)),
        bench(decimals=0),
        bench(decimals=5),
        bench(dwell="milliseconds", prologue=("@H", "Q7 hello"), epilogue=("M5", "Q9", "M2")),
        bench(travel_word="G1", travel_feed=3_333.3, setup=("G21", "G90")),
        bench(zero=(100, 0), x=Axis(800, reversed=True), y=Axis(9_000)),
        bench(comments=False, prologue=("G21", "G90")),
        bench(prologue=("%", "(homed!)", "@H ; now"), epilogue=("M2", "%")),
    ],
    ids=lambda machine: f"{type(machine.lift).__name__}-{machine.decimals}",
)
def test_a_correct_program_passes(machine: Machine) -> None:
    plot = job(machine)
    path = prove(text(handwritten(plot)), plot)
    assert machine.to_units(path.drawing.points).tolist() == plot.units.tolist()
    assert path.drawing.points.tolist() == plot.drawing.points.tolist(), (
        "the very floats of the grid"
    )
    assert path.travel == pytest.approx(plot.travel)
    assert path.lifts == plot.lifts


def test_the_error_tells_the_line_and_is_of_the_family() -> None:
    plot = job(bench())
    lines = handwritten(plot)
    broken = text(lines).replace("X10.000 Y70.000", "X10.001 Y70.000", 1)
    number = next(k for k, line in enumerate(lines, 1) if "X10.000 Y70.000" in line)
    with pytest.raises(
        ProofError, match=f"was not kept: line {number}: stroke 0, point 1 is at"
    ) as caught:
        prove(broken, plot)
    assert isinstance(caught.value, PlotlibError)
    assert lines[caught.value.line - 1].startswith("G1 X10.000 Y70.000")
    assert caught.value.facts["stroke"] == 0
    with pytest.raises(ProofError) as whole:
        prove(text(lines[:-1]), plot)
    assert whole.value.line == 0


def test_bytes_that_a_controller_acts_on_stay_out_of_comments() -> None:
    plot = job(bench())
    for sign in "!~?$%&*+=/;@#<>[]{}|\\\"'`^_\x18\x7f":
        with pytest.raises(ProofError, match="the comment in"):
            prove(text([f"(a{sign}b)", *handwritten(plot)]), plot)
    assert prove(text(["(a b . , : - 09)", *handwritten(plot)]), plot).lifts == 5


def test_every_point_counts_to_the_last_unit() -> None:
    machine = bench(decimals=4)
    plot = plan(Drawing([[(20, 20), (30, 20), (40, 20), (40, 30)]]), machine, keep_order=True)
    lines = handwritten(plot)
    assert len(prove(text(lines), plot)) == 1
    for k, line in enumerate(lines):
        if line.startswith("G1 X20"):
            merged = lines[:k] + lines[k + 1 :]
            with pytest.raises(ProofError, match="stroke 0"):
                prove(text(merged), plot)


def test_the_proof_does_not_know_the_writer() -> None:
    """An independent judge shares no code with what it judges."""
    folder = Path(__file__).parents[3] / "plotlib" / "gcode"
    writers = ("writer", "each", "program", "bending", "comments", "numbers", "raised", "writable")
    judges = [
        path
        for path in folder.rglob("*.py")
        if path.parent != folder or path.stem not in (*writers, "__init__")
    ]
    assert {"interpreter", "proof", "pen", "toolpath"} <= {path.stem for path in judges}
    for path in judges:
        source = path.read_text(encoding="utf-8")
        assert not any(f"gcode.{name}" in source for name in writers), path.name


def test_the_way_back_to_home_counts_where_the_first_stroke_begins_there() -> None:
    """No pen-up move leads to the first stroke, so the first one that there is comes after it."""
    axes = {"x": Axis(100), "y": Axis(100)}
    machine = Machine(width=30, height=30, **axes, lift=ServoLift("M5", "M3"), feed=100)
    drawing = Drawing([[(0, 0), (0, 15)]], pen=Pen("blue")) + Drawing([[(15, 0)]], pen=Pen("fine"))
    plot = plan(drawing, machine)
    prove(text_of(plot), plot)
