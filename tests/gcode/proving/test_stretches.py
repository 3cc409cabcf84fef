"""A long program is judged stretch by stretch: as strictly as at once, wherever a fault lies."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from oracles_gcode import COIL, HELD_UP, RAMP, ZED, bench, handwritten, job, text
from shapely import box

from plotlib.drawing import Drawing
from plotlib.errors import ProofError
from plotlib.gcode.proving import proof
from plotlib.gcode.proving.proof import check, prove
from plotlib.gcode.reading import interpreter
from plotlib.gcode.reading.places import places_of
from plotlib.gcode.reading.stretches import stretches
from plotlib.gcode.writer import text_of
from plotlib.machine import HeightMap, KeepOut, Machine, ServoLift, ZLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet

SHORT = 300  # characters of a stretch: three or four strokes
BED = HeightMap(x=(0, 50, 100), y=(0, 80), heights=[(0, 0.2, 0.1), (0.1, -0.2, 0)])
MACHINES = {
    "servo": bench(),
    "Z": bench(ZED),
    "ramp": bench(RAMP),
    "coil": bench(COIL),
    "held up": bench(HELD_UP),
    "no waits": bench(ServoLift("M5", "M3 S90", 0, 0), setup=("G21", "G90", "M5")),
    "G1 only": bench(
        travel_word="G1", travel_feed=3_333.3, prologue=("@H",), epilogue=("M5", "M2")
    ),
    "bed": bench(ZLift(4, 0, 600), y=bench().x, height_map=BED),
    "keep-out": bench(keep_outs=(KeepOut(box(90, 70, 99, 79), passable=False),), comments=False),
    "arcs": bench(arcs=True),
}


def strokes(count: int, pen: Pen, seed: int) -> Drawing:
    """Short walks, and a dot among each four."""
    random = np.random.default_rng(seed)
    starts = random.uniform(12, 68, (count, 1, 2))
    walks = starts + np.cumsum(random.uniform(-2, 2, (count, 4, 2)), axis=1)
    return Drawing([walk[: 1 + number % 4] for number, walk in enumerate(walks)], pen=pen)


INK = strokes(14, Pen("thin", 0.2, feed=2_000), 1) + strokes(12, Pen("blue", 0.8), 2)
TURN = np.linspace(0, 2 * np.pi, 41)
RINGS = Drawing(
    [
        np.stack([16 + 3 * at + 4 * np.cos(TURN), 30 + (at % 3) * 9 + 4 * np.sin(TURN)], axis=1)
        for at in range(18)
    ]
)


def plotted(machine: Machine) -> Plot:
    return plan(RINGS, machine) if machine.arcs else job(machine, INK)


def programs(machine: Machine, plot: Plot) -> list[str]:
    by_hand = machine.height_map is None and not machine.arcs
    return [text_of(plot), *([text(handwritten(plot))] if by_hand else [])]


def holds(program: str, plot: Plot) -> bool:
    """Whether the stretches say so, whatever the whole would say."""
    return proof._holds_in_stretches(program, plot, lambda share: None)


def passes(program: str, plot: Plot) -> bool:
    try:
        prove(program, plot)
    except ProofError:
        return False
    return True


@pytest.fixture(autouse=True)
def short_stretches(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(proof, "STRETCH", SHORT)


@pytest.fixture(params=["line by line", "many lines at once"])
def reading(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """The reader's two ways, of which the second is otherwise taken by long programs only."""
    if request.param == "many lines at once":
        monkeypatch.setattr(interpreter, "LEAST", 1)
        monkeypatch.setattr(interpreter, "_OFTEN", 3)


def cuts(program: str, machine: Machine) -> list[int]:
    """How many strokes each stretch has."""
    places = places_of(program.splitlines(), machine)
    parts = stretches(program, machine, places, size=SHORT, may_end=lambda count: True)
    return [len(part.path) for part in parts]


