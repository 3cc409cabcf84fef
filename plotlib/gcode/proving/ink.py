"""The ink of a written program against the plan: the same strokes, the same order, the same pens,
and how it ends.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import IntArray
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine
from plotlib.planning.plot import Plot


def check_ink(path: Toolpath, plot: Plot) -> None:
    """The same strokes in the same order, point for point in whole units of the grid."""
    written = plot.machine.to_units(path.points)
    planned = plot.units
    mine = path.offsets
    theirs = plot.drawing.offsets
    if np.array_equal(mine, theirs) and np.array_equal(written, planned):
        return
    both = min(len(mine), len(theirs)) - 1
    uneven = np.flatnonzero(mine[1 : both + 1] != theirs[1 : both + 1])
    stroke = int(uneven[0]) if len(uneven) else both
    until = min(mine[stroke], theirs[stroke])
    differs = np.flatnonzero((written[:until] != planned[:until]).any(axis=1))
    if len(differs):
        _refuse_point(path, plot, written, int(differs[0]))
    _refuse_count(path, plot, written, stroke)


def _refuse_point(path: Toolpath, plot: Plot, written: IntArray, at: int) -> None:
    machine = plot.machine
    offsets = path.offsets
    stroke = int(np.searchsorted(offsets, at, side="right")) - 1
    here = machine.to_mm(written[at])
    there = machine.to_mm(plot.units[at])
    raise refused(
        f"stroke {stroke}, point {at - offsets[stroke]} is at {tuple(here.tolist())}, planned at "
        f"{tuple(there.tolist())}: "
        f"{np.hypot(*(here - there)):.{machine.decimals}f} mm apart",
        line=path.point_lines[at],
        stroke=stroke,
    )


def _refuse_count(path: Toolpath, plot: Plot, written: IntArray, stroke: int) -> None:
    """Strokes before ``stroke`` agree, as far as both have them."""
    drawn = len(path)
    planned = len(plot.drawing)
    total = f"the program draws {drawn} strokes, the plan has {planned}"
    if stroke >= drawn:
        raise refused(f"stroke {stroke} is not drawn; {total}", stroke=stroke)
    line = path.point_lines[path.offsets[stroke]]
    if stroke >= planned:
        raise refused(f"stroke {stroke} is not in the plan; {total}", line=line, stroke=stroke)
    mine = path.offsets[stroke : stroke + 2]
    theirs = plot.drawing.offsets[stroke : stroke + 2]
    rows = written[slice(*mine)]
    wanted = plot.units[slice(*theirs)]
    both = min(len(rows), len(wanted))
    same = np.append((rows[:both] == wanted[:both]).all(axis=1), False)
    point = int(np.argmin(same))
    raise refused(
        f"stroke {stroke} has {len(rows)} points, planned {len(wanted)}, and differs from point "
        f"{point} on; {total}",
        line=path.point_lines[mine[0] + min(point, len(rows) - 1)],
        stroke=stroke,
    )


def check_stops(path: Toolpath, plot: Plot) -> None:
    """One stop between strokes of different pens and none elsewhere, the pen up and parked."""
    index = plot.drawing.pen_index
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
        (plot.machine.to_units(path.stops.place) != plot.machine.to_units(plot.machine.park)).any(
            axis=1
        )
    )
    if len(away):
        place = tuple(path.stops.place[away[0]].tolist())
        raise refused(
            f"stops at {place}, not at the park point {plot.machine.park}",
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
