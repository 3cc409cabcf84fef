from __future__ import annotations

import hypothesis.strategies as st
import numpy as np
from hypothesis import given, settings

import plotlib as pl
from plotlib.gcode import program
from plotlib.gcode.coordinates import axis_words
from plotlib.gcode.numbers import fixed
from plotlib.gcode.writer import text_of
from plotlib.testing import drawings

UNITS = st.one_of(st.integers(-(10**12), 10**12), st.integers(-1200, 1200))
PLACES = st.lists(st.tuples(UNITS, UNITS, st.booleans(), st.booleans()), max_size=12)


def one_by_one(rows: list[tuple[int, int, bool, bool]], decimals: int) -> list[str]:
    """The words of each place, made one after another."""
    lines = []
    for x, y, moves_x, moves_y in rows:
        words = fixed("X", np.array([x]), decimals) * moves_x
        words += fixed("Y", np.array([y]), decimals) * moves_y
        lines.append(" ".join(words))
    return lines


@given(PLACES, st.integers(0, 6))
def test_many_places_are_said_as_each_one_is(
    rows: list[tuple[int, int, bool, bool]], decimals: int
) -> None:
    place = np.array([row[:2] for row in rows], np.int64).reshape(-1, 2)
    moved = np.array([row[2:] for row in rows], np.bool_).reshape(-1, 2)
    words = axis_words(place, moved, decimals, first=7)
    wanted = one_by_one(rows, decimals)
    assert words.text == "".join(line + "\n" for line in wanted)
    for first in range(len(rows)):
        for end in range(first + 1, len(rows) + 1):
            assert words.lines(7 + first, 7 + end) == "\n".join(wanted[first:end])


@settings(deadline=None, max_examples=30)
@given(drawings(), st.integers(1, 9))
def test_a_program_does_not_depend_on_how_much_is_said_at_once(
    drawing: pl.Drawing, at_once: int
) -> None:
    lift = pl.ServoLift("M5", "M3 S90")
    axis = pl.Axis(9_000)
    machine = pl.Machine(width=300, height=300, x=axis, y=axis, feed=600, lift=lift)
    plot = pl.plan(drawing.fitted(machine.bed), machine, keep_order=True)
    whole = text_of(plot)
    before = program._AT_ONCE
    try:
        program._AT_ONCE = at_once
        assert text_of(plot) == whole
    finally:
        program._AT_ONCE = before
