"""The plan's points along its arcs, judged for all arcs at once: a plan whose points are not those
of its arcs is refused, and the first arc that is wrong is named.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import ProofError
from plotlib.gcode.proving.planned import planned
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.proving.rounds import check_turns
from plotlib.gcode.reader import read
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.shapes import circle, star

AXIS = Axis(9_000, 600)
LIFT = ServoLift("M5", "M3 S90")
MACHINE = Machine(width=200, height=150, x=AXIS, y=AXIS, lift=LIFT, feed=2_000, arcs=True)
DRAWING = star((20, 20), 10) + circle((60, 50), 20) + circle((130, 50), 10) + circle((160, 90), 5)


@pytest.fixture
def plot() -> Plot:
    return plan(DRAWING, MACHINE, keep_order=True)


def changed(plot: Plot, arc: int, change: Callable[[FloatArray], FloatArray]) -> Plot:
    """A plot with other points inside one of its arcs; its program stays the same."""
    first = int(plot.arcs.first[arc])
    last = int(plot.arcs.last[arc])
    points = plot.drawing.points
    inner = change(points[first + 1 : last].copy())
    less = (last - first - 1) - len(inner)
    offsets = plot.drawing.offsets - less * (plot.drawing.offsets > first)
    parts = [points[: first + 1], inner, points[last:]]
    arcs = replace(
        plot.arcs,
        first=plot.arcs.first - less * (plot.arcs.first > first),
        last=plot.arcs.last - less * (plot.arcs.last > first),
    )
    drawing = Drawing.from_arrays(np.vstack(parts), offsets)
    return replace(plot, drawing=drawing, arcs=arcs)


def test_the_plan_as_it_is_is_proven(plot: Plot) -> None:
    assert len(plot.arcs) == 3
    prove(text_of(plot), changed(plot, 1, lambda inner: inner))


def outwards(inner: FloatArray) -> FloatArray:
    inner[4] += (inner[4] - inner.mean(axis=0)) * 2e-4
    return inner


def swapped(inner: FloatArray) -> FloatArray:
    inner[[3, 4]] = inner[[4, 3]]
    return inner


@pytest.mark.parametrize("change", [outwards, swapped])
@pytest.mark.parametrize("arc", range(3))
def test_points_beside_an_arc_are_refused(
    plot: Plot, arc: int, change: Callable[[FloatArray], FloatArray]
) -> None:
    wrong = changed(plot, arc, change)
    with pytest.raises(ProofError, match=f"do not lie along its arc {arc}$"):
        prove(text_of(wrong), wrong)


@pytest.mark.parametrize("arc", range(3))
def test_chords_far_from_an_arc_are_refused(plot: Plot, arc: int) -> None:
    """Four points of the inner ones left: r (1 - cos half the turn) is far above 0.03 mm."""
    wrong = changed(plot, arc, lambda inner: inner[:: len(inner) // 3])
    with pytest.raises(ProofError, match=rf"leave its arc {arc} by \d\.\d{{4}} mm"):
        prove(text_of(wrong), wrong)


def test_the_first_arc_that_is_wrong_is_named(plot: Plot) -> None:
    wrong = changed(changed(plot, 2, outwards), 1, lambda inner: inner[::20])
    with pytest.raises(ProofError, match="leave its arc 1 by"):
        prove(text_of(wrong), wrong)


def test_radii_that_differ_are_refused() -> None:
    """A half circle of 20 mm that ends 0.003 mm too far out, in the plan and in the program."""
    angle = np.linspace(0, np.pi, 60)
    half = Drawing([60 + 20 * np.column_stack([np.cos(angle), np.sin(angle)])])
    plot = plan(half, MACHINE, keep_order=True)
    assert len(plot.arcs) == 1
    last = int(plot.arcs.last[0])
    points = plot.drawing.points.copy()
    points[last, 0] += 0.003 * np.sign(points[last, 0] - 60)
    wrong = replace(plot, drawing=Drawing.from_arrays(points, plot.drawing.offsets))
    path = read(text_of(wrong), MACHINE, ignore={"arc radii"})
    with pytest.raises(ProofError, match=r"the radii of arc 0 differ by 0\.0030 mm"):
        check_turns(path, planned(wrong))
