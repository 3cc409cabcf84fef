"""Arcs run many at once: as the slow way runs them one by one, and chords against a plain loop."""

from __future__ import annotations

import math

import numpy as np
import pytest
from oracles_gcode import assert_same, bench

from plotlib.checks import FloatArray
from plotlib.errors import GcodeError
from plotlib.gcode.reader import read
from plotlib.gcode.reading import interpreter
from plotlib.gcode.reading.arcs import CHORD_ERROR, Bends, by_centre
from plotlib.gcode.reading.plain import Source
from plotlib.gcode.toolpath import Toolpath

BENCH = bench(zero=(20, 30), home=(20, 30))


def program(seed: int, *, odd: float = 0.0) -> str:
    """Strokes of arcs and lines in the bed's mm, with and without their motion words, and now and
    then what is left to the slow way.
    """
    rng = np.random.default_rng(seed)
    out = ["G21", "G90", "F600", "M5", "G0 X1 Y1"]
    for _ in range(80):
        x, y = rng.integers(0, 40, 2).tolist()
        r = int(rng.integers(1, 15))
        out += [f"G0 X{x} Y{y}", "M3 S90", "G4 P0.1"]
        word = rng.choice(["G2", "G3"])
        strokes = (
            [f"{word} X{x} Y{y} I{r} J0 F{rng.integers(1, 9)}00"],
            [f"{word} X{x + 2 * r} Y{y} I{r} J0", f"X{x} Y{y} I{-r} J0"],
            [f"{word} X{x + 2 * r} I{r}", f"Y{y + 2 * r} J{r}", "G1 X3 Y3", "X4"],
            [f"G1 X{x + r}", f"{word} X{x + 2 * r} Y{y + r} I0 J{r}", f"G1 Y{y}"],
            [f"{word}X{x + r}Y{y + r}I{r}J0F500"],
        )
        strange = (
            [f"{word} X{x + 2 * r} Y{y} R{r}", f"X{x} Y{y} I{-r}"],
            ["G92 X10 Y10", f"{word} X10 Y10 I{r} J0.5", "G92.1"],
            ["G20", f"{word} X1 Y1 I0.5 J0.5", f"X1 Y1 I{r}.25", "G21"],
            ["G91", f"{word} X0 Y0 I{r}", "G90"],
            [f"{word} X{x + 2 * r + 0.0015} Y{y} I{r} J0"],
            ["(round)"],
            ["M5", f"{word} X{x} Y{y} I{r} J{r}", "M3 S90"],
        )
        chosen = strange if rng.random() < odd else strokes
        out += [*chosen[rng.integers(len(chosen))], "M5", "G4 P0.2"]
    return "\n".join([*out, "M2"]) + "\n"


def both(text: str, monkeypatch: pytest.MonkeyPatch) -> tuple[Toolpath, Toolpath]:
    slow = read(text, BENCH, ignore={"arc radii"})
    monkeypatch.setattr(interpreter, "LEAST", 0)
    return slow, read(text, BENCH, ignore={"arc radii"})


@pytest.mark.parametrize("odd", [0.0, 0.1, 0.5])
@pytest.mark.parametrize("seed", range(4))
def test_both_ways_read_the_same(seed: int, odd: float, monkeypatch: pytest.MonkeyPatch) -> None:
    slow, quick = both(program(seed, odd=odd), monkeypatch)
    assert len(slow.turns.first) >= 60
    assert_same(slow, quick)


def test_most_lines_are_walked(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = []
    stepped = interpreter.Interpreter._step

    def step(self: interpreter.Interpreter, text: str, line: int) -> None:
        steps.append(text)
        stepped(self, text, line)

    monkeypatch.setattr(interpreter, "LEAST", 0)
    monkeypatch.setattr(interpreter.Interpreter, "_step", step)
    text = program(1)
    read(text, BENCH)
    after = [line for line in steps if line not in ("M5", "M3 S90", "M2")]
    assert len(after) < 0.4 * text.count("\n")  # lines before forty lifts and dwells


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("G2 X30 Y10 I5.003 J0", "may differ by 0.002"),
        ("G2 X20 Y10 I0 J0", "centre is its start"),
        ("G3 X20 Y10 I200000 J0", "off the bed"),
        ("G3 X20 Y10 I2e1 J0", "E"),
        ("G2 I5 J0", "needs X or Y|without X, Y"),
        ("G1 X20 Y10 I5 J0", "without an arc"),
        ("X20 Y10 I5 J0", "without an arc"),
        ("G2 X20 Y10 I5 J0 F0", "without a feed"),
    ],
)
def test_a_fault_among_them_is_found_on_its_line(
    line: str, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interpreter, "LEAST", 0)
    lines = program(2).splitlines()
    at = next(k for k in range(380, len(lines)) if lines[k].startswith("G0 X"))
    lines[at : at + 1] = ["G0 X20 Y10", line]
    with pytest.raises(GcodeError, match=told) as caught:
        read("\n".join(lines) + "\n", BENCH)
    assert caught.value.line == at + 2


def test_a_line_without_its_word_after_an_arc_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """What comes after G2 without another word is an arc, and has no centre."""
    monkeypatch.setattr(interpreter, "LEAST", 0)
    lines = program(2).splitlines()
    at = next(k for k in range(380, len(lines)) if is_arc(lines[k]))
    lines.insert(at + 1, "X3 Y3")
    with pytest.raises(GcodeError, match="needs I or J") as caught:
        read("\n".join(lines) + "\n", BENCH)
    assert caught.value.line == at + 2


