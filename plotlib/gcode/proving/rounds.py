"""The arcs of a written program against the plan: the same centres, the same way round; and the
points that the plan has along them.

Where an arc begins and ends is compared with the ink: there each point that a line of the program
leads to says whether it is reached by an arc.
"""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import BoolArray
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
    for first, last in zip(plan.arcs.first.tolist(), plan.arcs.last.tolist(), strict=True):
        result[first + 1 : last] = True
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
    for arc in range(len(arcs)):
        _check_points(plan, arc)


def _check_points(plan: Planned, arc: int) -> None:
    """The ends of an arc lie evenly about its centre, and the plan's points along it, in their
    order, with no chord farther from it than the machine's tolerance.
    """
    arcs = plan.arcs
    unit = plan.machine.unit
    first = int(arcs.first[arc])
    last = int(arcs.last[arc])
    away = (plan.units[first : last + 1] - arcs.centre[arc]).astype(np.float64)
    reach = np.hypot(away[:, 0], away[:, 1])
    uneven = abs(reach[0] - reach[-1]) * unit
    if uneven > _RADIUS_RULE:
        raise refused(f"the radii of arc {arc} differ by {uneven:.4f} mm")
    off = np.maximum(reach - reach[[0, -1]].max(), reach[[0, -1]].min() - reach).max()
    angle = np.arctan2(away[:, 1], away[:, 0])
    turn = ((angle - angle[0]) * arcs.side[arc]) % math.tau
    turn[0] = 0.0
    turn[-1] = turn[-1] or math.tau
    steps = np.diff(turn)
    chord = reach.max() * (1.0 - math.cos(min(float(steps.max()) / 2, math.pi)))
    if off > _ROUNDED + _SAME or steps.min() <= 0:
        raise refused(f"the points of the plan do not lie along its arc {arc}")
    if (chord - _ROUNDED) * unit > plan.machine.arc_tolerance:
        raise refused(f"the points of the plan leave its arc {arc} by {chord * unit:.4f} mm")
