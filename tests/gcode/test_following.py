"""Beds that are not flat: the proof holds unchanged, the envelope in both worlds, and on a machine
that is bent as its map says the pen keeps its pressure.
"""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import example, given, settings

from plotlib import gcode
from plotlib.drawing import Drawing
from plotlib.errors import ProofError
from plotlib.gcode.proving.bed import _farthest
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.raised import text_of_raised
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Corrections, HeightMap, Machine, ServoLift, ZLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.shapes import circle
from plotlib.testing import drawings

BED = HeightMap(
    x=(10, 80, 150, 190),
    y=(10, 60, 140),
    heights=[(0, 0.3, 0.1, -0.2), (0.2, 0.5, -0.1, 0), (-0.4, 0, 0.3, 0.6)],
)
LONG = Drawing([[(5, 5), (195, 145)], [(190, 8), (190, 100), (12, 100)], [(60, 60)]])


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 150,
        "x": Axis(9_000),
        "y": Axis(6_000),
        "feed": 3_000,
        "lift": ZLift(up=4, down=0, feed=600),
        "height_map": BED,
    }
    return Machine(**{**values, **changes})


def height(bed: HeightMap, x: float, y: float) -> float:
    """The bed at one place, by the formula with four corners: shares no code with the package."""
    knots_x, knots_y = list(bed.x), list(bed.y)
    x = min(max(x, knots_x[0]), knots_x[-1])
    y = min(max(y, knots_y[0]), knots_y[-1])
    i = max(k for k in range(len(knots_x) - 1) if knots_x[k] <= x)
    j = max(k for k in range(len(knots_y) - 1) if knots_y[k] <= y)
    u = (x - knots_x[i]) / (knots_x[i + 1] - knots_x[i])
    v = (y - knots_y[j]) / (knots_y[j + 1] - knots_y[j])
    rows = bed.heights
    return (
        rows[j][i] * (1 - u) * (1 - v)
        + rows[j][i + 1] * u * (1 - v)
        + rows[j + 1][i] * (1 - u) * v
        + rows[j + 1][i + 1] * u * v
    )


def driven(text: str, machine: Machine) -> list[tuple[bool, np.ndarray]]:
    """Every move of a program by its words alone: whether the pen is down all along, and 21 places
    (x, y, how far the tip is above the bed) on the way.
    """
    heights = machine.lift.heights
    assert heights is not None
    assert machine.height_map is not None
    sign = 1 if heights.up > heights.down else -1
    at = np.array([*machine.home, heights.up])
    moves = []
    for line in text.splitlines():
        words = dict(re.findall(r"([XYZ])(-?[\d.]+)", line)) if line[0] in "GXYZ" else {}
        if not words:
            continue
        goal = np.array([float(words.get(axis, now)) for axis, now in zip("XYZ", at, strict=True)])
        ways = at + np.linspace(0, 1, 21)[:, None] * (goal - at)
        tips = [
            sign * (z - heights.down) - height(machine.height_map, x, y)
            for x, y, z in ways.tolist()
        ]
        is_down = bool(at[2] != heights.up and goal[2] != heights.up)
        moves.append((is_down, np.column_stack([ways[:, :2], tips])))
        at = goal
    return moves


@settings(max_examples=25, deadline=None)
@given(drawings((5, 5, 195, 145)), st.integers(0, 10_000), st.booleans())
def test_the_pen_keeps_its_height_over_a_bent_bed(
    drawing: Drawing, seed: int, is_upside_down: bool
) -> None:
    rng = np.random.default_rng(seed)
    x = np.sort(rng.choice(np.arange(0, 200, 20), 5, replace=False)) + rng.uniform(0, 9, 5)
    y = np.sort(rng.choice(np.arange(0, 150, 20), 4, replace=False)) + rng.uniform(0, 9, 4)
    bed = HeightMap(x=x, y=y, heights=rng.uniform(-0.5, 0.5, (4, 5)))
    up = -4 if is_upside_down else 4
    machine = bench(lift=ZLift(up=up, down=0, feed=600, limits=(-4, 4)), height_map=bed)
    plot = plan(drawing, machine, effort="quick")
    text = text_of(plot)
    path = prove(text, plot)
    assert np.array_equal(machine.to_units(path.points), plot.units)
    assert (path.heights == 0).all()
    least = 4 - 0.5
    for is_down, places in driven(text, machine):
        above = places[:, 2]
        if is_down:
            assert np.abs(above).max() <= bed.tolerance + 0.0006
        elif np.ptp(places[:, :2], axis=0).any():
            assert above.min() >= least - 1e-9


def test_strokes_have_more_points_only_where_the_bed_bends() -> None:
    flat = plan(LONG, bench(height_map=None)).drawing
    tilted = HeightMap(x=(0, 200), y=(0, 150), heights=[(0, 0.4), (0.3, 0.7)])
    assert plan(LONG, bench(height_map=tilted)).drawing == flat
    plot = plan(LONG, bench())
    bent = plot.drawing
    assert len(bent.points) > len(flat.points)
    assert bent.length == pytest.approx(flat.length, abs=0.001)
    coarse = dataclasses.replace(BED, tolerance=0.2)
    assert len(plan(LONG, bench(height_map=coarse)).drawing.points) < len(bent.points)
    twice = plan(bent, bench(), keep_order=True)
    assert np.array_equal(twice.units, plot.units)


