"""Arcs in files: G2 and G3 where the machine has them, as near to the planned ink as they promise,
proven like every line.

I and J count from the place where the arc begins, G2 turns clockwise and G3 counter-clockwise, an
end equal to the start is a full circle, and the radii of both ends may differ by 0.002 mm: NISTIR
6556 (RS274NGC), sections 3.5.3 and 3.5.3.2; ISO 6983-1 has the same words (both from memory).
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from plotlib import gcode
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import GcodeError, InvalidValue, OutsideEnvelope, ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.reading.arcs import by_centre, by_radius
from plotlib.gcode.reading.lines import Fault
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Corrections, KeepOut, Machine, ServoLift, ZLift
from plotlib.pen import Pen
from plotlib.planning import bending
from plotlib.planning.plan import plan
from plotlib.shapes import circle, rectangle, star
from plotlib.sheet import Sheet

SPEEDY = Axis(9_000, 600)
LINES = Machine(
    width=200, height=150, x=SPEEDY, y=SPEEDY, lift=ServoLift("M5", "M3 S90"), feed=2_000
)
ARCS = replace(LINES, arcs=True)
MIXED = circle((60, 50), 20) + rectangle((100, 60), 50, 30, radius=5) + star((40, 110), 20)


def ring(centre: tuple[float, float], radius: float, count: int, first: float = 0.0) -> Drawing:
    """A closed stroke of points on a circle, from ``first`` degrees on."""
    angle = np.radians(first) + np.linspace(0, 2 * np.pi, count + 1)
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * radius + centre
    points[-1] = points[0]
    return Drawing([points])


def followed(text: str) -> list[FloatArray]:
    """The ink of a servo's program in controller coordinates, by a reader of a few lines: every
    arc in chords within 2e-4 mm, by its centre and the angle between its ends.
    """
    x = y = 0.0
    motion = ""
    strokes: list[list[tuple[float, float]]] = []
    is_down = False
    for line in text.splitlines():
        if line.startswith("("):
            continue
        if line in ("M5", "M3 S90"):
            is_down = line != "M5"
            if is_down:
                strokes.append([(x, y)])
            continue
        words = dict(re.findall(r"([A-Z])(-?[\d.]+)", line))
        if "G" in words and words["G"] in "0123":
            motion = words["G"]
        if not {"X", "Y"} & set(words):
            continue
        to = (float(words.get("X", x)), float(words.get("Y", y)))
        if motion in ("2", "3"):
            points = around((x, y), to, (float(words["I"]), float(words["J"])), motion == "2")
            strokes[-1] += points
        elif is_down:
            strokes[-1].append(to)
        x, y = to
    return [np.array(stroke) for stroke in strokes]


def around(
    start: tuple[float, float], end: tuple[float, float], way: tuple[float, float], right: bool
) -> list[tuple[float, float]]:
    cx, cy = start[0] + way[0], start[1] + way[1]
    first = math.atan2(start[1] - cy, start[0] - cx)
    turn = math.atan2(end[1] - cy, end[0] - cx) - first
    sense = -1 if right else 1
    turn = (turn * sense) % math.tau or math.tau
    if math.dist(start, end) < 1e-9:
        turn = math.tau
    radius = math.hypot(*way)
    assert abs(radius - math.dist(end, (cx, cy))) <= 0.002
    count = math.ceil(turn / (2 * math.acos(1 - min(2e-4 / radius, 1.0))))
    angles = first + sense * turn * np.arange(1, count + 1) / count
    points = [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in angles.tolist()]
    return [*points[:-1], end]


def between(one: FloatArray, other: FloatArray) -> float:
    """The Hausdorff distance of two strokes, looked at every tenth of a mm."""
    lines = [shapely.linestrings(stroke) for stroke in (one, other)]
    shapely.prepare(lines)
    far = 0.0
    for mine, theirs in (lines, lines[::-1]):
        dense = shapely.get_coordinates(shapely.segmentize(mine, 0.1))
        far = max(far, float(shapely.distance(shapely.points(dense), theirs).max()))
    return far


def apart(one: list[FloatArray], other: Drawing) -> float:
    """The greatest distance of strokes that belong together."""
    return max(between(mine, theirs) for mine, theirs in zip(one, other, strict=True))


# ---- values


def test_a_circle_is_one_line() -> None:
    text = text_of(plan(circle((60, 50), 20), ARCS))
    (line,) = re.findall(r"^G[23] .*$", text, re.MULTILINE)
    motion, x, y, i, j, feed = line.split()
    at = (float(x[1:]), float(y[1:]))
    way = (float(i[1:]), float(j[1:]))
    assert at[0] + way[0] == pytest.approx(60, abs=1e-9)
    assert at[1] + way[1] == pytest.approx(50, abs=1e-9)
    assert math.hypot(*way) == pytest.approx(20, abs=0.001)
    assert (motion in ("G2", "G3"), feed) == (True, "F2000")
    assert not re.search(r"^G1 |^X|^Y", text, re.MULTILINE)


def test_the_sense_of_an_arc() -> None:
    """Counter-clockwise is G3, and G2 where one axis counts the other way."""
    half = Drawing([ring((50, 50), 10, 90)[0][:46]])
    for left, right in ((False, False), (True, False), (False, True), (True, True)):
        axes = {"x": replace(SPEEDY, reversed=left), "y": replace(SPEEDY, reversed=right)}
        plot = plan(half, replace(ARCS, **axes), keep_order=True)
        (word,) = re.findall(r"^(G[23]) ", text_of(plot), re.MULTILINE)
        # as drawn on the bed: from the right over the top to the left, or back
        runs_left = plot.drawing[0][0, 0] > plot.drawing[0][-1, 0]
        is_mirrored = left != right
        assert word == ("G3" if runs_left != is_mirrored else "G2")


def test_without_arcs_in_it_the_file_is_the_same() -> None:
    drawing = star((40, 110), 20) + rectangle((10, 10), 30, 20)
    assert text_of(plan(drawing, ARCS)) == text_of(plan(drawing, LINES))
    assert len(plan(MIXED, LINES).arcs) == 0


@pytest.mark.parametrize("axes", [(False, False), (True, False), (False, True), (True, True)])
@pytest.mark.parametrize("zero", [(0.0, 0.0), (200.0, 75.5)])
def test_what_is_driven_is_what_was_planned(
    axes: tuple[bool, bool], zero: tuple[float, float]
) -> None:
    x, y = (replace(SPEEDY, reversed=one) for one in axes)
    machine = replace(ARCS, x=x, y=y, zero=zero)
    plot = plan(MIXED, machine)
    assert len(plot.arcs) >= 5
    signs = np.where(axes, -1.0, 1.0)
    driven = [np.asarray(zero) + signs * stroke for stroke in followed(text_of(plot))]
    straight = plan(MIXED, LINES, keep_order=True)
    # the plot holds points of the arcs themselves: within their chords and the rounding
    assert apart(driven, plot.drawing) <= 0.01 + 0.001
    nearest = [min(between(stroke, one) for one in straight.drawing) for stroke in driven]
    assert max(nearest) <= machine.arc_tolerance + 0.001
    path = gcode.read(text_of(plot), machine)
    assert path.ink == pytest.approx(MIXED.length, rel=1e-3)


@pytest.mark.parametrize("decimals", [2, 3, 4, 5])
def test_radii_of_both_ends_agree_on_every_grid(decimals: int) -> None:
    machine = replace(ARCS, decimals=decimals)
    drawing = Drawing(
        [ring((50 + k, 60 - k / 3), 5 + 1.37 * k, 120, 17 * k)[0][: 30 + 6 * k] for k in range(15)]
    )
    plot = plan(drawing, machine, join=None)
    assert len(plot.arcs) >= 10
    assert followed(text_of(plot))  # looks at the radii
    prove(text_of(plot), plot)


def test_a_grid_too_coarse_for_arcs_is_written_in_lines() -> None:
    plot = plan(circle((60, 50), 20) + star((40, 110), 20), replace(ARCS, decimals=0))
    prove(text_of(plot), plot)


@pytest.mark.parametrize(
    ("drawing", "count"),
    [
        (circle((60, 50), 0.2), 0),  # tiny
        (Drawing([ring((100, -3_000), 3_050, 3_600)[0][870:930]]), 0),  # huge
        (Drawing([ring((60, 50), 20, 72)[0][:66]]), 2),  # 325 degrees: three quarters, and the rest
        (circle((60, 50), 20), 1),
    ],
)
def test_which_arcs_are_written(drawing: Drawing, count: int) -> None:
    inside = drawing.clipped(LINES.bed)
    assert len(plan(inside, ARCS).arcs) == count


# ---- the envelope


def test_an_arc_that_bulges_over_the_edge_stays_lines() -> None:
    # the points stand 5 degrees to both sides of the left edge: r (1 - cos 5°) = 0.0152 by hand
    radius = 4.0
    inner = radius * math.cos(math.radians(5))
    touching = ring((inner, 50), radius, 36, first=5.0)
    assert touching.points[:, 0].min() == pytest.approx(0, abs=1e-9)
    assert len(plan(touching, ARCS).arcs) == 0
    assert len(plan(touching.moved(0.016, 0), ARCS).arcs) == 1


def test_an_arc_up_to_the_edge_is_an_arc() -> None:
    plot = plan(circle((20, 50), 20), ARCS)
    assert len(plot.arcs) == 1
    assert gcode.read(text_of(plot), ARCS).bounds == pytest.approx((0, 0, 40, 70), abs=1e-9)


def test_an_arc_that_bulges_over_the_paper_stays_lines() -> None:
    pen = Pen("broad", width=2.0)
    sheet = Sheet(100, 80, at=(10, 10))
    radius = 4.0
    inner = radius * math.cos(math.radians(5))
    touching = ring((1 + inner, 40), radius, 36, first=5.0).inked(pen)
    assert len(plan(touching, ARCS, sheet=sheet).arcs) == 0
    assert len(plan(touching.moved(0.017, 0), ARCS, sheet=sheet).arcs) == 1


def test_an_arc_that_bulges_into_a_keep_out_stays_lines() -> None:
    pen = Pen("broad", width=2.0)
    clamp = shapely.box(0, 0, 10, 150)
    radius = 4.0
    inner = radius * math.cos(math.radians(5))
    touching = ring((11 + inner, 40), radius, 36, first=5.0).inked(pen)
    for keep_out in (KeepOut(clamp), KeepOut(clamp, passable=False)):
        machine = replace(ARCS, keep_outs=keep_out, home=(20, 0))
        assert len(plan(touching, machine).arcs) == 0
        beside = plan(touching.moved(0.025, 0), machine)
        assert len(beside.arcs) == 1
        prove(text_of(beside), beside)


def test_the_proof_finds_an_arc_that_leaves_the_bed(monkeypatch: pytest.MonkeyPatch) -> None:
    """A planner that took points on the bed for an arc without a look at its bulge."""

    def careless(found: Any, *others: object) -> Any:
        return np.ones(len(found.first), np.bool_)

    monkeypatch.setattr(bending, "_stays", careless)
    radius = 4.0
    inner = radius * math.cos(math.radians(5))
    plot = plan(ring((inner, 50), radius, 36, first=5.0), ARCS)
    assert len(plot.arcs) == 1
    with pytest.raises(ProofError, match=r"leaves the bed by 0\.015 mm on the left"):
        prove(text_of(plot), plot)


# ---- broken writers


def changed(text: str, old: str, new: str) -> str:
    found = re.sub(old, new, text, count=1, flags=re.MULTILINE)
    assert found != text
    return found


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (r"^G2 (.*) F2000$", r"G3 \1 F2000", "clockwise|planned"),
        (r"^(G[23] .*) I(-?\d+)\.\d+", r"\1 I\2.999", "arc|radi|differ"),
        (r"^G[23] (X\S+ Y\S+) I\S+ J\S+", r"G1 \1", "line where an arc|arcs, and|differs|apart"),
        (r"^G[23] ", r"G1 ", "without an arc|belongs to G2"),
        (r"(J-?\d+\.\d\d)\d", r"\1", "exactly 3 decimals"),
        (r"(J-?\d+)\.", r"\1\1.", "arc|radi|J|decimals|exactly"),
    ],
)
def test_broken_arcs_are_refused(old: str, new: str, told: str) -> None:
    plot = plan(circle((60, 50), 20), ARCS, keep_order=True)
    text = text_of(plot)
    if "G2" in old and "G3" in text:
        old, new = old.replace("G2", "G3"), new.replace("G3", "G2")
    with pytest.raises(ProofError, match=told):
        prove(changed(text, old, new), plot)


def test_an_arc_for_a_machine_without_is_refused() -> None:
    plot = plan(circle((60, 50), 20), ARCS)
    text = text_of(plot)
    lines = replace(plot, machine=LINES)
    with pytest.raises(ProofError, match="an arc: drawings are written in straight lines"):
        prove(text, lines)


def test_an_arc_where_a_line_is_planned_is_refused() -> None:
    """A half circle instead of its chord ends at the right place."""
    plot = plan(Drawing([[(40, 50), (60, 50)]]), ARCS, keep_order=True)
    bad = changed(text_of(plot), r"^G1 (X\S+)(.*)$", r"G3 \1 Y50.000 I10.000 J0.000\2")
    if "X40.000" in bad.split("M3 S90")[1]:
        bad = bad.replace("I10.000", "I-10.000")
    with pytest.raises(ProofError, match="an arc where a line is planned"):
        prove(bad, plot)


# ---- all the other ways to a file


def test_corrections_write_lines_and_say_so() -> None:
    made = Corrections(scale_x=1.01, skew=0.3)
    plot = plan(MIXED, replace(ARCS, corrections=made))
    assert len(plot.arcs) == 0
    assert any("corrections or its height map would bend" in note for note in plot.warnings)
    assert text_of(plot) == text_of(plan(MIXED, replace(LINES, corrections=made)))


def test_parts_keep_their_arcs(tmp_path: Path) -> None:
    plot = plan(MIXED, ARCS, keep_order=True)
    assert [len(plot.part(strokes=k).arcs) for k in range(3)] == [1, 4, 0]
    cut = plot.part(since=(0, 31.0))
    assert len(cut.arcs) == 4  # the circle that was cut is left to its points
    assert cut.drawing.length == pytest.approx(plot.drawing.length - 31.0, abs=1e-3)
    gcode.write(cut, tmp_path / "cut.gcode")
    late = plot.part(since=(1, 60.0))
    assert 0 < len(late.arcs) < 4
    gcode.write(late, tmp_path / "late.gcode")


def test_dry_runs_go_along_the_arcs(tmp_path: Path) -> None:
    plot = plan(MIXED, ARCS)
    gcode.dry_run(plot, tmp_path / "dry.gcode")
    text = (tmp_path / "dry.gcode").read_text()
    assert len(re.findall(r"^G[23] ", text, re.MULTILINE)) == len(plot.arcs)
    assert len(gcode.read(text, ARCS)) == 0
    gcode.walk_around(plot, tmp_path / "walk.gcode")


def test_pens_with_offsets_and_a_file_each(tmp_path: Path) -> None:
    beside = Pen("beside", offset=(3, -2))
    both = MIXED + circle((150, 110), 12, pen=beside)
    plot = plan(both, ARCS)
    gcode.write(plot, tmp_path / "both.gcode")
    paths = gcode.write_each(plot, tmp_path / "each.gcode")
    assert all("\nG2 " in path.read_text() or "\nG3 " in path.read_text() for path in paths)
    (found,) = (s for s in gcode.read(paths[1], ARCS).drawing)
    low, high = found.min(axis=0), found.max(axis=0)
    assert (low + high) / 2 == pytest.approx((147, 112), abs=0.01)


def test_a_pen_along_z(tmp_path: Path) -> None:
    machine = replace(ARCS, lift=ZLift(up=4, down=0, feed=600), prologue="G0 Z4")
    gcode.write(plan(MIXED, machine), tmp_path / "z.gcode")


def test_the_profile_holds_it(tmp_path: Path) -> None:
    machine = replace(ARCS, arc_tolerance=0.05)
    machine.save(tmp_path / "arcs.toml")
    assert Machine.load(tmp_path / "arcs.toml") == machine
    assert "arcs = true" in (tmp_path / "arcs.toml").read_text()


@pytest.mark.parametrize(
    "wrong", [{"arcs": "yes"}, {"arcs": 1}, {"arc_tolerance": 0}, {"arc_tolerance": 2}]
)
def test_wrong_values_are_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(InvalidValue, match=next(iter(wrong))):
        replace(LINES, **wrong)


def test_lines_must_have_room_for_arcs() -> None:
    assert replace(LINES, longest_line=40).longest_line == 40
    with pytest.raises(InvalidValue, match="longest_line"):
        replace(ARCS, longest_line=40)


def test_feeds_are_what_the_slower_axis_can_follow() -> None:
    machine = replace(ARCS, x=Axis(9_000, 600), y=Axis(1_500, 600))
    plot = plan(circle((60, 50), 20), machine)
    assert " F1500" in text_of(plot)
    prove(text_of(plot), plot)
    fast = text_of(plot).replace(" F1500", " F1501")
    with pytest.raises(ProofError, match="too fast"):
        prove(fast, plot)


# ---- time


@pytest.mark.parametrize(("radius", "feed"), [(20.0, 1_200.0), (4.0, 6_000.0)])
def test_the_time_of_a_circle(radius: float, feed: float) -> None:
    """At v = min(feed, sqrt(a r)) around, and a ramp of v / a / 2 seconds lost at each end."""
    machine = replace(ARCS, feed=feed, lift=ServoLift("M5", "M3", settle_up=0, settle_down=0))
    plot = plan(circle((60, 50), radius), machine)
    v = min(feed / 60, math.sqrt(600 * radius))
    assert plot.times.drawing == pytest.approx(2 * math.pi * radius / v + v / 600, rel=0.03)


def test_one_line_comes_over_a_slow_link_in_time() -> None:
    slow = {"baud": 2_400, "look_ahead": 4}
    fine = circle((60, 50), 20, tolerance=0.001)
    assert plan(fine, replace(LINES, **slow)).times.stutters
    assert plan(fine, replace(ARCS, **slow)).times.waiting == 0.0


# ---- laws


@settings(deadline=None, max_examples=15)
@given(st.integers(0, 2**32), st.booleans(), st.sampled_from([2, 3]))
def test_every_file_with_arcs_is_proven_and_near(seed: int, mirrored: bool, decimals: int) -> None:
    random = np.random.default_rng(seed)
    turns = np.cumsum(random.normal(0, 0.05, (3, 80)), axis=1) + random.uniform(0, 6, (3, 1))
    steps = np.stack([np.cos(turns), np.sin(turns)], axis=-1) * 0.5
    walks = Drawing(np.cumsum(steps, axis=1)).fitted(shapely.box(0, 0, 200, 150))
    drawing = walks + circle(random.uniform(40, 100, 2), random.uniform(0.1, 40))
    machine = replace(ARCS, y=replace(SPEEDY, reversed=mirrored), decimals=decimals)
    plot = plan(drawing, machine, join=None, keep_order=True)
    straight = plan(drawing, replace(machine, arcs=False), join=None, keep_order=True)
    text = text_of(plot)
    prove(text, plot)
    signs = np.array([1.0, -1.0 if mirrored else 1.0])
    driven = [stroke * signs for stroke in followed(text)]
    assert apart(driven, straight.drawing) <= machine.arc_tolerance + 2 * machine.unit
    low = np.vstack(driven).min(axis=0)
    high = np.vstack(driven).max(axis=0)
    assert (low >= -1e-6).all()
    assert (high <= (200 + 1e-6, 150 + 1e-6)).all()


def test_reading_needs_no_machine_with_arcs() -> None:
    """A file from elsewhere may hold arcs whatever the machine declares."""
    text = text_of(plan(circle((60, 50), 20), ARCS))
    assert gcode.read(text, LINES).ink == pytest.approx(40 * math.pi, abs=0.01)
    with pytest.raises(GcodeError, match="centre"):
        gcode.read(re.sub(r" I\S+ J\S+", "", text), LINES)


def test_refusals_are_the_same() -> None:
    with pytest.raises(OutsideEnvelope):
        plan(circle((10, 50), 20), ARCS)


@pytest.mark.parametrize(
    "sheet",
    [Sheet(80, 80, margin=10), Sheet.from_area(shapely.box(0, 0, 80, 80), margin=10)],
)
def test_arcs_stay_out_of_a_margin_that_is_refused(sheet: Sheet) -> None:
    """A ring of corners on the margin's edge: its arcs would bulge 0.02 mm into it."""
    angles = np.radians(np.arange(7.5, 367.5, 15) + 0.0)
    corners = 40 + 5 * np.column_stack([np.cos(angles), np.sin(angles)])
    corners[:, 0] += 70 - corners[:, 0].max()
    ring = Drawing([np.vstack([corners, corners[:1]])])
    machine = replace(ARCS, arc_tolerance=0.1)
    noted = plan(ring, machine, sheet=sheet)
    assert len(noted.arcs)
    assert noted.drawing.bounds is not None
    assert noted.drawing.bounds[2] > 70.02
    kept = plan(ring, machine, sheet=sheet, refuse="margin")
    assert kept.drawing.bounds is not None
    assert kept.drawing.bounds[2] <= 70.0005


