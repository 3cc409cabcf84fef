"""The proof of programs that are run with the pen held up: all the ways of their plot, and the pen
never lowered.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from plotlib.checks import IntArray
from plotlib.gcode.proving.form import has_arcs
from plotlib.gcode.proving.ink import check_end
from plotlib.gcode.proving.moves import axis_limits, check_envelope
from plotlib.gcode.proving.pen import check_dwells
from plotlib.gcode.proving.planned import Planned, planned
from plotlib.gcode.proving.proof import interpreted
from plotlib.gcode.proving.rounds import bent_rows, check_turns, inner_rows
from plotlib.gcode.proving.told import check_header
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine
from plotlib.planning.plot import Plot

DRY = "DRY RUN: the pen stays up."
WALK = "WALK AROUND: the pen stays up."
_EXACT = 1e-9  # relative, for quotients of whole numbers


def prove_raised(text: str, plot: Plot, what: str) -> Toolpath:
    """Replay a program: the ways of the plot in their order, with the pen up all the time.

    Raises
    ------
    ProofError
        If a clause does not hold.
    """
    path = prove_up(text, plot.machine)
    plan = planned(plot)
    _check_ways(path, plot, plan)
    check_turns(path, plan)
    _check_feeds(path, plot)
    _check_stops(path, plot)
    lines = text.splitlines()
    _check_told(lines, plot.machine, what)
    check_header(lines[len(lines) - len(_without(lines, what)) :], plot)
    return path


def prove_up(text: str, machine: Machine) -> Toolpath:
    """What can be proven of a program that draws nothing without knowing its plot: its form, the
    envelope, and that the pen is up at every move.

    Raises
    ------
    ProofError
        If a clause does not hold.
    """
    path, source = interpreted(text, machine)
    free = ~np.isin(path.pens.line, list(path.places.names))
    lowered = np.flatnonzero(path.pens.down & free)
    if len(lowered):
        raise refused("lowers the pen, which stays up here", line=path.pens.line[lowered[0]])
    if len(path):
        raise refused("draws, though the pen stays up here", line=path.point_lines[0])
    bent = np.flatnonzero(path.moves.arc & ~np.isin(path.moves.line, list(path.places.names)))
    if len(bent) and not has_arcs(machine):
        raise refused(
            "an arc: drawings are written in straight lines", line=path.moves.line[bent[0]]
        )
    check_envelope(path, source, machine)
    check_dwells(path, source, machine)
    fast = np.flatnonzero(path.moves.feed > axis_limits(path, machine) * (1 + _EXACT))
    if len(fast):
        raise refused("faster than the axes can go", line=path.moves.line[fast[0]])
    check_end(path, machine)
    return path


def _check_ways(path: Toolpath, plot: Plot, plan: Planned) -> None:
    """Every point of the plot, and every end of a way between strokes, in their order."""
    wanted = _ways(plot, plan)
    machine = plot.machine
    moves = path.moves
    mine = ~np.isin(moves.line, list(path.places.names))
    begin = machine.to_units(moves.start[mine])
    begin[:1] = machine.to_units(machine.home)
    ends = machine.to_units(moves.end[mine])
    went = (begin != ends).any(axis=1) | moves.arc[mine]
    went &= ~path.inner_moves[mine]
    written = np.column_stack([ends, moves.arc[mine]])[went]
    both = min(len(written), len(wanted))
    differs = np.flatnonzero((written[:both] != wanted[:both]).any(axis=1))
    if len(differs) or len(written) != len(wanted):
        at = int(differs[0]) if len(differs) else both
        line = int(moves.line[mine][went][at]) if at < len(written) else 0
        raise refused("goes another way than the plot", line=line)


def _ways(plot: Plot, plan: Planned) -> IntArray:
    """The places (K, 3) that the carriage goes to, in units, and whether by arcs."""
    legs = plot.legs
    offsets = plot.drawing.offsets
    is_said = ~inner_rows(plan)
    rows = np.column_stack([plot.units, bent_rows(plan)])
    places = [rows[:0]]
    for begin, end, stroke in zip(legs.begin, legs.end, legs.stroke.tolist(), strict=True):
        if (begin != end).any():
            places.append(np.append(end, 0)[None])
        if stroke >= 0:
            own = slice(offsets[stroke] + 1, offsets[stroke + 1])
            places.append(rows[own][is_said[own]])
    return np.concatenate(places)


def _check_feeds(path: Toolpath, plot: Plot) -> None:
    """Nothing faster than the fastest pen, or travel, of the plot."""
    machine = plot.machine
    feeds = [pen.feed or machine.feed for pen in plot.drawing.pens]
    most = max([*feeds, machine.travel_feed or 0.0], default=0.0)
    free = ~np.isin(path.moves.line, list(path.places.names))
    fast = np.flatnonzero(free & (path.moves.feed > most * (1 + _EXACT)))
    if len(fast):
        raise refused("faster than any pen of the plot", line=path.moves.line[fast[0]])


def _check_stops(path: Toolpath, plot: Plot) -> None:
    if len(path.stops.line) != plot.changes:
        raise refused(f"{len(path.stops.line)} stops, and {plot.changes} changes of the pen")


def _check_told(lines: Sequence[str], machine: Machine, what: str) -> None:
    if machine.comments and len(_without(lines, what)) == len(lines):
        raise refused(f"the first lines do not say {what!r}")


def _without(lines: Sequence[str], what: str) -> Sequence[str]:
    """The lines after those that say ``what``; all of them if the first ones do not."""
    said = ""
    wanted = what.replace(" ", "")
    for number, line in enumerate(lines, 1):
        said += line.strip("()").replace(" ", "")
        if said == wanted:
            return lines[number:]
        if not wanted.startswith(said):
            break
    return lines
