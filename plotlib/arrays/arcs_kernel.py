"""Compiled: which runs of points lie on arcs of circles.

A circle through both ends of a run has its centre on their perpendicular bisector; its place there
is the algebraic least-squares fit of the points between (I. Kåsa, *A circle fitting procedure and
its error analysis*, IEEE Transactions on Instrumentation and Measurement 25, 1976, with the ends
held). For a closed run both coordinates are fitted, the start held. The fit decides nothing: what
counts is that each point lies within the tolerance of the circle, each chord too, and that the
points turn one way round. A polyline that goes round a centre lies at one distance from it in each
direction, so both ways, from the arc to the polyline and back, are bounded by these.

Runs are as long as possible, found by doubling and halving from where the last one ended (split of
a curve into pieces by longest fits: P. L. Rosin, G. A. W. West, *Segmentation of edges into lines
and arcs*, Image and Vision Computing 7, 1989; both from memory). Invariant: the runs found so far
are apart but for shared ends, in their order, and each keeps to its circle.

A run that keeps to its circle much more closely is preferred if it is at least half as long: so
arcs that were made as such end where they were made to end, and do not run on into what follows.

``points`` is (N, 2), ``offsets`` (M + 1,); the result holds ``ends`` (A, 2), first and last point
of each run, and ``shapes`` (A, 3), its centre and which way it turns, 1 counter-clockwise or -1.
The slow oracle is ``worst_gap`` in ``tests/tidying/test_arcs.py``.
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled, compiled_above

# What a run may be: an arc, too flat or too uneven to be written as one so far, or none.
FITS, OPEN, NOT = range(3)
LEAST_CHORDS = 3  # two chords have three points, and any three points lie on a circle
LEAST_RADIUS = 10.0  # tolerances: a regular hexagon or a square is no circle
LEAST_RISE = 2.0  # tolerances that an arc must rise above its chord: else a line does as well
CLOSER = 30.0  # times; a smooth curve that is no arc leaves its circle with the cube of its length
_AROUND = 2  # units to look around for a centre on the grid that lies evenly from both ends
_BACK = 4  # points that a run may be shorter so that its centre lies evenly


class Rules(NamedTuple):
    """What counts as an arc; lengths in the unit of the points.

    ``tolerance``: how far the arc and the chords may be apart; ``close``: the arc and the points;
    ``grid``: centres are whole numbers
    if it is 1, and anywhere if it is 0; ``uneven``: how far the distances of both ends from the
    centre may differ; ``largest``: the greatest radius; ``quarters``: in how many quarters, counted
    from its start, an arc may lie that is no full circle.
    """

    tolerance: float
    close: float
    grid: float
    uneven: float
    largest: float
    quarters: int


@compiled
def _free_centre(points: FloatArray, first: int, last: int) -> tuple[float, float, bool]:
    """The centre of a circle through the start of a closed run; whether there is one."""
    xx = xy = yy = xz = yz = 0.0
    for k in range(first + 1, last):
        x = points[k, 0] - points[first, 0]
        y = points[k, 1] - points[first, 1]
        z = x * x + y * y
        xx += x * x
        xy += x * y
        yy += y * y
        xz += x * z
        yz += y * z
    det = 2.0 * (xx * yy - xy * xy)
    if det <= 1e-9 * (xx + yy) ** 2:
        return 0.0, 0.0, False
    x = points[first, 0] + (xz * yy - yz * xy) / det
    y = points[first, 1] + (yz * xx - xz * xy) / det
    return x, y, True


@compiled
def _held_centre(
    points: FloatArray, first: int, last: int, rise: float
) -> tuple[float, float, bool]:
    """The centre of a circle through both ends; False for a run that does not rise above its
    chord.
    """
    dx = points[last, 0] - points[first, 0]
    dy = points[last, 1] - points[first, 1]
    chord = sqrt(dx * dx + dy * dy)
    middle_x = 0.5 * (points[first, 0] + points[last, 0])
    middle_y = 0.5 * (points[first, 1] + points[last, 1])
    above = below = 0.0
    highest = 0.0
    for k in range(first + 1, last):
        x = points[k, 0] - middle_x
        y = points[k, 1] - middle_y
        up = (dx * y - dy * x) / chord
        above += up * (x * x + y * y - 0.25 * chord * chord)
        below += up * up
        highest = max(highest, abs(up))
    if highest < rise:
        return 0.0, 0.0, False
    height = 0.5 * above / below
    return middle_x - height * dy / chord, middle_y + height * dx / chord, True


@compiled
def _distance(ax: float, ay: float, bx: float, by: float) -> float:
    return sqrt((bx - ax) ** 2 + (by - ay) ** 2)


@compiled
def _keeps_to(
    ax: float, ay: float, bx: float, by: float, low: float, high: float, rules: Rules
) -> bool:
    """Whether the end of a chord, seen from the centre, lies near enough to two radii, and all of
    the chord.
    """
    away = sqrt(bx * bx + by * by)
    if away < high - rules.close or away > low + rules.close:
        return False
    least = high - rules.tolerance
    way_x = bx - ax
    way_y = by - ay
    is_beside = ax * way_x + ay * way_y < 0.0 < bx * way_x + by * way_y
    cross = ax * by - ay * bx
    return not (is_beside and cross * cross < least * least * (way_x * way_x + way_y * way_y))


@compiled
def _quarter(ux: float, uy: float, bx: float, by: float, side: float) -> int:
    """Which quarter turn from the direction ``u`` on, to the left (side 1) or right (-1), holds
    another direction.

    ===========  ==========  =======
    along ``u``  beside it   quarter
    ===========  ==========  =======
    > 0          >= 0        0
    <= 0         > 0         1
    < 0          <= 0        2
    >= 0         < 0         3
    ===========  ==========  =======
    """
    along = ux * bx + uy * by
    beside = side * (ux * by - uy * bx)
    if beside > 0.0:
        return 0 if along > 0.0 else 1
    if along < 0.0:
        return 2
    return 3 if beside < 0.0 else 0


@compiled
def _side(points: FloatArray, first: int, last: int, x: float, y: float, rules: Rules) -> float:
    """Which way a run turns about a centre (1 to the left, -1) if it and its chords keep to the
    circle through its ends, and it turns no farther than it may; 0 if not.
    """
    ux = points[first, 0] - x
    uy = points[first, 1] - y
    near = sqrt(ux * ux + uy * uy)
    far = _distance(x, y, points[last, 0], points[last, 1])
    low = min(near, far)
    high = max(near, far)
    is_closed = points[first, 0] == points[last, 0] and points[first, 1] == points[last, 1]
    quarters = 4 if is_closed else rules.quarters
    side = 0.0
    quarter = 0
    for k in range(first, last):
        ax = points[k, 0] - x
        ay = points[k, 1] - y
        bx = points[k + 1, 0] - x
        by = points[k + 1, 1] - y
        cross = ax * by - ay * bx
        if k == first:
            side = 1.0 if cross > 0.0 else -1.0
        if cross * side <= 0.0 or not _keeps_to(ax, ay, bx, by, low, high, rules):
            return 0.0
        if is_closed and k == last - 1:
            return side if quarter == 3 else 0.0
        now = _quarter(ux, uy, bx, by, side)
        if now < quarter or now >= quarters:
            return 0.0
        quarter = now
    return side


@compiled
def _even_centre(
    points: FloatArray, first: int, last: int, x: float, y: float, rules: Rules
) -> tuple[float, float, bool]:
    """The place on the grid nearest to a centre that lies evenly from both ends; whether there is
    one nearby.
    """
    if rules.grid == 0.0:
        return x, y, True
    best = np.inf
    best_x = best_y = 0.0
    for i in range(-_AROUND, _AROUND + 1):
        for j in range(-_AROUND, _AROUND + 1):
            to_x = np.rint(x) + i
            to_y = np.rint(y) + j
            near = _distance(to_x, to_y, points[first, 0], points[first, 1])
            far = _distance(to_x, to_y, points[last, 0], points[last, 1])
            away = _distance(x, y, to_x, to_y)
            if abs(near - far) <= rules.uneven and away < best:
                best = away
                best_x = to_x
                best_y = to_y
    return best_x, best_y, best < np.inf


@compiled
def _fitted(points: FloatArray, first: int, last: int, rules: Rules, shape: FloatArray) -> int:
    """What a run is (FITS, OPEN, NOT); for an arc its centre and side stand in ``shape``."""
    is_closed = bool(points[first, 0] == points[last, 0] and points[first, 1] == points[last, 1])
    if is_closed:
        x, y, is_round = _free_centre(points, first, last)
    else:
        rise = LEAST_RISE * rules.tolerance
        x, y, is_round = _held_centre(points, first, last, rise)
    if not is_round:
        return OPEN
    radius = _distance(x, y, points[first, 0], points[first, 1])
    if radius < LEAST_RADIUS * rules.tolerance:
        return NOT
    if _side(points, first, last, x, y, rules) == 0.0:
        return NOT
    x, y, is_even = _even_centre(points, first, last, x, y, rules)
    side = _side(points, first, last, x, y, rules)
    if radius > rules.largest or not is_even or side == 0.0:
        return OPEN
    shape[0] = x
    shape[1] = y
    shape[2] = side
    return FITS


@compiled
def _longest(
    points: FloatArray, first: int, end: int, rules: Rules, shape: FloatArray
) -> tuple[int, bool]:
    """The last point of the longest arc from a point on, up to ``end``; or, where there is none
    (False), of the longest run that may be part of one.
    """
    good = first
    step = LEAST_CHORDS
    bad = end + 1
    while good < end and bad > end:
        to = min(first + step, end)
        if _fitted(points, first, to, rules, shape) == NOT:
            bad = to
        else:
            good = to
            step *= 2
    while bad <= end and bad - good > 1:
        middle = (good + bad) // 2
        if middle - first < LEAST_CHORDS:
            break
        if _fitted(points, first, middle, rules, shape) == NOT:
            bad = middle
        else:
            good = middle
    for last in range(good, max(good - _BACK, first + LEAST_CHORDS) - 1, -1):
        if _fitted(points, first, last, rules, shape) == FITS:
            return last, True
    return good, False


@compiled
def _next(
    points: FloatArray, first: int, end: int, rules: Rules, shape: FloatArray
) -> tuple[int, bool]:
    """The arc that begins at a point, as `_longest` says: all of the stroke, or the longest, or one
    at least half as long that is much closer.
    """
    is_closed = points[first, 0] == points[end, 0] and points[first, 1] == points[end, 1]
    if is_closed and _fitted(points, first, end, rules, shape) == FITS:
        return end, True
    last, is_arc = _longest(points, first, end, rules, shape)
    if not is_arc:
        return last, False
    x = shape[0]
    y = shape[1]
    side = shape[2]
    closer = Rules(
        rules.tolerance,
        rules.close / CLOSER,
        rules.grid,
        rules.uneven,
        rules.largest,
        rules.quarters,
    )
    close_last, is_close = _longest(points, first, last, closer, shape)
    if is_close and 2 * (close_last - first) >= last - first:
        return close_last, True
    shape[0] = x
    shape[1] = y
    shape[2] = side
    return last, True


@compiled_above(100)
def find(points: FloatArray, offsets: IntArray, rules: Rules) -> tuple[IntArray, FloatArray]:
    """The arcs of all strokes: ``ends`` (A, 2) and ``shapes`` (A, 3)."""
    room = len(points) // LEAST_CHORDS + 1
    ends = np.zeros((room, 2), np.int64)
    shapes = np.zeros((room, 3), np.float64)
    count = 0
    for stroke in range(len(offsets) - 1):
        first = offsets[stroke]
        end = offsets[stroke + 1] - 1
        while end - first >= LEAST_CHORDS:
            last, is_arc = _next(points, first, end, rules, shapes[count])
            if is_arc:
                ends[count, 0] = first
                ends[count, 1] = last
                count += 1
                first = last
            else:
                # half of a run without bend is passed over at once, so that long ones take no time
                first += max(1, (last - first) // 2)
    return ends[:count], shapes[:count]
