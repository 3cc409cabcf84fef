"""The moves of a written program: by the right word, inside the envelope, no faster than
declared.
"""

from __future__ import annotations

import math
import re

import numpy as np

from plotlib.checks import BoolArray, FloatArray
from plotlib.gcode.envelope import excess, trespass
from plotlib.gcode.proving.form import has_arcs
from plotlib.gcode.proving.planned import Planned
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.reading.plain import Source
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine

_AT_ONCE = 1 << 16  # moves looked at together, so that what is between stays in the cache
_EXACT = 1e-9  # relative, for quotients of whole numbers
_ROUNDED = 0.003  # mm/min: feeds are whole thousandths, rounded down on the way


def check_motion_words(path: Toolpath, machine: Machine) -> None:
    """Ink by G1, or by arcs where the machine has them; travel by the declared word."""
    moves = path.moves
    free = _declared(path)
    drawn = np.flatnonzero(moves.down & moves.rapid)
    if len(drawn):
        raise refused(
            "moves by G0 with the pen down: the pen-up before it is missing",
            line=moves.line[drawn[0]],
        )
    bent = np.flatnonzero(moves.arc & ~free & ~(moves.down & has_arcs(machine)))
    if len(bent):
        raise refused("an arc: drawings are written in straight lines", line=moves.line[bent[0]])
    wrong = np.flatnonzero(~moves.down & ~free & (moves.rapid != (machine.travel_word == "G0")))
    if len(wrong):
        said = "G0" if moves.rapid[wrong[0]] else "G1"
        raise refused(
            f"travels by {said}, but the machine declares {machine.travel_word}; or a pen-down is "
            f"missing before it",
            line=moves.line[wrong[0]],
        )


def check_envelope(path: Toolpath, source: Source, machine: Machine) -> None:
    """Everything on the bed, in bed and in controller coordinates, and out of the keep-outs."""
    out = excess(path, machine)
    if out is not None:
        by = f"{out.excess:.{machine.decimals}f} mm on the {out.side}"
        raise refused(f"leaves the bed by {by}, at {out.where}", line=out.line, side=out.side)
    if any(_is_off(table, machine) for table in (path.moves.start, path.moves.end, path.points)):
        raise refused("leaves the bed by less than a float can tell")
    _check_controller(source, machine)
    hit = trespass(path, machine)
    if hit is not None:
        by = f"{hit.excess:.{machine.decimals}f} mm"
        raise refused(
            f"goes {by} through a keep-out, on the way to {hit.place}", line=hit.line, side=hit.side
        )


def _is_off(places: FloatArray, machine: Machine) -> bool:
    """Whether any of some places (K, 2) is off the bed in whole units; rounding keeps the order, so
    the outermost say it for all.
    """
    if not len(places):
        return False
    low = machine.to_units([along.min() for along in places.T])
    high = machine.to_units([along.max() for along in places.T])
    return bool((low < 0).any() or (high > machine.to_units([machine.width, machine.height])).any())


def _check_controller(source: Source, machine: Machine) -> None:
    """The very words that the controller gets, whatever they lead to, against the bed's edges as
    the controller counts them.
    """
    axes = (("X", source.x, machine.x, machine.width), ("Y", source.y, machine.y, machine.height))
    others = np.flatnonzero(source.kind == -1).tolist()
    for k, (letter, column, axis, size) in enumerate(axes):
        edges = sorted(
            (edge - machine.zero[k]) * (-1 if axis.reversed else 1) for edge in (0.0, size)
        )
        spoken = [_said(letter, source.lines[index]) for index in others]
        for numbers, lines in ((np.array(spoken), others), (column, None)):
            at = _outermost(numbers, machine, edges)
            if at is not None:
                number = float(numbers[at])
                by = f"{_beyond(number, machine, edges):g} mm"
                raise refused(
                    f"{letter}{number:g} is {by} outside what the controller may count",
                    line=(at if lines is None else lines[at]) + 1,
                )


def _outermost(numbers: FloatArray, machine: Machine, edges: list[float]) -> int | None:
    """Which of some numbers (L,), not a number where none is said, is farthest outside; None where
    none is. Rounding keeps the order, so the least and the greatest say it for all.
    """
    least = float(np.fmin.reduce(numbers, initial=math.nan))
    greatest = float(np.fmax.reduce(numbers, initial=math.nan))
    if math.isnan(least):
        return None
    worst = max((least, greatest), key=lambda number: _beyond(number, machine, edges))
    if _beyond(worst, machine, edges) <= 0:
        return None
    return int(np.flatnonzero(numbers == worst)[0])


def _beyond(number: float, machine: Machine, edges: list[float]) -> float:
    """How far a number is outside the edges in mm, in whole units; negative inside."""
    low, high = machine.to_units(edges)
    unit = machine.to_units(number)
    beyond: float = machine.to_mm(np.maximum(low - unit, unit - high))
    return beyond


def _said(letter: str, line: str) -> float:
    """The number after a letter outside comments; not a number where there is none."""
    match = re.search(rf"(?:^| ){letter}(-?[\d.]+)", re.sub(r"\([^()]*\)", "", line))
    return float(match[1]) if match else math.nan


