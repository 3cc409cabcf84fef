from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from oracles_replay import replay

from plotlib import gcode
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, OutsideEnvelope, ProofError
from plotlib.gcode.proving.raised import DRY, WALK, prove_raised
from plotlib.gcode.raised import text_of_raised
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.testing import drawings, machines


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 100,
        "height": 80,
        "x": Axis(9_000),
        "y": Axis(6_000),
        "feed": 3_000,
        "lift": ServoLift("M5", "M3 S90"),
    }
    return Machine(**{**values, **changes})


RED = Pen("red", 0.3, "#aa2222")
DRAWING = Drawing([[(10, 10), (60, 10), (60, 40)], [(20, 20)]]) + Drawing(
    [[(30, 60), (35, 70)]]
).inked(RED)


@settings(max_examples=30, deadline=None)
@given(drawings((0, 0, 30, 30)), machines())
def test_a_dry_run_goes_all_ways_and_never_lowers_the_pen(
    drawing: Drawing, machine: Machine
) -> None:
    fitted = drawing.fitted(machine.bed) if len(drawing) and drawing.bounds else drawing
    try:
        plot = plan(fitted, machine)
    except OutsideEnvelope:
        return  # a keep-out
    text = text_of_raised(plot, DRY)
    prove_raised(text, plot, DRY)
    strokes, places, stops, is_up = replay(text, machine)
    assert strokes == []
    assert is_up
    assert stops == plot.changes
    assert set(map(tuple, plot.units.tolist())) <= {tuple(place) for place in places} | {
        tuple(machine.to_units(machine.home).tolist())
    }


def test_the_first_line_says_what_it_is(tmp_path: Path) -> None:
    plot = plan(DRAWING, bench())
    gcode.dry_run(plot, tmp_path / "dry.gcode")
    text = (tmp_path / "dry.gcode").read_text()
    assert text.startswith("(DRY RUN: the pen stays up.)\n")
    assert "put in pen red" in text
    assert "M3" not in text


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ("G1 X60.000", "M3 S90\nG4 P0.2\nG1 X60.000", "lowers the pen"),
        ("X60.000", "X61.000", "goes another way than the plot"),
        ("Y40.000\n", "", "goes another way than the plot"),
        ("F3000", "F5000", "faster than any pen"),
        ("M0\n", "", "0 stops, and 1 changes of the pen"),
        ("DRY RUN", "RUN", "the first lines do not say"),
    ],
)
def test_a_broken_dry_run_is_refused(old: str, new: str, reason: str) -> None:
    plot = plan(DRAWING, bench())
    text = text_of_raised(plot, DRY)
    assert old in text
    with pytest.raises(ProofError, match=re.escape(reason)):
        prove_raised(text.replace(old, new, 1), plot, DRY)
    with pytest.raises(ProofError):
        prove_raised(text_of(plot), plot, DRY)


def test_a_walk_goes_round_the_bounds_or_the_hull(tmp_path: Path) -> None:
    machine = bench()
    plot = plan(Drawing([[(10, 10), (60, 10), (60, 40)]]), machine)
    path = tmp_path / "walk.gcode"
    gcode.walk_around(plot, path, feed=700)
    assert path.read_text().startswith(f"({WALK})\n")
    walked = gcode.read(path, machine)
    assert len(walked) == 0
    assert walked.moves.end[:5].tolist() == [[10, 10], [60, 10], [60, 40], [10, 40], [10, 10]]
    assert np.nanmax(walked.moves.feed) == 700
    gcode.walk_around(plot, path, hull=True)
    corners = {tuple(place) for place in gcode.read(path, machine).moves.end.tolist()}
    assert corners == {(10, 10), (60, 10), (60, 40), (0, 0)}


def test_a_walk_around_a_line_or_a_dot(tmp_path: Path) -> None:
    machine = bench()
    path = tmp_path / "walk.gcode"
    for drawing in (Drawing([[(10, 10), (60, 10)]]), Drawing([[(5, 5)]])):
        for hull in (False, True):
            gcode.walk_around(plan(drawing, machine), path, hull=hull)
            assert len(gcode.read(path, machine)) == 0


def test_a_walk_does_not_cross_what_may_not_be_passed(tmp_path: Path) -> None:
    clamp = KeepOut(shapely.box(30, 30, 40, 50), passable=False)
    machine = bench(keep_outs=clamp)
    plot = plan(Drawing([[(10, 10), (60, 10)], [(10, 40), (20, 40)]]), machine)
    with pytest.raises(OutsideEnvelope, match="through keep-out 0, which the carriage may not"):
        gcode.walk_around(plot, tmp_path / "walk.gcode")
    with pytest.raises(InvalidValue, match="draws nothing"):
        gcode.walk_around(plan(Drawing(), machine), tmp_path / "walk.gcode")
    assert list(tmp_path.iterdir()) == []


def test_a_walk_passes_beside_what_may_not_be_passed(tmp_path: Path) -> None:
    """A clamp inside the way, one that it runs along, and one that it grazes by half a unit."""
    for clamp in (
        shapely.box(30, 20, 40, 30),
        shapely.box(60, 20, 70, 30),
        shapely.box(59.9995, 20, 70, 30),
    ):
        machine = bench(keep_outs=KeepOut(clamp, passable=False))
        plot = plan(Drawing([[(10, 10), (59, 10), (60, 10)], [(10, 40), (20, 40)]]), machine)
        gcode.walk_around(plot, tmp_path / "walk.gcode")
        assert (tmp_path / "walk.gcode").exists()
    machine = bench(keep_outs=KeepOut(shapely.box(59.99, 20, 70, 30), passable=False))
    plot = plan(Drawing([[(10, 10), (60, 10)], [(10, 40), (20, 40)]]), machine)
    with pytest.raises(OutsideEnvelope, match=r"goes 9\.998 mm through keep-out 0") as caught:
        gcode.walk_around(plot, tmp_path / "walk.gcode")
    assert caught.value.excess == pytest.approx(9.998)
    assert (caught.value.side, caught.value.stroke, caught.value.count) == ("keep-out", -1, 1)
