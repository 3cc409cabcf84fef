"""Compiled: which parts of strokes lie on ink that is drawn already.

The strokes are laid down one after the other, segment by segment. A segment's double parts are the
intervals of it that lie along ink that was kept before, at a distance of no more than the
tolerance; ink is found through cells in a hash table (M. Teschner, B. Heidelberger, M. Müller,
D. Pomeranets, M. Gross, *Optimized Spatial Hashing for Collision Detection of Deformable Objects*,
VMV 2003), each piece in all cells that it meets.

Parts that lie exactly on ink (`EXACT`) are always left out. Parts that are only near to it (`NEAR`)
are left out where a run of double parts is long enough to be worth the cut, or is a whole stroke:
two lines that cross at a small angle are near each other for a while and stay whole. Only what is
kept for certain is ink; parts of a run wait until it ends.

Between two segments each part of a segment stands in the records exactly once, ``ink`` holds the
kept parts before the run that goes on, and every part that was left out lies within the tolerance
of ``ink``.

The slow oracles are shapely's union of all segments, and its distances, in
``tests/tidying/test_once.py``.
"""

from __future__ import annotations

from math import floor, sqrt
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled, compiled_above

KEPT, NEAR, EXACT = range(3)  # kinds of parts
# Why the work stops: it is done, the budget is used up, make more room for records and ink, make
# more room for hits.
DONE, PAUSED, FULL, CROWDED = range(4)
# Places in ``State.counts``: the stroke and the point of it that come next; how many there are of
# records, pieces of ink, entries in cells; the first record of the run that goes on, and of the
# stroke.
STROKE, POINT, RECORDS, INK, ENTRIES, RUN, FIRST = range(7)
# A piece of ink lies in no more than 3 rows of each column, and in as many columns as it is cells
# long, and two more.
CELLS_A_WIDTH = 3
CELLS_EACH = 6
_STEEPEST = 0.6  # tangent: a part that is near to ink and turned farther crosses it


class Rules(NamedTuple):
    """What counts as double, and where the cells lie; all in mm."""

    tolerance: float  # of parts that are near
    hair: float  # of parts that are exact; what is shorter is nothing
    least: float  # a run of near parts that is shorter stays
    cell: float  # width of the cells
    left: float
    bottom: float


class State(NamedTuple):
    """The ink and the records."""

    ink: FloatArray  # (I, 4) x, y, x, y of each kept piece
    seen: IntArray  # (I,) the last point whose segment looked at it
    head: IntArray  # (2^k,) the newest entry of each slot, -1: none
    entry: IntArray  # (E, 2) a piece of ink, the entry below it
    part: FloatArray  # (R, 6) x, y, x, y of each record; where it begins and ends on its segment
    kind: IntArray  # (R, 2) the kind of each record; its point
    exact: FloatArray  # (H, 6) where a hit begins and ends on the segment; x, y, x, y of that
    near: FloatArray  # (H, 6) the same
    counts: IntArray  # (7,)
    run: FloatArray  # (1,) length of the run that goes on


@compiled
def _slot(state: State, is_steep: bool, column: int, row: int) -> int:
    """The place in ``head`` of a cell; column and row change places for steep segments."""
    if is_steep:
        return int((row * 73856093 ^ column * 19349663) & (len(state.head) - 1))
    return int((column * 73856093 ^ row * 19349663) & (len(state.head) - 1))


@compiled
def _reach(
    ax: float, ay: float, bx: float, by: float, low: float, high: float
) -> tuple[float, float]:
    """The least and the greatest y of a segment where x is from ``low`` to ``high``."""
    dx = bx - ax
    start = 0.0
    end = 1.0
    if dx != 0.0:
        start = min(1.0, max(0.0, (low - ax) / dx))
        end = min(1.0, max(0.0, (high - ax) / dx))
    y = ay + start * (by - ay)
    z = ay + end * (by - ay)
    return min(y, z), max(y, z)