def check_travels(path: Toolpath, plan: Planned) -> None:
    """The pen-up ways of the plan and no others; a word that leads nowhere counts for nothing."""
    machine = plan.machine
    moves = path.moves
    mine = np.flatnonzero(~moves.down & ~_declared(path))
    begin = machine.to_units(moves.start[mine])
    is_first = not len(path) or (moves.line[mine[:1]] <= path.point_lines[0]).all()
    if plan.is_from_home and is_first:
        begin[:1] = machine.to_units(machine.home)  # also where words of the setup lose the place
    went = mine[(begin != machine.to_units(moves.end[mine])).any(axis=1)]
    written = machine.to_units(moves.end[went])
    planned = plan.end[(plan.begin != plan.end).any(axis=1)]
    both = min(len(written), len(planned))
    differs = np.flatnonzero((written[:both] != planned[:both]).any(axis=1))
    at = int(differs[0]) if len(differs) else both
    if at < len(written):
        place = tuple(machine.to_mm(written[at]).tolist())
        reason = f"travels to {place}, which is not in the plan"
        if at < len(planned):
            reason += f" there: it goes to {tuple(machine.to_mm(planned[at]).tolist())}"
        raise refused(reason, line=moves.line[went[at]])
    if at < len(planned):
        raise refused(f"a travel to {tuple(machine.to_mm(planned[at]).tolist())} is missing")


def check_feeds(path: Toolpath, plan: Planned) -> None:
    """No feed above the pen's, the travel's, or what the axes can do in that direction; nor below
    what these allow.
    """
    machine = plan.machine
    moves = path.moves
    limit = np.minimum(axis_limits(path, machine), _climb_limit(path, machine))
    _refuse_fast(
        path, limit, "what the axes can do in that direction", np.ones(len(limit), np.bool_)
    )
    pens = np.array([pen.feed or machine.feed for pen in plan.pens])
    feed = np.zeros(len(limit))
    feed[moves.down] = np.repeat(pens[plan.pen_index], np.diff(path.offsets) - 1)
    _refuse_fast(path, feed, "the pen's feed", moves.down)
    if machine.travel_feed is not None:
        _refuse_fast(
            path,
            np.full(len(limit), machine.travel_feed),
            "the travel feed",
            ~moves.down & ~_declared(path),
        )
        slowest = min(machine.travel_feed, machine.x.rate, machine.y.rate)
        _refuse_slow(path, np.full(len(limit), slowest), "travel", ~moves.down & ~_declared(path))
    _refuse_slow(path, _stroke_feeds(path, feed, limit), "this stroke", moves.down)


def _refuse_fast(path: Toolpath, limit: FloatArray, name: str, where: BoolArray) -> None:
    fast = np.flatnonzero(where & (path.moves.feed > limit * (1 + _EXACT)))
    if len(fast):
        at = fast[0]
        raise refused(
            f"F {path.moves.feed[at]:g} is too fast: {name} is {limit[at]:g} mm/min",
            line=path.moves.line[at],
        )


def _refuse_slow(path: Toolpath, least: FloatArray, name: str, where: BoolArray) -> None:
    slow = np.flatnonzero(where & (path.moves.feed < least * (1 - _EXACT) - _ROUNDED))
    if len(slow):
        at = slow[0]
        raise refused(
            f"F {path.moves.feed[at]:g} is too slow: the plan has {name} at {least[at]:g} mm/min",
            line=path.moves.line[at],
        )


def _stroke_feeds(path: Toolpath, feed: FloatArray, limit: FloatArray) -> FloatArray:
    """The feed (K,) that a stroke keeps from end to end: its pen's, or what the axes can do in its
    slowest direction; 0 for moves of no stroke.
    """
    down = path.moves.down
    counts = np.diff(path.offsets) - 1
    counts = counts[counts > 0]
    out = np.zeros(len(feed))
    if len(counts):
        allowed = np.minimum(feed[down], limit[down])
        slowest = np.minimum.reduceat(allowed, np.cumsum(counts) - counts)
        out[down] = np.repeat(slowest, counts)
    return out


def axis_limits(path: Toolpath, machine: Machine) -> FloatArray:
    """The feed (K,) at which one axis reaches its rate on each move; an arc may take one of them
    along alone.
    """
    start = path.moves.start
    end = path.moves.end
    fastest = np.empty(len(end))
    for first in range(0, len(end), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        fastest[part] = _axis_limit(end[part] - start[part], machine)
    bent = path.moves.arc
    fastest[bent] = np.minimum(fastest[bent], min(machine.x.rate, machine.y.rate))
    return fastest


def _axis_limit(way: FloatArray, machine: Machine) -> FloatArray:
    """The feed (K,) at which one axis reaches its rate on each way (K, 2)."""
    length = np.hypot(way[:, 0], way[:, 1])
    fastest = np.full(len(way), np.inf)
    for along, axis in zip(way.T, (machine.x, machine.y), strict=True):
        part = np.abs(along)
        with np.errstate(divide="ignore", invalid="ignore"):
            np.minimum(fastest, axis.rate * length / part, out=fastest, where=part > 0)
    return fastest


def _climb_limit(path: Toolpath, machine: Machine) -> FloatArray:
    """The feed (K,) at which Z reaches the lift's feed on each move; one unit of a climb may be
    rounding.
    """
    heights = machine.lift.heights
    moves = path.moves
    if machine.height_map is None or heights is None:
        return np.full(len(moves.line), np.inf)
    units = machine.to_units(np.nan_to_num(moves.climb))
    climbs = np.where(moves.down, np.abs(units[:, 1] - units[:, 0]) - 1.0, 0.0) * machine.unit
    with np.errstate(divide="ignore", invalid="ignore"):
        limits = np.where(climbs > 0, moves.length / climbs * heights.feed, np.inf)
    return np.asarray(limits)


def _declared(path: Toolpath) -> BoolArray:
    """Moves (K,) on declared lines, which go as the machine's owner says."""
    return np.isin(path.moves.line, list(path.places.names))
