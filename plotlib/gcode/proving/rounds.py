"""The arcs of a written program against the plan: the same centres, the same way round; and the
points that the plan has along them.

Where an arc begins and ends is compared with the ink: there each point that a line of the program
leads to says whether it is reached by an arc.
"""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.gcode.proving.planned import Planned
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.toolpath import Toolpath

# mm that the distances of both ends from the centre may differ: NISTIR 6556, section 3.5.3.2 (from
# memory).
_RADIUS_RULE = 0.002
_ROUNDED = 0.75  # units: as far may a point of the grid be from where it was rounded from
_SAME = 1e-6  # units and radians: what floats may be off


def inner_rows(plan: Planned) -> BoolArray:
    """Which points (N,) of the plan lie inside its arcs, where no line of a program ends."""
    result = np.zeros(len(plan.units), np.bool_)
    result[_rows(plan.arcs.first + 1, plan.arcs.last)[0]] = True
    return result


def bent_rows(plan: Planned) -> BoolArray:
    """Which points (N,) of the plan arcs lead to."""
    result = np.zeros(len(plan.units), np.bool_)
    result[plan.arcs.last] = True
    return result


def check_turns(path: Toolpath, plan: Planned) -> None:
    """As many arcs as planned, each about the planned centre, the planned way round."""
    turns = path.turns
    line = path.moves.line[turns.first]
    mine = ~np.isin(line, list(path.places.names))
    centre = plan.machine.to_units(turns.centre[mine])
    side = turns.side[mine]
    line = line[mine]
    arcs = plan.arcs
    both = min(len(centre), len(arcs))
    wrong = (centre[:both] != arcs.centre[:both]).any(axis=1)
    wrong |= side[:both] != arcs.side[:both]
    if wrong.any():
        at = int(np.argmax(wrong))
        x, y = plan.machine.to_mm(arcs.centre[at]).tolist()
        way = "counter-clockwise" if arcs.side[at] > 0 else "clockwise"
        raise refused(f"not the arc that is planned, {way} about ({x:g}, {y:g})", line=line[at])
    if len(centre) != len(arcs):
        at = int(line[both]) if both < len(line) else 0
        raise refused(f"{len(centre)} arcs, and the plan has {len(arcs)}", line=at)
    if len(arcs):
        _check_points(plan)


def _rows(first: IntArray, end: IntArray) -> tuple[IntArray, IntArray]:
    """The rows ``first`` … ``end - 1`` of all runs (A,), one run after another, and where each
    begins among them (A + 1,).
    """
    counts = end - first
    offsets = np.concatenate([[0], np.cumsum(counts)])
    rows = np.arange(offsets[-1]) + np.repeat(first - offsets[:-1], counts)
    return rows, offsets


def _check_points(plan: Planned) -> None:
    """The ends of each arc lie evenly about its centre, and the plan's points along it, in their
    order, with no chord farther from it than the machine's tolerance.
    """
    arcs = plan.arcs
    unit = plan.machine.unit
    rows, offsets = _rows(arcs.first, arcs.last + 1)
    begin = offsets[:-1]
    owner = np.repeat(np.arange(len(arcs)), np.diff(offsets))
    away = (plan.units[rows] - arcs.centre[owner]).astype(np.float64)
    reach = np.hypot(away[:, 0], away[:, 1])
    ends = np.stack([reach[begin], reach[offsets[1:] - 1]])
    most = np.maximum.reduceat(reach, begin)
    off = np.maximum(most - ends.max(axis=0), ends.min(axis=0) - np.minimum.reduceat(reach, begin))
    steps = _steps(np.arctan2(away[:, 1], away[:, 0]), offsets, arcs.side[owner])
    least = np.minimum.reduceat(steps, begin)
    widest = np.maximum.reduceat(np.where(np.isinf(steps), 0.0, steps), begin)
    chord = most * (1.0 - np.cos(np.minimum(widest / 2, math.pi)))
    uneven = np.abs(ends[0] - ends[1]) * unit
    is_along = (off <= _ROUNDED + _SAME) & (least > 0)
    is_near = (chord - _ROUNDED) * unit <= plan.machine.arc_tolerance
    is_right = (uneven <= _RADIUS_RULE) & is_along & is_near
    if is_right.all():
        return
    arc = int(np.argmin(is_right))
    if uneven[arc] > _RADIUS_RULE:
        raise refused(f"the radii of arc {arc} differ by {uneven[arc]:.4f} mm")
    if not is_along[arc]:
        raise refused(f"the points of the plan do not lie along its arc {arc}")
    raise refused(f"the points of the plan leave its arc {arc} by {chord[arc] * unit:.4f} mm")


def _steps(angle: FloatArray, offsets: IntArray, side: IntArray) -> FloatArray:
    """How far (K,) each arc turns from each of its points to the next, in radians; infinite for the
    last ones.
    """
    first = np.repeat(angle[offsets[:-1]], np.diff(offsets))
    turn = ((angle - first) * side) % math.tau
    turn[offsets[:-1]] = 0.0
    last = offsets[1:] - 1
    turn[last] = np.where(turn[last] == 0.0, math.tau, turn[last])
    steps = np.diff(turn, append=math.inf)
    steps[last] = math.inf
    return steps
