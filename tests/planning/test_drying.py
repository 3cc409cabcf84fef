"""Wet ink, checked by other means: ink as points a twentieth of a mm apart, times by the replay."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

import plotlib as pl
from plotlib.checks import FloatArray, IntArray
from plotlib.preview.timeline import timeline
from plotlib.testing import drawings

AXIS = pl.Axis(rate=6_000, acceleration=300)
BENCH = pl.Machine(
    width=200,
    height=200,
    x=AXIS,
    y=AXIS,
    lift=pl.ServoLift(up="M5", down="M3 S90", settle_up=0.2, settle_down=0.2),
    feed=3_000,
)
SQUARE = shapely.box(20, 20, 60, 60)
STEP = 0.05  # mm between the points that stand for a stroke


def dotted(stroke: FloatArray) -> FloatArray:
    """Points along a stroke, at most STEP apart."""
    parts = [stroke[:1]]
    for begin, end in pairwise(stroke):
        count = int(np.ceil(np.hypot(*(end - begin)) / STEP)) + 1
        parts.append(begin + np.linspace(0, 1, count)[:, None] * (end - begin))
    return np.concatenate(parts)


def ages(plot: pl.Plot) -> tuple[IntArray, FloatArray, FloatArray]:
    """Of each two strokes (K, 2) how far their ink is apart, in mm, and how old the first is when
    the second begins, in s.
    """
    drawing = plot.drawing
    times = timeline(plot)
    trees = [cKDTree(dotted(stroke)) for stroke in drawing]
    widths = [drawing.pens[number].width for number in drawing.pen_index]
    rows = []
    for b in range(len(trees)):
        for a in range(b):
            apart = float(np.min(trees[a].query(trees[b].data)[0]))
            age = times.begins[b] - times.begins[a] - times.draws[a]
            rows.append((a, b, apart - (widths[a] + widths[b]) / 2, age))
    table = np.array(rows).reshape(-1, 4)
    return table[:, :2].astype(np.int64), table[:, 2], table[:, 3]


def wet(plot: pl.Plot, drying: float, *, nearer: float) -> set[int]:
    """The strokes that come nearer to wet ink than so many mm."""
    pairs, apart, age = ages(plot)
    return {int(b) for _, b in pairs[(apart < nearer) & (age < drying - 1e-6)]}


def told(plot: pl.Plot) -> int:
    """How many strokes the plot says touch wet ink."""
    notes = [note for note in plot.warnings if "has not dried" in note]
    return int(re.match(r"([\d,]+) of", notes[0])[1]) if notes else 0  # type: ignore[index]


@settings(max_examples=15, deadline=None)
@given(
    drawings((10, 10, 40, 40)),
    st.sampled_from([2.0, 15.0, 300.0]),
    st.sampled_from([0.0, None]),
    st.booleans(),
)
def test_what_touches_wet_ink_is_told_and_nothing_else_does(
    drawing: pl.Drawing, drying: float, join: float | None, keep_order: bool
) -> None:
    few = drawing[:10]
    options: dict[str, Any] = {"join": join, "keep_order": keep_order, "effort": "quick"}
    plot = pl.plan(few, BENCH, drying=drying, **options)
    assert len(wet(plot, drying, nearer=-STEP)) <= told(plot)
    assert told(plot) <= len(wet(plot, drying, nearer=STEP))
    plain = pl.plan(few, BENCH, **options)
    assert plot.drawing.length == pytest.approx(plain.drawing.length)
    assert len(plot.drawing) == len(plain.drawing)
    assert plot.bound <= plot.cost + 1e-9


def test_lines_side_by_side_are_drawn_in_turns() -> None:
    """A solid fill of separate lines: each touches the next, and an order keeps them apart."""
    rows = pl.fills.hatch(SQUARE, spacing=0.4)
    assert len(wet(pl.plan(rows, BENCH), 20, nearer=STEP)) == len(rows) - 1
    plot = pl.plan(rows, BENCH, drying=20)
    assert told(plot) == 0
    assert wet(plot, 20, nearer=STEP) == set()
    assert plot.travel < 3 * pl.plan(rows, BENCH).travel


def test_a_hatch_across_another_cannot_be_helped_and_the_advice_helps() -> None:
    across = pl.fills.hatch(SQUARE, spacing=4) + pl.fills.hatch(SQUARE, spacing=4, angle=90)
    plot = pl.plan(across, BENCH, drying=300)
    assert told(plot) == 10
    note = next(note for note in plot.warnings if "has not dried" in note)
    first = int(re.search(r"since=(\d+)", note)[1])  # type: ignore[index]
    for part in (plot.part(strokes=slice(0, first)), plot.part(since=first)):
        assert wet(part, 300, nearer=STEP) == set()


def test_layers_and_areas_and_pens_keep_their_places() -> None:
    red = pl.Pen("red", width=0.8)
    rows = pl.fills.hatch(SQUARE, spacing=0.4)
    both = rows[:20] + rows[20:40].inked(red)
    layers = [0, 1] * 20
    plot = pl.plan(both, BENCH, drying=5, layers=layers)
    wanted = pl.plan(both, BENCH, layers=layers)
    for number in range(2):
        place = [
            sorted(map(tuple, np.sort(s, axis=0).tolist()))
            for p in (plot, wanted)
            for s in [np.concatenate(list(p.drawing)[20 * number + 10 : 20 * number + 20])]
        ]
        assert place[0] == place[1]
    assert plot.drawing.pen_index.tolist() == [0] * 20 + [1] * 20


def test_a_pen_that_follows_knows_what_the_one_before_has_wetted() -> None:
    red = pl.Pen("red")
    line = pl.Drawing([[(20, 20), (60, 20)]])
    plot = pl.plan(line + line.moved(0, 30).inked(red) + line.inked(red), BENCH, drying=1.5)
    assert told(plot) == 0
    assert plot.drawing[1][0, 1] == 50
    twice = pl.plan(line + line.inked(red) + line.moved(0, 30), BENCH, drying=9)
    assert "1 of 3 strokes" in twice.warnings[0]


def test_the_same_bytes_again_and_none_without_the_option() -> None:
    rows = pl.fills.hatch(SQUARE, spacing=0.4, angle=10)
    once = pl.plan(rows, BENCH, drying=30)
    assert once == pl.plan(rows, BENCH, drying=30)
    assert pl.plan(rows, BENCH) == pl.plan(rows, BENCH, drying=None)
    assert pl.plan(pl.Drawing(), BENCH, drying=30).drawing == pl.Drawing()


@pytest.mark.parametrize("value", [0, -1, float("nan"), "long", True])
def test_no_time_to_dry_is_refused(value: Any) -> None:
    with pytest.raises(pl.errors.InvalidValue, match="drying"):
        pl.plan(pl.Drawing(), BENCH, drying=value)