def is_arc(line: str) -> bool:
    return line.startswith(("G2 ", "G3 ")) and "J0" in line


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("G2 X1 Y2 I3 J4 F5", (-4, 1.0, 2.0, 3.0, 4.0, 5.0)),
        ("G03X1I-3", (-5, 1.0, None, -3.0, 0.0, None)),
        ("Y2 J.5", (-1, None, None, 0.0, 0.0, None)),
        ("Y2 J0.5", (-3, None, 2.0, 0.0, 0.5, None)),
        ("G1 X1 I3", (-1, None, None, 0.0, 0.0, None)),
        ("G2 X1", (-1, None, None, 0.0, 0.0, None)),
        ("G2 I3 J4", (-2, None, None, 0.0, 0.0, None)),
        ("G2 X1 R4", (-1, None, None, 0.0, 0.0, None)),
        ("G2 X1 J4 I3", (-1, None, None, 0.0, 0.0, None)),
        ("G4 X1 I3", (-1, None, None, 0.0, 0.0, None)),
    ],
)
def test_which_lines_are_arcs(line: str, wanted: tuple[float | None, ...]) -> None:
    columns = Source.of(f"M5\n{line}\nI").columns
    for value, number in zip(columns, wanted, strict=True):
        assert np.isnan(value[1]) if number is None else value[1] == number


def test_without_centres_there_is_no_room_for_them() -> None:
    source = Source.of("G1 X1 Y2 F3\nX4\n")
    assert (len(source.i), len(source.j), len(source.x)) == (0, 0, 2)


# ---- chords


def plain_chords(start: FloatArray, end: FloatArray, centre: FloatArray, side: float) -> FloatArray:
    """The ends of chords of one arc: even steps and extremes, gathered in a set and sorted."""
    arc = by_centre(tuple(start), tuple(end), tuple(centre), clockwise=side < 0, slack=math.inf)
    turn = math.radians(arc.sweep)
    first = math.atan2(*(start - centre)[::-1])
    near = math.dist(start, centre)
    far = math.dist(end, centre)
    count = max(1, math.ceil(abs(turn) / (2 * math.acos(max(0, 1 - CHORD_ERROR / near))) - 1e-9))
    shares = {k / count for k in range(1, count + 1)}
    for quarter in range(-12, 13):
        share = (quarter * math.pi / 2 - first) / turn
        if 1e-9 < share < 1 - 1e-9 and min(abs(share - one) for one in shares) > 1e-9:
            shares.add(share)
    reach = [(near + (far - near) * share, first + turn * share) for share in sorted(shares)]
    return centre + np.array([(r * math.cos(angle), r * math.sin(angle)) for r, angle in reach])


def random_arcs(seed: int) -> Bends:
    """Of all sizes, some of them full, some from or to a place straight beside their centres."""
    rng = np.random.default_rng(seed)
    count = 60
    centre = rng.uniform(-100, 100, (count, 2))
    radius = 10 ** rng.uniform(-3, 2, count)
    first = np.where(rng.random(count) < 0.3, rng.integers(0, 4, count) * np.pi / 2, 0.0)
    first += rng.uniform(0, 7, count) * (first == 0)
    turn = np.where(rng.random(count) < 0.2, np.pi, rng.uniform(0.01, 6.2, count))
    turn[rng.random(count) < 0.2] = 0.0
    far = radius + rng.uniform(-1, 1, count) * np.minimum(0.002, radius / 10) * (turn > 0)
    sides = [np.column_stack([np.cos(at), np.sin(at)]) for at in (first, first + turn)]
    start = centre + radius[:, None] * sides[0]
    end = centre + far[:, None] * sides[1]
    return Bends(start, end, centre, rng.choice([-1.0, 1.0], count))


@pytest.mark.parametrize("seed", range(4))
def test_chords_are_those_of_a_plain_loop(seed: int) -> None:
    bends = random_arcs(seed)
    points, counts = bends.chords()
    assert len(points) == counts.sum()
    parts = np.split(points, np.cumsum(counts)[:-1])
    for part, *arc in zip(parts, *bends, strict=True):
        np.testing.assert_allclose(part, plain_chords(*arc), atol=1e-6)
        np.testing.assert_array_equal(part[-1], arc[1])


@pytest.mark.parametrize("seed", range(2))
def test_sweeps_and_lengths_are_those_of_single_arcs(seed: int) -> None:
    bends = random_arcs(seed)
    arcs = [
        by_centre(tuple(start), tuple(end), tuple(centre), clockwise=side < 0, slack=math.inf)
        for start, end, centre, side in zip(*bends, strict=True)
    ]
    np.testing.assert_allclose(np.degrees(bends.sweeps), [arc.sweep for arc in arcs], atol=1e-6)
    np.testing.assert_allclose(bends.lengths, [arc.length for arc in arcs], rtol=1e-9)


def test_ink_of_arcs_is_measured_along_them() -> None:
    path = read("G21\nG90\nM5\nG0 X10 Y10\nM3 S90\nG2 X10 Y10 I5 J0 F600\nM5\nM2\n", BENCH)
    assert path.ink == pytest.approx(10 * math.pi, rel=1e-9)
