"""Laws of reading: many spellings, one meaning; and whatever the text, a toolpath or a
GcodeError.
"""

from __future__ import annotations

import math
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings
from oracles_gcode import RAMP, SERVO, ZED, bench, reach

from plotlib.errors import GcodeError
from plotlib.gcode.envelope import excess
from plotlib.gcode.reader import read
from plotlib.gcode.reading.arcs import by_centre, by_radius
from plotlib.gcode.reading.tolerances import TOLERANCES
from plotlib.gcode.toolpath import Toolpath

MACHINE = bench(zero=(50, 40), home=(50, 40))
FEW = settings(max_examples=60, deadline=None)

number = st.integers(-40_000, 40_000).map(lambda n: n / 1000)
points = st.lists(st.tuples(number, number, st.booleans()), min_size=1, max_size=12)


def program(
    moves: list[tuple[float, float, bool]],
    word: Any = lambda move, before: f"X{move[0]:.3f} Y{move[1]:.3f}",
) -> str:
    """Travel or ink to each point, spelled by ``word``."""
    out = ["G21 G90 G17 G94", "M5", "F600"]
    before = (0.0, 0.0)
    down = False
    for x, y, ink in moves:
        if ink != down:
            out.append("M3 S90" if ink else "M5")
            down = ink
        out.append(f"G{1 if ink else 0} {word((x, y), before)}")
        before = (x, y)
    return "\n".join([*out, "M5", "M2"]) + "\n"


def same(one: Toolpath, two: Toolpath, *, within: float = 1e-9) -> None:
    assert one.offsets.tolist() == two.offsets.tolist()
    np.testing.assert_allclose(one.points, two.points, rtol=0, atol=within)
    np.testing.assert_allclose(one.moves.end, two.moves.end, rtol=0, atol=within)
    assert one.moves.down.tolist() == two.moves.down.tolist()


@FEW
@given(points)
def test_absolute_and_incremental_words_lead_to_the_same_places(
    moves: list[tuple[float, float, bool]],
) -> None:
    steps = program(
        moves, lambda move, before: f"X{move[0] - before[0]:.3f} Y{move[1] - before[1]:.3f}"
    ).replace("G90", "G91")
    same(read(program(moves), MACHINE), read(steps, MACHINE))


@FEW
@given(points)
def test_inches_lead_to_the_same_places(moves: list[tuple[float, float, bool]]) -> None:
    inches = program(
        moves, lambda move, before: f"X{move[0] / 25.4:.9f} Y{move[1] / 25.4:.9f}"
    ).replace("G21", "G20")
    same(read(program(moves), MACHINE), read(inches, MACHINE), within=1e-7)


@FEW
@given(points, number, number)
def test_shifted_coordinates_lead_to_the_same_places(
    moves: list[tuple[float, float, bool]], dx: float, dy: float
) -> None:
    shifted = program(moves, lambda move, before: f"X{move[0] + dx:.3f} Y{move[1] + dy:.3f}")
    same(
        read(program(moves), MACHINE),
        read(shifted.replace("F600", f"F600\nG92 X{dx:.3f} Y{dy:.3f}"), MACHINE),
    )


@FEW
@given(points, st.randoms(use_true_random=False))
def test_spelling_does_not_matter(moves: list[tuple[float, float, bool]], chance: Any) -> None:
    spelled = []
    for line_number, line in enumerate(program(moves).rstrip("\n").split("\n")):
        text = line.lower() if chance.random() < 0.5 else line
        text = "".join(letter + " " * (chance.random() < 0.2) for letter in text)
        text = f"N{line_number * 10} {text}" if chance.random() < 0.3 else text
        spelled.append(
            text + "(a word)" * (chance.random() < 0.3) + " \t" * (chance.random() < 0.2)
        )
        spelled += [""] * (chance.random() < 0.1) + ["( between )"] * (chance.random() < 0.1)
    same(read(program(moves), MACHINE), read("\n".join(spelled) + "\r\n", MACHINE))


@FEW
@given(points)
def test_bounds_hold_everything_and_excess_is_what_they_say(
    moves: list[tuple[float, float, bool]],
) -> None:
    path = read(program(moves), MACHINE)
    left, bottom, right, top = path.bounds or (0, 0, 0, 0)
    places = np.array([(50, 40), *((x + 50, 40 - y) for x, y, _ in moves)])
    assert (left, bottom) == pytest.approx(tuple(places.min(axis=0)), abs=1e-9)
    assert (right, top) == pytest.approx(tuple(places.max(axis=0)), abs=1e-9)
    small = bench(zero=(50, 40), home=(50, 40), width=60, height=50, park=(0, 0))
    over = max(-left, -bottom, right - 60, top - 50)
    found = excess(path, small)
    assert (found.excess if found else 0.0) == pytest.approx(max(over, 0.0), abs=1e-9)