@compiled
def _put(state: State, rules: Rules, x0: float, y0: float, x1: float, y1: float) -> None:
    """A new piece of ink, into the cells that it meets."""
    number = state.counts[INK]
    state.ink[number, 0] = x0
    state.ink[number, 1] = y0
    state.ink[number, 2] = x1
    state.ink[number, 3] = y1
    state.seen[number] = -1
    state.counts[INK] = number + 1
    cell = rules.cell
    is_steep = abs(y1 - y0) > abs(x1 - x0)
    ax, ay = _seen_flat(rules, is_steep, x0, y0)
    bx, by = _seen_flat(rules, is_steep, x1, y1)
    for column in range(floor(min(ax, bx) / cell), floor(max(ax, bx) / cell) + 1):
        low, high = _reach(ax, ay, bx, by, column * cell, (column + 1) * cell)
        for row in range(floor(low / cell), floor(high / cell) + 1):
            slot = _slot(state, is_steep, column, row)
            fresh = state.counts[ENTRIES]
            state.entry[fresh, 0] = number
            state.entry[fresh, 1] = state.head[slot]
            state.head[slot] = fresh
            state.counts[ENTRIES] = fresh + 1


@compiled
def _seen_flat(rules: Rules, is_steep: bool, x: float, y: float) -> tuple[float, float]:
    """A point from the corner of the cells; x and y change places for steep segments."""
    if is_steep:
        return y - rules.bottom, x - rules.left
    return x - rules.left, y - rules.bottom


class Look(NamedTuple):
    """A segment that looks for ink."""

    stamp: int
    x: float
    y: float
    ux: float  # the unit vector along it; 0, 0 of a dot
    uy: float
    length: float


@compiled
def _gather(state: State, rules: Rules, look: Look, x1: float, y1: float) -> tuple[int, int, int]:
    """Fill ``exact`` and ``near`` with the double parts of a segment: how many of each, and how
    much work it was; -1 exact where there is no room.
    """
    exacts = 0
    nears = 0
    work = 1
    pad = rules.tolerance + 2.0 * rules.hair
    is_steep = abs(y1 - look.y) > abs(x1 - look.x)
    ax, ay = _seen_flat(rules, is_steep, look.x, look.y)
    bx, by = _seen_flat(rules, is_steep, x1, y1)
    cell = rules.cell
    first = floor((min(ax, bx) - pad) / cell)
    last = floor((max(ax, bx) + pad) / cell)
    for column in range(first, last + 1):
        low, high = _reach(ax, ay, bx, by, column * cell - pad, (column + 1) * cell + pad)
        for row in range(floor((low - pad) / cell), floor((high + pad) / cell) + 1):
            at = state.head[_slot(state, is_steep, column, row)]
            work += 1
            while at >= 0:
                number = state.entry[at, 0]
                at = state.entry[at, 1]
                work += 1
                if state.seen[number] == look.stamp:
                    continue
                state.seen[number] = look.stamp
                if max(exacts, nears) >= len(state.near):
                    return -1, nears, work
                kind = _compare(state, rules, look, number, exacts, nears)
                exacts += kind == EXACT
                nears += kind == NEAR
    return exacts, nears, work


@compiled
def _compare(state: State, rules: Rules, look: Look, number: int, exacts: int, nears: int) -> int:
    """Write the part of the segment that lies along a piece of ink behind the other hits, and tell
    its kind; KEPT if there is none.
    """
    px = state.ink[number, 0] - look.x
    py = state.ink[number, 1] - look.y
    qx = state.ink[number, 2] - look.x
    qy = state.ink[number, 3] - look.y
    if look.length == 0.0:
        return _compare_dot(rules, px, py, qx, qy)
    # along the segment, and how far to its left, of both ends of the ink
    ps = px * look.ux + py * look.uy
    qs = qx * look.ux + qy * look.uy
    pd = look.ux * py - look.uy * px
    qd = look.ux * qy - look.uy * qx
    low = max(0.0, min(ps, qs))
    high = min(look.length, max(ps, qs))
    if high - low <= rules.hair:
        return KEPT
    slope = (qd - pd) / (qs - ps)
    low_off = abs(pd + slope * (low - ps))
    high_off = abs(pd + slope * (high - ps))
    if low_off <= rules.hair and high_off <= rules.hair:
        _write(state.exact, exacts, low, high, look)
        _tie(state.exact, exacts, look, ps, px, py)
        _tie(state.exact, exacts, look, qs, qx, qy)
        return EXACT
    if abs(slope) > _STEEPEST or (min(abs(pd), abs(qd)) > rules.tolerance and pd * qd > 0.0):
        return KEPT
    low, high = _near_part(rules, ps, qs, pd, qd, slope, low, high)
    low = max(0.0, low)
    high = min(look.length, high)
    if high - low <= rules.hair:
        return KEPT
    _write(state.near, nears, low, high, look)
    return NEAR