@pytest.mark.usefixtures("reading")
@pytest.mark.parametrize("machine", MACHINES.values(), ids=MACHINES)
def test_a_correct_program_holds_in_its_stretches(
    machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    plot = plotted(machine)
    for program in programs(machine, plot):
        parts = cuts(program, machine)
        assert len(parts) >= 4
        assert sum(parts) == len(plot.drawing)
        with monkeypatch.context() as patched:
            patched.setattr(proof, "prove", None)  # the whole is not asked
            told: list[float] = []
            check(program, plot, tell=told.append)
        assert told == sorted(told)
        assert told[-1] == 1.0
        assert len(told) > 3


FAULTS: dict[str, Callable[[list[str], int], list[str]]] = {
    "dropped": lambda lines, k: lines[:k] + lines[k + 1 :],
    "twice": lambda lines, k: [*lines[:k], lines[k], *lines[k:]],
    "swapped": lambda lines, k: [*lines[:k], *lines[k : k + 2][::-1], *lines[k + 2 :]],
    "another digit": lambda lines, k: [*lines[:k], _other(lines[k]), *lines[k + 1 :]],
    "a stop": lambda lines, k: [*lines[:k], "M0", *lines[k:]],
    "a dwell": lambda lines, k: [*lines[:k], "G4 P0.2", *lines[k:]],
    "a pen-up": lambda lines, k: [*lines[:k], "M5", *lines[k:]],
    "a pen-down": lambda lines, k: [*lines[:k], "M3 S90", *lines[k:]],
    "a way": lambda lines, k: [*lines[:k], "G0 X10.000 Y10.000", *lines[k:]],
    "ink": lambda lines, k: [*lines[:k], "G1 X10.000 Y10.000 F1000", *lines[k:]],
    "a comment": lambda lines, k: [*lines[:k], "(MSG, put in pen blue)", *lines[k:]],
    "steps": lambda lines, k: [*lines[:k], "G91", *lines[k:]],
    "an end": lambda lines, k: [*lines[:k], "M2", *lines[k:]],
    "a feed": lambda lines, k: [*lines[:k], lines[k] + " F9", *lines[k + 1 :]],
}


def _other(line: str) -> str:
    """The line with its last digit changed, if it has one."""
    digits = [k for k, sign in enumerate(line) if sign.isdigit()]
    if not digits:
        return line + " "
    at = digits[-1]
    return line[:at] + str((int(line[at]) + 1) % 10) + line[at + 1 :]


def broken(program: str, step: int) -> Iterator[str]:
    """The program with each fault at every ``step``-th line, another first line for each fault."""
    lines = program.splitlines()
    for number, fault in enumerate(FAULTS.values()):
        for k in range(number % step, len(lines), step):
            yield text(fault(lines, k))


@pytest.mark.parametrize("machine", MACHINES.values(), ids=MACHINES)
def test_nothing_holds_in_stretches_that_does_not_pass_as_a_whole(machine: Machine) -> None:
    plot = plotted(machine)
    caught = 0
    for program in broken(text_of(plot), step=97):
        if holds(program, plot):
            assert passes(program, plot), program
        else:
            caught += 1
    assert caught > 8


@pytest.mark.usefixtures("reading")
@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_in_any_stretch_is_told_as_by_the_whole(name: str) -> None:
    """In the first stretch, in the middle, in the last, and where two stretches meet."""
    plot = plotted(bench())
    program = text_of(plot)
    lines = program.splitlines()
    meeting = _first_lines(program, plot.machine)[1:4]
    around = [meeting[number % 3] + number for number in (-2, -1, 0, 1)]
    places = [30, len(lines) // 2, len(lines) - 9, *around]
    for k in places:
        wrong = text(FAULTS[name](lines, k))
        if passes(wrong, plot):
            continue
        assert not holds(wrong, plot), (name, k)
        with pytest.raises(ProofError) as whole:
            prove(wrong, plot)
        with pytest.raises(ProofError) as parted:
            check(wrong, plot)
        assert str(parted.value) == str(whole.value)
        assert parted.value.facts == whole.value.facts


def _first_lines(program: str, machine: Machine) -> list[int]:
    """The line, from 0, with which each stretch begins: the travel after the last pen-up."""
    places = places_of(program.splitlines(), machine)
    parts = stretches(program, machine, places, size=SHORT, may_end=lambda count: True)
    found = []
    text_of_all = program
    for part in parts:
        first = part.path.moves.line[0]
        line = part.source.lines[int(first) - 1]
        begun = text_of_all.index(part.source.joined(0, len(part.source.lines)))
        found.append(text_of_all.count("\n", 0, begun) + int(first) - 1)
        assert program.splitlines()[found[-1]] == line
    return found


def test_a_lost_or_another_stroke_in_any_stretch_is_found() -> None:
    """Whole strokes, so that each stretch by itself reads well."""
    plot = plotted(bench())
    program = text_of(plot)
    lines = program.splitlines()
    downs = [k for k, line in enumerate(lines) if line == "M3 S90"]
    for one, two in pairwise(downs):
        lost = lines[: one - 1] + lines[two - 1 :]
        doubled = lines[: two - 1] + lines[one - 1 :]
        for wrong in (lost, doubled):
            assert not holds(text(wrong), plot)
    assert not holds(text([*lines[: downs[-1] - 1], "M5", "M2"]), plot)
    less = plan(plot.drawing[:-1], plot.machine, keep_order=True)
    assert not holds(program, less), "a stroke more than planned"
    assert not holds(program, replace(plot, sheet=Sheet(40, 40))), "off the paper"


def test_strokes_longer_than_a_stretch_and_programs_without_a_place_to_part_them() -> None:
    machine = bench()
    walk = 20 + np.cumsum(np.random.default_rng(3).uniform(-1, 1, (400, 2)), axis=0)
    long = plan(Drawing([walk % 60 + 5, [(5, 5), (9, 9)], [(8, 5), (9, 5)]]), machine)
    pens = [Pen(f"number {number}") for number in range(12)]
    parts = [Drawing([[(10 + k, 10), (12 + k, 30)]], pen=pen) for k, pen in enumerate(pens)]
    many = plan(sum(parts[1:], parts[0]), machine)
    for plot in (long, many):
        assert holds(text_of(plot), plot)
    dots = plan(Drawing(np.random.default_rng(1).uniform(5, 70, (60, 1, 2))), machine)
    assert holds(text_of(dots), dots)
    assert len(cuts(text_of(dots), machine)) > 4
    assert not holds(text_of(dots).replace("M3 S90", "M3 S91", 1), dots)
    assert not holds(text_of(dots)[::-1].replace("09S 3M", "19S 3M", 1)[::-1], dots)