def test_wrong_heights_are_refused() -> None:
    machine = bench(lift=ZLift(up=4, down=0, feed=600, limits=(-1, 5)))
    plot = plan(LONG, machine)
    text = text_of(plot)
    lines = text.splitlines()
    ink = [n for n, line in enumerate(lines) if re.match(r"X.* Z", line)]

    def changed(line: int, new: str) -> str:
        return "\n".join([*lines[:line], *([new] if new else []), *lines[line + 1 :]]) + "\n"

    at = ink[2]
    head, _, z = lines[at].partition(" Z")
    with pytest.raises(ProofError, match=r"the pen is 0\.002 mm off its height over the bed"):
        prove(changed(at, f"{head} Z{float(z.split()[0]) + 0.002:.3f}"), plot)
    with pytest.raises(ProofError, match="off its height over the bed"):
        prove(changed(at, head), plot)
    with pytest.raises(ProofError, match=r"Z -1\.5 is beyond the limits of the lift"):
        prove(changed(at, f"{head} Z-1.500"), plot)
    lowered = next(n for n, line in enumerate(lines) if re.match(r"G1 Z0\.\d", line))
    with pytest.raises(ProofError, match=r"neither up \(4\) nor down \(0, and the height"):
        prove(changed(lowered, "G1 Z0.900"), plot)
    raised = next(n for n, line in enumerate(lines) if n > lowered and "Z4.000" in line)
    with pytest.raises(ProofError, match="the pen would drag"):
        prove(changed(raised, f"{lines[raised - 1].partition(' Z')[0]} Z4.000 F600"), plot)
    missing = changed(at, "")
    with pytest.raises(ProofError, match="the bed bends"):
        prove(missing, plot)


def test_a_file_for_a_flat_bed_is_not_proven_for_a_bent_one() -> None:
    flat = plan(LONG, bench(height_map=None))
    bent = dataclasses.replace(flat, machine=bench())
    with pytest.raises(ProofError, match=r"neither up|off its height"):
        prove(text_of(flat), bent)
    with pytest.raises(ProofError, match="Z"):
        prove(text_of(plan(LONG, bench())), flat)


def test_parts_dry_runs_and_walks_keep_to_the_map(tmp_path: Path) -> None:
    machine = bench()
    plot = plan(LONG + circle((100, 70), 40), machine)
    part = plot.part(since=(1, 25.3))
    gcode.write(part, tmp_path / "rest.gcode")
    assert gcode.read(tmp_path / "rest.gcode", machine).lifts == part.lifts
    gcode.dry_run(plot, tmp_path / "dry.gcode")
    gcode.walk_around(plot, tmp_path / "walk.gcode", hull=True)
    said = re.findall(r"Z(-?[\d.]+)", text_of_raised(plot, "DRY RUN: the pen stays up."))
    assert set(said) == {"4.000"}


def test_corrections_and_a_map_go_together() -> None:
    made = Corrections(scale_x=1.01, scale_y=0.99, skew=0.4, backlash_x=0.2, backlash_y=0.1)
    machine = bench(corrections=made, home=(0, 0), park=(5, 5))
    plot = plan(LONG.clipped(machine.bed.buffer(-8)), machine)
    path = prove(text_of(plot), plot)
    assert np.array_equal(machine.to_units(path.points), plot.units)


def test_a_slow_lift_slows_the_strokes_that_climb() -> None:
    """The bed rises 0.5 mm in 50: a lift of 12 mm/min follows at 1,200 mm/min, and no faster."""
    steep = HeightMap(x=(50, 100), y=(0, 150), heights=[(0, 0.5), (0, 0.5)])
    lift = ZLift(up=4, down=0, feed=12)
    plot = plan(Drawing([[(50, 10), (100, 10)]]), bench(height_map=steep, lift=lift))
    text = text_of(plot)
    prove(text, plot)
    feed = float(re.findall(r"X100\.000 Z0\.500 F([\d.]+)", text)[0])
    assert feed == pytest.approx(1_200, rel=0.003)
    with pytest.raises(ProofError, match="is too fast"):
        prove(text.replace(f"F{feed:g}", "F3000"), plot)


def test_a_pen_with_a_servo_of_its_own_cannot_follow() -> None:
    pen = Pen("brush", lift=ServoLift("M5", "M3 S90"))
    with pytest.raises(ValueError, match="a height map needs a lift along Z"):
        plan(LONG.inked(pen), bench())


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(0, 200), min_size=4, max_size=4), st.floats(-0.1, 0.1))
@example([0.0, 0.0, 0.0, 2.2e-309], 0.0)  # shorter than a division can tell
def test_the_proof_finds_how_far_the_bed_lies_off_a_way_and_no_more(
    ends: list[float], lift: float
) -> None:
    """Against the height at 4,001 places of the way, and where it crosses a line of the map."""
    start, end = np.array([ends[:2]]), np.array([ends[2:]])
    z = np.array([[lift, BED.at(end)[0]]])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        knots = [(BED.x[k] - start[0, 0]) / (end - start)[0, 0] for k in range(4)]
        knots += [(BED.y[k] - start[0, 1]) / (end - start)[0, 1] for k in range(3)]
    crossed = [knot for knot in knots if 0 < knot < 1]
    share = np.append(np.linspace(0, 1, 4_001), crossed)[:, None]
    heights = BED.at(start + share * (end - start))
    wanted = np.abs(heights - z[0, 0] - share[:, 0] * (z[0, 1] - z[0, 0])).max()
    assert _farthest(start, end, z, BED)[0] == pytest.approx(wanted, abs=1e-4)