@compiled
def _compare_dot(rules: Rules, px: float, py: float, qx: float, qy: float) -> int:
    """Whether a dot lies on the ink from (px, py) to (qx, qy), which are seen from it."""
    dx = qx - px
    dy = qy - py
    square = dx * dx + dy * dy
    share = 0.0
    if square > 0.0:
        share = min(1.0, max(0.0, -(px * dx + py * dy) / square))
    x = px + share * dx
    y = py + share * dy
    away = sqrt(x * x + y * y)
    return EXACT if away <= max(rules.tolerance, rules.hair) else KEPT


@compiled
def _near_part(
    rules: Rules,
    ps: float,
    qs: float,
    pd: float,
    qd: float,
    slope: float,
    low: float,
    high: float,
) -> tuple[float, float]:
    """The part from ``low`` to ``high`` where the ink is within the tolerance, and beyond an end of
    the ink as far as that end is.
    """
    tolerance = rules.tolerance
    if slope != 0.0:
        enters = ps + (-tolerance - pd) / slope
        leaves = ps + (tolerance - pd) / slope
        low = max(low, min(enters, leaves))
        high = min(high, max(enters, leaves))
    elif abs(pd) > tolerance:
        return 0.0, 0.0
    if high <= low:
        return 0.0, 0.0
    for end in range(2):
        along = ps if end == 0 else qs
        off = abs(pd if end == 0 else qd)
        if off < tolerance:
            beyond = sqrt(tolerance * tolerance - off * off)
            if along == low:
                low -= beyond
            if along == high:
                high += beyond
    return low, high


@compiled
def _write(hits: FloatArray, at: int, low: float, high: float, look: Look) -> None:
    hits[at, 0] = low
    hits[at, 1] = high
    hits[at, 2] = look.x + low * look.ux
    hits[at, 3] = look.y + low * look.uy
    hits[at, 4] = look.x + high * look.ux
    hits[at, 5] = look.y + high * look.uy


@compiled
def _tie(hits: FloatArray, at: int, look: Look, along: float, x: float, y: float) -> None:
    """A cut at an end of the ink is that very point, so that the strokes meet there."""
    if hits[at, 0] == along:
        hits[at, 2] = look.x + x
        hits[at, 3] = look.y + y
    if hits[at, 1] == along:
        hits[at, 4] = look.x + x
        hits[at, 5] = look.y + y


@compiled
def _merged(hits: FloatArray, count: int, hair: float) -> int:
    """Sort the first ``count`` hits and unite those that touch: how many are left."""
    if count < 2:
        return count
    order = np.argsort(hits[:count, 0], kind="mergesort")
    sorted_hits = hits[:count][order]
    last = 0
    hits[0] = sorted_hits[0]
    for k in range(1, count):
        if sorted_hits[k, 0] <= hits[last, 1] + hair:
            if sorted_hits[k, 1] > hits[last, 1]:
                hits[last, 1] = sorted_hits[k, 1]
                hits[last, 4] = sorted_hits[k, 4]
                hits[last, 5] = sorted_hits[k, 5]
        else:
            last += 1
            hits[last] = sorted_hits[k]
    return last + 1


@compiled
def _record(
    state: State, rules: Rules, point: int, kind: int, start: FloatArray, end: FloatArray
) -> None:
    """One more part: ``start`` and ``end`` are (3,) how far along the segment, x, y."""
    at = state.counts[RECORDS]
    state.part[at, 0] = start[1]
    state.part[at, 1] = start[2]
    state.part[at, 2] = end[1]
    state.part[at, 3] = end[2]
    state.part[at, 4] = start[0]
    state.part[at, 5] = end[0]
    state.kind[at, 0] = kind
    state.kind[at, 1] = point
    state.counts[RECORDS] = at + 1
    if kind != KEPT:
        state.run[0] += end[0] - start[0]
        return
    _end_run(state, rules, at)
    _put(state, rules, start[1], start[2], end[1], end[2])
    state.counts[RUN] = at + 1


@compiled
def _end_run(state: State, rules: Rules, end: int) -> None:
    """The records from RUN to ``end`` are a run of double parts: keep the near ones of a short
    run.
    """
    if state.run[0] < rules.least:
        for at in range(state.counts[RUN], end):
            if state.kind[at, 0] == NEAR:
                state.kind[at, 0] = KEPT
                part = state.part[at]
                _put(state, rules, part[0], part[1], part[2], part[3])
    state.run[0] = 0.0


