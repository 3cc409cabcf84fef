"""Laws of the main job: whatever drawing and machine, either a clear refusal or a file that stays
on the bed and replays to the plot.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from oracles_replay import replay

from plotlib import gcode
from plotlib.drawing import Drawing
from plotlib.errors import OutsideEnvelope
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of
from plotlib.machine import Machine
from plotlib.planning.placing.grid import to_grid
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.testing import assert_on_bed, drawings, machines

BUSY = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@st.composite
def jobs(draw: Any) -> tuple[Drawing, Machine]:
    machine = draw(machines())
    return draw(drawings(machine)), machine


def ink(points: Any, offsets: Any) -> Counter[Any]:
    """Every segment, whichever way it is drawn, and every dot, each as often as it is drawn."""
    strokes = (
        [list(map(tuple, stroke)) for stroke in np.split(points, offsets[1:-1])]
        if len(offsets) > 1
        else []
    )
    segments = Counter(frozenset(pair) for stroke in strokes for pair in pairwise(stroke))
    return segments + Counter(stroke[0] for stroke in strokes if len(stroke) == 1)


def strokes_of(plot: Plot) -> list[list[tuple[int, int]]]:
    offsets = plot.drawing.offsets
    return [[tuple(point) for point in plot.units[a:b].tolist()] for a, b in pairwise(offsets)]


@BUSY
@given(jobs())
def test_a_drawing_on_the_bed_becomes_a_proven_file(job: tuple[Drawing, Machine]) -> None:
    drawing, machine = job
    plot = plan(drawing, machine)
    text = text_of(plot, title="any title")
    toolpath = prove(text, plot)
    assert_on_bed(plot, machine)
    assert_on_bed(text, machine)
    assert toolpath.lifts == plot.lifts
    assert toolpath.travel == pytest.approx(plot.travel, rel=1e-9, abs=1e-9)
    strokes, places, stops, is_up = replay(text, machine)
    assert strokes == strokes_of(plot)
    assert is_up
    assert stops == max(len(plot.drawing.pens) - 1, 0)
    high = machine.to_units([machine.width, machine.height])
    assert (np.array(places) >= 0).all()
    assert (np.array(places) <= high).all()
    assert text == text_of(plan(drawing, machine), title="any title")
    assert text.isascii()
    assert max(map(len, text.split("\n"))) <= machine.longest_line


@BUSY
@given(jobs())
def test_the_ink_of_the_plot_is_the_ink_of_the_drawing(job: tuple[Drawing, Machine]) -> None:
    drawing, machine = job
    plot = plan(drawing, machine)
    before = to_grid(drawing, machine, None)
    for number, pen in enumerate(drawing.pens):
        mine = before.chosen(np.flatnonzero(before.pen_index == number))
        after = plot.drawing.by_pen()[pen]
        assert ink(mine.points, mine.offsets) == ink(machine.to_units(after.points), after.offsets)
    assert plot.drawing.pens == drawing.pens


@BUSY
@given(machines(), st.data())
def test_one_unit_over_any_edge_is_refused_and_the_edge_is_not(
    machine: Machine, data: st.DataObject
) -> None:
    side = data.draw(st.sampled_from(["left", "bottom", "right", "top"]))
    share = data.draw(st.floats(0, 1))
    edge = {"left": 0.0, "bottom": 0.0, "right": machine.width, "top": machine.height}[side]
    beyond = edge + machine.unit * (-1 if side in {"left", "bottom"} else 1)
    along = share * (machine.height if side in {"left", "right"} else machine.width)

    def at(value: float) -> Drawing:
        return Drawing(
            [
                [(machine.width / 2, machine.height / 2)],
                [(value, along) if side in {"left", "right"} else (along, value)],
            ]
        )

    prove(text_of(plan(at(edge), machine)), plan(at(edge), machine))
    with pytest.raises(
        OutsideEnvelope, match=rf"stroke 1 leaves the bed by .* on the {side}"
    ) as caught:
        plan(at(beyond), machine)
    assert (caught.value.stroke, caught.value.side, caught.value.count) == (1, side, 1)
    assert caught.value.excess == pytest.approx(machine.unit)
    with pytest.raises(AssertionError, match=f"on the {side}: stroke 1, point 0"):
        assert_on_bed(at(beyond), machine)


@BUSY
@given(jobs(), st.floats(-400, 400), st.sampled_from([0.0, 90.0, 180.0, 270.0, 33.3]))
def test_fitted_moved_turned_and_clipped_drawings_are_accepted_to_the_edge(
    job: tuple[Drawing, Machine], far: float, angle: float
) -> None:
    drawing, machine = job
    wandered = drawing.moved(far, -far).turned(angle, about=(far, 1.0))
    assert_on_bed(plan(wandered.fitted(machine.bed), machine), machine)
    assert_on_bed(plan(wandered.clipped(machine.bed), machine), machine)
    there_and_back = drawing.moved(far, -far).moved(-far, far).turned(angle).turned(-angle)
    assert_on_bed(plan(there_and_back, machine), machine)


@settings(
    BUSY,
    suppress_health_check=[
        HealthCheck.function_scoped_fixture,
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
    ],
)
@given(drawings((-60, -60, 400, 400)), machines())
def test_anything_is_refused_with_a_reason_or_written(
    tmp_path: Path, drawing: Drawing, machine: Machine
) -> None:
    path = tmp_path / "plot.gcode"
    path.write_bytes(b"old")
    units = machine.to_units(drawing.points)
    if (units < 0).any() or (units > machine.to_units([machine.width, machine.height])).any():
        with pytest.raises(OutsideEnvelope, match="leaves the bed") as refusal:
            plan(drawing, machine)
        assert refusal.value.excess > 0
        assert path.read_bytes() == b"old"
        return
    gcode.write(plan(drawing, machine), path)
    assert_on_bed(path, machine)
    assert [item.name for item in tmp_path.iterdir()] == ["plot.gcode"]
