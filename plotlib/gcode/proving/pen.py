"""The pen in a written program: lifted as declared, settled after every change, and told again
after every stop.
"""

from __future__ import annotations

import re

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.gcode.proving.pauses import pauses
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.reading.plain import Source
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Lift, Machine

_EXACT = 1e-9  # relative, for sums of decimals
_ROUNDED = 0.002  # mm/min: feeds are written in thousandths, rounded down
_LONGER = 0.001  # s: dwells are written in thousandths, rounded up
_MOTION = re.compile(r"(?:^| )G[01](?: |$)")


def check_pen(path: Toolpath, source: Source, machine: Machine) -> None:
    """Every clause about the pen that does not need the plan; ProofError for the first that
    fails.
    """
    if path.finish.down is False and path.finish.end_down:
        raise refused(
            "the epilogue lowers the pen, or lets it drop when the program's end stops the spindle"
        )
    declared = np.isin(path.pens.line, list(path.places.names))
    _check_heights(path, machine, declared)
    _check_whole(path)
    _check_rests(path, source, machine, declared)
    _check_after_stops(path, source)


def _check_heights(path: Toolpath, machine: Machine, declared: BoolArray) -> None:
    lift = machine.lift.heights
    if lift is None:
        return
    pens = path.pens
    both = pens.line[~declared & np.isin(pens.line, path.moves.line)]
    if len(both):
        raise refused("moves Z together with X or Y: the pen would drag", line=both[0])
    odd = np.flatnonzero(~pens.whole & ~declared)
    if len(odd):
        raise refused(
            f"Z {pens.height[odd[0]]:g} is neither up ({lift.up:g}) nor down ({lift.down:g}"
            f"{', and the height of the bed' if machine.height_map is not None else ''})",
            line=pens.line[odd[0]],
        )
    by_rapid = np.flatnonzero(np.isnan(pens.feed) & ~np.isnan(pens.height) & ~declared)
    if len(by_rapid):
        raise refused(
            f"moves Z by G0; a lift goes by G1 at its own feed of {lift.feed:g} mm/min",
            line=pens.line[by_rapid[0]],
        )
    slow = np.flatnonzero((pens.feed < lift.feed * (1 - _EXACT) - _ROUNDED) & ~declared)
    if len(slow):
        raise refused(
            f"F {pens.feed[slow[0]]:g} is below the lift's feed of {lift.feed:g} mm/min",
            line=pens.line[slow[0]],
        )
    fast = np.flatnonzero((pens.feed > lift.feed * (1 + _EXACT)) & ~declared)
    if len(fast):
        raise refused(
            f"F {pens.feed[fast[0]]:g} is above the lift's feed of {lift.feed:g} mm/min",
            line=pens.line[fast[0]],
        )


def _check_whole(path: Toolpath) -> None:
    """Moves follow a lift said in full; so does every dot."""
    lines = path.moves.line[path.moves.line > max(path.places.prologue or (0,))]
    last = np.searchsorted(path.pens.line, lines, side="right") - 1
    part = np.flatnonzero((last < 0) | ~np.append(path.pens.whole, False)[last])
    if len(part):
        raise refused(
            "moves after a lift that is not the declared one in full", line=lines[part[0]]
        )
    starts = path.point_lines[path.offsets[:-1]]
    whole = path.pens.line[path.pens.whole & path.pens.down]
    found = np.searchsorted(whole, np.append(starts, np.iinfo(np.int64).max))
    missing = np.flatnonzero(np.diff(found) == 0)
    if len(missing):
        raise refused(
            "the pen is lowered otherwise than by the declared lines", line=starts[missing[0]]
        )


def _check_rests(path: Toolpath, source: Source, machine: Machine, declared: BoolArray) -> None:
    """After each declared change the pen settles before anything else happens."""
    pens = path.pens
    rest = _rest(path)
    wanted = _wanted(path, source, machine.lift)
    due = pens.whole & ~declared & ~_covered(path, machine)
    due |= declared & _moves_next(path)
    due |= ~declared & (pauses(path, source, machine.lift) > 0)
    short = np.flatnonzero(due & (rest < wanted * (1 - _EXACT)))
    if len(short):
        at = int(short[0])
        told, limit = _names(path, source, machine.lift, at)
        raise refused(
            f"the dwell after {told} is missing or too short: {rest[at]:g} s, {limit} is "
            f"{wanted[at]:g} s",
            line=pens.line[at],
        )


def check_dwells(path: Toolpath, source: Source, machine: Machine) -> None:
    """No dwell but those after pen changes, and none longer than the settle time."""
    mine = ~np.isin(path.dwells.line, list(path.places.names)) & ~_of_lifts(path, machine)
    lines = path.dwells.line[mine]
    pens = path.pens
    change = np.searchsorted(pens.line, lines) - 1
    since = np.append(pens.line, 0)[change]
    for other in (path.moves.line, path.stops.line):
        last = np.append(other, 0)[np.searchsorted(other, lines) - 1]
        stray = np.flatnonzero((since <= last) | (change < 0))
        if len(stray):
            waits = path.dwells.seconds[mine][stray[0]]
            raise refused(f"waits {waits:g} s where no pen settles", line=lines[stray[0]])
    total = np.bincount(change, path.dwells.seconds[mine], minlength=len(pens.line))
    wanted = _wanted(path, source, machine.lift)
    long = np.flatnonzero(total > wanted + _LONGER + _EXACT)
    if len(long):
        at = int(long[0])
        told, limit = _names(path, source, machine.lift, at)
        raise refused(
            f"the dwell after {told} is too long: {total[at]:g} s, {limit} is {wanted[at]:g} s",
            line=pens.line[at],
        )


