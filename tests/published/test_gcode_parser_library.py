"""A second reading by a general G-code parser from the registry, gcodeparser (MIT), of programs
that say every word in full.

The package drops lines that rely on a modal G word without a sign; so the programs here have a G or
M word on each line.
"""

from __future__ import annotations

from functools import partial

import gcodeparser
import numpy as np
import pytest
from oracles_gcode import ZED, bench, handwritten, job, text

from plotlib.drawing import Drawing
from plotlib.gcode.reader import read
from plotlib.gcode.reading.lines import parse
from plotlib.machine import Axis, Machine
from tests.outside import LIBRARY, Within, published

known = partial(
    published,
    module="gcode",
    source="programs with every word in full",
    kind=LIBRARY,
    against="gcodeparser",
)


MACHINES = {
    "servo": bench(),
    "z": bench(ZED, decimals=2),
    "turned": bench(zero=(100, 0), home=(0, 0), x=Axis(5_000, reversed=True)),
}


def second_reading(program: str, machine: Machine) -> tuple[list[tuple[float, float]], list[bool]]:
    """Where every move in X or Y ends in bed mm, and whether the pen is down on it, by the other
    package.
    """
    at = [0.0, 0.0]
    down = False
    places = []
    inked = []
    for line in gcodeparser.parse_gcode_lines(program):
        words = line.params
        if line.command[0] == "M" and line.command[1] in (3, 5):
            down = line.command[1] == 3
        if "Z" in words:
            down = float(words["Z"]) != machine.lift.up
        if line.command[0] == "G" and line.command[1] in (0, 1) and ("X" in words or "Y" in words):
            at = [float(words.get(letter, value)) for letter, value in zip("XY", at, strict=True)]
            sign = [-1 if axis.reversed else 1 for axis in (machine.x, machine.y)]
            places.append((machine.zero[0] + sign[0] * at[0], machine.zero[1] + sign[1] * at[1]))
            inked.append(down)
    return places, inked


@known(abs=1e-9)
@pytest.mark.parametrize("name", MACHINES)
def test_both_readings_give_the_same_moves(name: str, within: Within) -> None:
    machine = MACHINES[name]
    rng = np.random.default_rng(5)
    strokes = [rng.uniform((0, 0), (100, 80), (count, 2)) for count in (1, 2, 3, 9, 40)]
    program = text(handwritten(job(machine, Drawing(strokes))))
    places, inked = second_reading(program, machine)
    path = read(program, machine)
    assert len(places) == len(path.moves.line)
    np.testing.assert_allclose(path.moves.end, places, rtol=0, atol=within.abs)
    assert path.moves.down.tolist() == inked


@known()
def test_both_readings_give_the_same_words_of_a_line() -> None:
    for line in ("G1 X1.5 Y-2 F100", "G2 X3 Y4 I0.5 J-.25", "M3 S90", "G4 P0.2", "G0 X7 Y0"):
        (found,) = gcodeparser.parse_gcode_lines(line)
        (letter, number), *rest = parse(line).words
        assert found.command == (letter, number)
        assert {key: float(value) for key, value in found.params.items()} == dict(rest)
