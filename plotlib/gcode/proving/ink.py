"""The ink of a written program against the plan: the same strokes, the same order, the same pens,
and how it ends.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, IntArray
from plotlib.gcode.proving.planned import Planned
from plotlib.gcode.proving.rounds import bent_rows, inner_rows
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine


class _Said(NamedTuple):
    """The points (N, 2) in units that lines of a program lead to, the strokes (M + 1,) they are
    parted into, whether arcs lead there (N,), and the lines (N,); none of a plan.
    """

    points: IntArray
    offsets: IntArray
    bent: BoolArray
    lines: IntArray


def _written(path: Toolpath, machine: Machine) -> _Said:
    units = machine.to_units(path.points)
    lines = np.asarray(path.point_lines)
    return _without(path.inner_points, _Said(units, path.offsets, path.bent_points, lines))


def _due(plan: Planned) -> _Said:
    lines = np.zeros(len(plan.units), np.int64)
    whole = _Said(plan.units, plan.offsets, bent_rows(plan), lines)
    return _without(inner_rows(plan), whole)


def _without(inner: BoolArray, said: _Said) -> _Said:
    """Without the points inside arcs."""
    if not inner.any():
        return said
    kept = ~inner
    before = np.concatenate([[0], np.cumsum(kept)])
    points, offsets, bent, lines = said
    return _Said(points[kept], before[offsets], bent[kept], lines[kept])


def check_ink(path: Toolpath, plan: Planned) -> None:
    """The same strokes in the same order, point for point in whole units of the grid, by lines and
    arcs where they are planned.
    """
    mine = _written(path, plan.machine)
    theirs = _due(plan)
    if np.array_equal(mine.offsets, theirs.offsets) and np.array_equal(mine.points, theirs.points):
        _check_bends(mine, theirs)
        return
    both = min(len(mine.offsets), len(theirs.offsets)) - 1
    uneven = np.flatnonzero(mine.offsets[1 : both + 1] != theirs.offsets[1 : both + 1])
    stroke = int(uneven[0]) if len(uneven) else both
    until = min(mine.offsets[stroke], theirs.offsets[stroke])
    differs = np.flatnonzero((mine.points[:until] != theirs.points[:until]).any(axis=1))
    if len(differs):
        _refuse_point(mine, theirs, int(differs[0]), plan.machine)
    _refuse_count(mine, theirs, stroke)


def _check_bends(mine: _Said, theirs: _Said) -> None:
    differs = np.flatnonzero(mine.bent != theirs.bent)
    if len(differs):
        at = int(differs[0])
        said = "an arc where a line is planned" if mine.bent[at] else "a line where an arc is"
        raise refused(said, line=mine.lines[at])


def _refuse_point(mine: _Said, theirs: _Said, at: int, machine: Machine) -> None:
    stroke = int(np.searchsorted(mine.offsets, at, side="right")) - 1
    here = machine.to_mm(mine.points[at])
    there = machine.to_mm(theirs.points[at])
    raise refused(
        f"stroke {stroke}, point {at - mine.offsets[stroke]} is at {tuple(here.tolist())}, planned "
        f"at {tuple(there.tolist())}: "
        f"{np.hypot(*(here - there)):.{machine.decimals}f} mm apart",
        line=mine.lines[at],
        stroke=stroke,
    )


def _refuse_count(mine: _Said, theirs: _Said, stroke: int) -> None:
    """Strokes before ``stroke`` agree, as far as both have them."""
    drawn = len(mine.offsets) - 1
    planned = len(theirs.offsets) - 1
    total = f"the program draws {drawn} strokes, the plan has {planned}"
    if stroke >= drawn:
        raise refused(f"stroke {stroke} is not drawn; {total}", stroke=stroke)
    line = mine.lines[mine.offsets[stroke]]
    if stroke >= planned:
        raise refused(f"stroke {stroke} is not in the plan; {total}", line=line, stroke=stroke)
    first, end = mine.offsets[stroke : stroke + 2]
    rows = mine.points[first:end]
    wanted = theirs.points[slice(*theirs.offsets[stroke : stroke + 2])]
    both = min(len(rows), len(wanted))
    same = np.append((rows[:both] == wanted[:both]).all(axis=1), False)
    point = int(np.argmin(same))
    raise refused(
        f"stroke {stroke} has {len(rows)} points, planned {len(wanted)}, and differs from point "
        f"{point} on; {total}",
        line=mine.lines[first + min(point, len(rows) - 1)],
        stroke=stroke,
    )


def check_stops(path: Toolpath, plan: Planned) -> None:
    """One stop between strokes of different pens and none elsewhere, the pen up and parked."""
    index = plan.pen_index
    wanted = (
        np.concatenate([[0], np.cumsum(np.diff(index) != 0)])
        if len(index)
        else np.zeros(0, np.int64)
    )
    before = path.stops_before
    wrong = np.flatnonzero(before != wanted)
    if len(wrong):
        stroke = int(wrong[0])
        what = "a stop is missing" if before[stroke] < wanted[stroke] else "a stop too many"
        raise refused(
            f"{what} before stroke {stroke}: pens are changed at a stop, once",
            line=path.point_lines[path.offsets[stroke]],
        )
    if len(path.stops.line) != (int(wanted[-1]) if len(wanted) else 0):
        raise refused("a stop too many after the last stroke", line=path.stops.line[-1])
    down = np.flatnonzero(path.stops.down)
    if len(down):
        raise refused("stops with the pen down", line=path.stops.line[down[0]])
    away = np.flatnonzero(
        (plan.machine.to_units(path.stops.place) != plan.machine.to_units(plan.machine.park)).any(
            axis=1
        )
    )
    if len(away):
        place = tuple(path.stops.place[away[0]].tolist())
        raise refused(
            f"stops at {place}, not at the park point {plan.machine.park}",
            line=path.stops.line[away[0]],
        )


def check_end(path: Toolpath, machine: Machine) -> None:
    """The pen up and the carriage parked before the epilogue; the pen not lowered by it, the
    program's end included.
    """
    finish = path.finish
    if finish.down is not False or finish.end_down:
        raise refused("the pen is not up at the end")
    if np.isnan(finish.place).any():
        raise refused(
            "the carriage's place is unknown at the end; move to an absolute place after lines "
            "with unknown words"
        )
    if (machine.to_units(finish.place) != machine.to_units(machine.park)).any():
        raise refused(f"ends at {finish.place}, not at the park point {machine.park}")