def _wanted(path: Toolpath, source: Source, lift: Lift) -> FloatArray:
    """Seconds (P,) of dwell due after each pen change: its pause, else its settle time."""
    settle = np.where(path.pens.down, lift.settle_down, lift.settle_up)
    pause = pauses(path, source, lift)
    return np.where(pause > 0, pause, settle)


def _names(path: Toolpath, source: Source, lift: Lift, at: int) -> tuple[str, str]:
    """What a dwell comes after, and what sets its time."""
    if pauses(path, source, lift)[at] > 0:
        return repr(source.lines[path.pens.line[at] - 1]), "its pause in the lift"
    state = "down" if path.pens.down[at] else "up"
    return f"pen {state}", f"settle_{state}"


def _of_lifts(path: Toolpath, machine: Machine) -> BoolArray:
    """Dwells (D,) that stand inside the declared lines of a lift."""
    if machine.lift.pauses:  # its declared lines hold no dwells
        return np.zeros(len(path.dwells.line), np.bool_)
    pens = path.pens
    length = _lengths(path, machine.lift)
    last = pens.line[pens.whole]
    first = last - length[pens.whole]
    at = np.searchsorted(last, path.dwells.line)
    return np.append(first, np.iinfo(np.int64).max)[at] < path.dwells.line


def _lengths(path: Toolpath, lift: Lift) -> IntArray:
    """How many lines (P,) the machine declares for each pen change; 0 for a lift along Z."""
    up = len(lift.change("up").lines)
    down = len(lift.change("down").lines)
    return np.where(path.pens.down, down, up).astype(np.int64)


def _rest(path: Toolpath) -> FloatArray:
    """Seconds (P,) of dwell between each pen change and whatever comes next."""
    lines = path.pens.line
    limit = np.iinfo(np.int64).max
    following = np.full(len(lines), limit)
    for other in (path.moves.line, path.stops.line, lines):
        padded = np.append(other, limit)
        following = np.minimum(following, padded[np.searchsorted(other, lines, side="right")])
    total = np.concatenate([[0.0], np.cumsum(path.dwells.seconds)])
    rest: FloatArray = (
        total[np.searchsorted(path.dwells.line, following)]
        - total[np.searchsorted(path.dwells.line, lines, side="right")]
    )
    return np.maximum(np.round(rest, 9), 0.0)


def _moves_next(path: Toolpath) -> BoolArray:
    """Which pen changes (P,) are the last before some move that is not on a declared line."""
    lines = path.moves.line[~np.isin(path.moves.line, list(path.places.names))]
    last = np.searchsorted(path.pens.line, lines, side="right") - 1
    out = np.zeros(len(path.pens.line), np.bool_)
    out[last[last >= 0]] = True
    return out


def _covered(path: Toolpath, machine: Machine) -> BoolArray:
    """Changes (P,) that are the first lines of a longer declared change, such as a ramp that starts
    from the other state's line.
    """
    covered = np.zeros(len(path.pens.line), np.bool_)
    if len(covered):
        pens = path.pens
        length = _lengths(path, machine.lift)
        covered[:-1] = pens.whole[1:] & (pens.line[:-1] > pens.line[1:] - length[1:])
    return covered


def _check_after_stops(path: Toolpath, source: Source) -> None:
    """After a stop the operator may have changed anything: pen, distance mode, motion word and feed
    are said again before they are used.
    """
    pens = path.pens
    moves = path.moves
    if not len(path.stops.line):
        return
    axes = np.sort(np.concatenate([moves.line, pens.line[~np.isnan(pens.height)]]))
    fed = np.sort(np.concatenate([moves.line[~moves.rapid], pens.line[~np.isnan(pens.feed)]]))
    raised = pens.line[pens.whole & ~pens.down & pens.known]
    for line in path.stops.line.tolist():
        for use, said, what in (
            (moves.line, raised, "pen up"),
            (axes, _said(path, "G90"), "G90"),
            (fed, _said(path, "F"), "the feed"),
        ):
            first = _next(use, line)
            if first is not None and (_next(said, line) or first + 1) > first:
                raise refused(f"{what} is not said again after the stop on line {line}", line=first)
        first = _next(axes, line)
        if first is not None and not any(map(_MOTION.search, source.lines[line:first])):
            reason = f"the motion word is not said again after the stop on line {line}"
            raise refused(reason, line=first)


def _said(path: Toolpath, word: str) -> IntArray:
    return path.said.get(word, np.zeros(0, np.int64))


def _next(lines: IntArray, after: int) -> int | None:
    at = int(np.searchsorted(lines, after, side="right"))
    return int(lines[at]) if at < len(lines) else None