@compiled
def _divide(
    state: State,
    rules: Rules,
    look: Look,
    point: int,
    x1: float,
    y1: float,
    exacts: int,
    nears: int,
) -> None:
    """Write the records of a segment, from its start to its end."""
    hair = rules.hair
    start = np.array([0.0, look.x, look.y])
    finish = np.array([look.length, x1, y1])
    e = 0
    n = 0
    while start[0] < look.length - hair:
        while e < exacts and state.exact[e, 1] <= start[0] + hair:
            e += 1
        while n < nears and state.near[n, 1] <= start[0] + hair:
            n += 1
        end = finish.copy()
        kind = KEPT
        if e < exacts and state.exact[e, 0] <= start[0] + hair:
            kind = EXACT
            end[0] = state.exact[e, 1]
            end[1] = state.exact[e, 4]
            end[2] = state.exact[e, 5]
        else:
            if n < nears and state.near[n, 0] <= start[0] + hair:
                kind = NEAR
                end[0] = state.near[n, 1]
                end[1] = state.near[n, 4]
                end[2] = state.near[n, 5]
            elif n < nears and state.near[n, 0] < end[0]:
                end[0] = state.near[n, 0]
                end[1] = state.near[n, 2]
                end[2] = state.near[n, 3]
            if e < exacts and state.exact[e, 0] < end[0]:
                end[0] = state.exact[e, 0]
                end[1] = state.exact[e, 2]
                end[2] = state.exact[e, 3]
        if end[0] >= look.length - hair:
            end = finish.copy()
        _record(state, rules, point, kind, start, end)
        start = end


@compiled
def _has_room(state: State, rules: Rules, look: Look, hits: int) -> bool:
    """Whether the records of one more segment, and the ink that may come of the run, fit."""
    fresh = 2 * hits + 2
    ink = fresh
    way = look.length
    if state.run[0] < rules.least:
        ink += state.counts[RECORDS] - state.counts[RUN]
        way += state.run[0]
    cells = CELLS_EACH * ink + CELLS_A_WIDTH * int(way / rules.cell)
    return bool(
        state.counts[RECORDS] + fresh <= len(state.part)
        and state.counts[INK] + ink <= len(state.ink)
        and state.counts[ENTRIES] + cells <= len(state.entry)
    )


@compiled
def _look(points: FloatArray, point: int, after: int) -> Look:
    dx = points[after, 0] - points[point, 0]
    dy = points[after, 1] - points[point, 1]
    length = sqrt(dx * dx + dy * dy)
    scale = 1.0 / length if length > 0.0 else 0.0
    return Look(point, points[point, 0], points[point, 1], dx * scale, dy * scale, length)


@compiled_above(300)
def lay(state: State, points: FloatArray, offsets: IntArray, rules: Rules, budget: int) -> int:
    """Lay down strokes until all lie (DONE), ``budget`` is used up (PAUSED) or there is no room
    (FULL, CROWDED).
    """
    while state.counts[STROKE] < len(offsets) - 1:
        if budget < 0:
            return PAUSED
        stroke = state.counts[STROKE]
        point = state.counts[POINT]
        last = offsets[stroke + 1] - 1
        after = min(point + 1, last)
        look = _look(points, point, after)
        x1 = points[after, 0]
        y1 = points[after, 1]
        exacts, nears, work = _gather(state, rules, look, x1, y1)
        is_full = not _has_room(state, rules, look, exacts + nears)
        if exacts < 0 or is_full:
            state.seen[: state.counts[INK]] = -1
            return FULL if exacts >= 0 else CROWDED
        budget -= work
        if look.length <= rules.hair:
            kind = EXACT if exacts > 0 else KEPT
            if state.counts[RECORDS] > state.counts[FIRST]:
                kind = int(state.kind[state.counts[RECORDS] - 1, 0])  # too short to be asked
            start = np.array([0.0, look.x, look.y])
            _record(state, rules, point, kind, start, np.array([look.length, x1, y1]))
        else:
            exacts = _merged(state.exact, exacts, rules.hair)
            nears = _merged(state.near, nears, rules.hair)
            _divide(state, rules, look, point, x1, y1, exacts, nears)
        state.counts[POINT] = after
        if after == last:
            _end_stroke(state, rules)
            state.counts[STROKE] = stroke + 1
            state.counts[POINT] = last + 1
    return DONE


@compiled
def _end_stroke(state: State, rules: Rules) -> None:
    """A run that is a whole stroke is double however short it is; another one may be too short."""
    if state.counts[RUN] > state.counts[FIRST]:
        _end_run(state, rules, state.counts[RECORDS])
    state.run[0] = 0.0
    state.counts[RUN] = state.counts[RECORDS]
    state.counts[FIRST] = state.counts[RECORDS]