@FEW
@given(
    st.tuples(number, number),
    st.floats(0.5, 60),
    st.floats(-math.pi, math.pi),
    st.floats(0.01, math.tau - 0.01),
    st.booleans(),
)
def test_arcs_keep_to_their_circle(
    centre: tuple[float, float], radius: float, start: float, turn: float, clockwise: bool
) -> None:
    def at(angle: float) -> tuple[float, float]:
        return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)

    sign = -1 if clockwise else 1
    arc = by_centre(at(start), at(start + sign * turn), centre, clockwise=clockwise)
    assert math.radians(arc.sweep) == pytest.approx(sign * turn, abs=1e-6)
    assert arc.length == pytest.approx(radius * turn, rel=1e-6)
    chain = np.vstack([arc.start, arc.points()])
    np.testing.assert_allclose(np.hypot(*(chain - centre).T), radius, rtol=0, atol=1e-6)
    middles = (chain[1:] + chain[:-1]) / 2
    assert (radius - np.hypot(*(middles - centre).T)).max() <= 0.002 + 1e-9
    dense = np.array([at(start + sign * turn * k / 2000) for k in range(2001)])
    assert (chain.min(axis=0) <= dense.min(axis=0) + 1e-9).all()
    assert (chain.max(axis=0) >= dense.max(axis=0) - 1e-9).all()
    if 0.1 < turn < math.tau - 0.1 and abs(turn - math.pi) > 0.1:
        other = by_radius(
            arc.start, arc.end, radius if turn < math.pi else -radius, clockwise=clockwise
        )
        assert other.centre == pytest.approx(centre, abs=1e-6)
        assert other.sweep == pytest.approx(arc.sweep, abs=1e-6)


small = st.integers(-9_000, 9_000).map(lambda n: n / 1000)
radii = st.integers(100, 9_000).map(lambda n: n / 1000)


@settings(max_examples=200, deadline=None)
@given(
    st.tuples(small, small),
    st.one_of(st.none(), st.tuples(small, small)),
    st.tuples(radii, small),
    st.sampled_from(["G2", "G3"]),
    st.sampled_from(["G20", "G21"]),
    st.sampled_from(["said", "half said", "by steps"]),
)
def test_a_full_circle_is_one_after_offsets_in_inches_and_by_steps(
    start: tuple[float, float],
    shift: tuple[float, float] | None,
    spoke: tuple[float, float],
    word: str,
    units: str,
    how: str,
) -> None:
    """The oracle counts in exact decimals, so it sees no difference in a last bit."""
    lines = [f"G0 X{start[0]:.3f} Y{start[1]:.3f}"]
    here = start
    if shift is not None:
        lines.append(f"G92 X{shift[0]:.3f} Y{shift[1]:.3f}")
        here = shift
    ends = {
        "said": f"X{here[0]:.3f} Y{here[1]:.3f}",
        "half said": f"Y{here[1]:.3f}",
        "by steps": "X0 Y0",
    }
    step = "G91 " if how == "by steps" else ""
    lines.append(f"{step}{word} {ends[how]} I{spoke[0]:.3f} J{spoke[1]:.3f}")
    scale = 25.4 if units == "G20" else 1.0
    program = "\n".join([f"{units} G90 G17 G94", "M5", "F600", *lines, "M5", "M2"]) + "\n"
    left, bottom, right, top = reach(lines, scale=scale)
    found = read(program, MACHINE)
    wanted = (50 + left, 40 - top, 50 + right, 40 - bottom)
    assert found.bounds == pytest.approx(wanted, abs=1e-3)
    round_trip = math.tau * math.hypot(*spoke) * scale
    assert found.moves.length[1:].sum() == pytest.approx(round_trip, rel=1e-9)


WORDS = """
G0 G1 G2 G3 G4 G20 G21 G28 G80 G90 G91 G92 G92.1 G93 G94 M0 M2 M3 M5 M30 M42 M6
X1 X-5.5 Y2 Y.5 Z4 Z-0.5 I1 J2 R3 F100 F0 P1 S90
T2 N5 / ( ) (a) (MSG,b) ; % @H # [ X Y E1 P30 P40 P60 P90 é X99999999999999999999 X1e5 Q
"""
PIECES = st.sampled_from(WORDS.split())
texts = st.lists(st.lists(PIECES, max_size=5).map(" ".join), max_size=14).map(
    lambda lines: "G21 G90 F9\nM5\n" + "\n".join(lines) + "\n"
)


@settings(max_examples=250, deadline=None)
@given(texts, st.sampled_from([SERVO, ZED, RAMP]), st.sets(st.sampled_from(sorted(TOLERANCES))))
def test_any_text_is_read_or_refused_with_its_line(text: str, lift: Any, ignore: set[str]) -> None:
    machine = bench(
        lift, prologue=(), setup=(), epilogue=("@H", "Q9"), zero=(0, 0), home=(0, 0), park=(0, 0)
    )
    try:
        path = read(text, machine, ignore=ignore)
    except GcodeError as error:
        refusal = error
    else:
        check(path)
        return
    assert 0 <= refusal.line <= text.count("\n")
    where = f"line {refusal.line}, column {refusal.column}: "
    assert str(refusal).startswith(where if refusal.column else f"line {refusal.line}: ")


def check(path: Toolpath) -> None:
    assert path.travel >= 0
    assert len(path.drawing) == len(path)
    assert not np.isnan(path.points).any()
    assert not np.isnan(path.moves.start).any()
    assert len(path) - 1 <= path.lifts <= len(path)


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=200))
def test_garbage_is_refused_not_crashed_upon(text: str) -> None:
    try:
        path = read(text + "\n", MACHINE, ignore=TOLERANCES)
    except GcodeError:
        return
    check(path)