@pytest.mark.parametrize("along", [0.0, 0.001, 0.3, 1.2, 40.0])
def test_a_part_that_begins_inside_an_arc_is_proven(along: float, tmp_path: Path) -> None:
    """Near the start of an arc, where as many points are left, and farther on."""
    plot = plan(circle((60, 50), 30), ARCS)
    assert len(plot.arcs) == 1
    part = plot.part(since=(0, along))
    gcode.write(part, tmp_path / "part.gcode")
    assert part.drawing.length == pytest.approx(plot.drawing.length - along, abs=0.003)
    assert len(part.arcs) == int(along == 0)


def test_radii_may_differ_by_the_rule_itself() -> None:
    """5 and 5.002 mm are 0.0020000000000007 apart as floats; so is half of 10.004 from 5."""
    assert by_centre((5, 0), (0, 5.002), (0, 0), clockwise=False).sweep == pytest.approx(90)
    with pytest.raises(Fault, match=r"may differ by 0\.002 mm"):
        by_centre((5, 0), (0, 5.0021), (0, 0), clockwise=False)
    by_radius((0, 0), (10.004, 0), 5.0, clockwise=True)
    with pytest.raises(Fault, match="does not reach"):
        by_radius((0, 0), (10.0043, 0), 5.0, clockwise=True)
