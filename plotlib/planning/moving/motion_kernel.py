"""Kernels of the motion model: speeds at the points, seconds of the moves, and the link that feeds
them. Units are mm and s.

Look-ahead by a backward and a forward pass over the squares of the speeds, with centripetal limits
at corners; formulas and sources stand in ``motion``. Between the passes this holds: from each point
the speeds after it can be reached (backward), then those before it too (forward). The slow oracle
is ``tests/oracles_motion.py``.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled, compiled_above


@compiled
def corner_speed(
    ux: float,
    uy: float,
    wx: float,
    wy: float,
    shorter: float,
    path_tolerance: float,
    inscribed: bool,
    accelerations: FloatArray,
) -> float:
    """Highest speed from unit direction u to unit direction w, on a circle that touches both
    segments.

    The circle leaves the corner by ``path_tolerance`` at most (R = d s / (1 - s), s = sin(angle
    between the segments / 2)). ``inscribed`` asks that it touches both segments within their nearer
    halves too (``shorter`` is the length of the shorter one), and that the axes can give the
    acceleration towards its centre all along the arc; without, they give it in the middle of the
    arc, which is the direction in which the velocity changes.
    """
    bend = np.sqrt((wx - ux) ** 2 + (wy - uy) ** 2)
    if bend == 0.0:
        return np.inf
    s = 0.5 * np.sqrt((wx + ux) ** 2 + (wy + uy) ** 2)
    # 1 - s = (bend / 2)² / (1 + s), without cancellation
    radius = path_tolerance * s * 4.0 * (1.0 + s) / bend**2
    if not inscribed:
        inward = bend * min(accelerations[0] / abs(wx - ux), accelerations[1] / abs(wy - uy))
        return _on_circle(inward, radius)
    # Half of the segment is R tan(half the turn), and the tangent is (bend / 2) / s.
    radius = min(radius, shorter * s / bend)
    return _on_circle(_least_inward(ux, uy, wx, wy, accelerations), radius)


@compiled
def _on_circle(inward: float, radius: float) -> float:
    """Speed that an acceleration towards the centre holds on a circle; infinite ones stop at a
    radius of 0 too.
    """
    if radius == 0.0:
        return 0.0
    speed: float = np.sqrt(inward * radius)
    return speed


@compiled
def _least_inward(ux: float, uy: float, wx: float, wy: float, accelerations: FloatArray) -> float:
    """What the axes can give towards the centre all along the arc: its direction turns from the
    normal of u to the normal of w, and is the weakest at one of them or where it passes along an
    axis.
    """
    inward: float = min(
        accelerations[0] / max(abs(uy), abs(wy)), accelerations[1] / max(abs(ux), abs(wx))
    )
    if ux * wx <= 0.0:
        inward = min(inward, accelerations[0])
    if uy * wy <= 0.0:
        inward = min(inward, accelerations[1])
    return inward


@compiled
def trapezoid(length: float, limit: float, acceleration: float, v0: float, v1: float) -> float:
    """Seconds for a straight move from speed ``v0`` to ``v1``, both reachable."""
    if length == 0.0:
        return 0.0
    if acceleration == np.inf:
        return length / limit
    top = np.sqrt(acceleration * length + 0.5 * (v0 * v0 + v1 * v1))
    if top <= limit:
        seconds: float = (max(top - v0, 0.0) + max(top - v1, 0.0)) / acceleration
        return seconds
    ramps = (limit * limit - 0.5 * (v0 * v0 + v1 * v1)) / acceleration
    return (2.0 * limit - v0 - v1) / acceleration + (length - ramps) / limit


@compiled
def _straights(
    points: IntArray,
    unit: float,
    feed: float,
    rates: FloatArray,
    accelerations: FloatArray,
    moves: FloatArray,
) -> None:
    """Fill ``moves`` (length, direction x, direction y, speed limit, acceleration) of one run, axis
    limits resolved along each move.
    """
    for i in range(len(points) - 1):
        dx = unit * (points[i + 1, 0] - points[i, 0])
        dy = unit * (points[i + 1, 1] - points[i, 1])
        length = np.sqrt(dx * dx + dy * dy)
        moves[i, 0] = length
        if length == 0.0:
            continue  # it has no direction, and takes no time
        moves[i, 1] = dx / length
        moves[i, 2] = dy / length
        moves[i, 3] = min(feed, rates[0] * length / abs(dx), rates[1] * length / abs(dy))
        moves[i, 4] = min(accelerations[0] * length / abs(dx), accelerations[1] * length / abs(dy))


@compiled
def _allowed(
    moves: FloatArray,
    count: int,
    path_tolerance: float,
    inscribed: bool,
    accelerations: FloatArray,
    squares: FloatArray,
) -> None:
    """Fill ``squares`` with the square of the speed that limits and corners allow at each point;
    both ends are at rest.
    """
    squares[0] = squares[count] = 0.0
    before = -1  # the last move that has a length
    for i in range(count):
        if i:
            squares[i] = np.inf
        if moves[i, 0] == 0.0:
            continue
        if before >= 0:
            speed = corner_speed(
                moves[before, 1],
                moves[before, 2],
                moves[i, 1],
                moves[i, 2],
                min(moves[before, 0], moves[i, 0]),
                path_tolerance,
                inscribed,
                accelerations,
            )
            squares[i] = min(speed, moves[before, 3], moves[i, 3]) ** 2
        before = i


@compiled
def _gain(moves: FloatArray, i: int) -> float:
    """By how much the square of the speed can change within a move."""
    return 2.0 * moves[i, 4] * moves[i, 0] if moves[i, 0] > 0.0 else 0.0


@compiled
def _within_queue(moves: FloatArray, count: int, known: int, squares: FloatArray) -> None:
    """Where a move begins the controller must be able to stop within it and the next ones,
    ``known`` moves in all.
    """
    total = 0.0
    endless = 0
    for i in range(count - 1, -1, -1):
        gain = _gain(moves, i)
        if gain == np.inf:
            endless += 1
        else:
            total += gain
        if i + known < count:
            gone = _gain(moves, i + known)
            if gone == np.inf:
                endless -= 1
            else:
                total -= gone
            if endless == 0:
                squares[i] = min(squares[i], max(total, 0.0))


@compiled_above(1_500)
def run_times(
    points: IntArray,
    offsets: IntArray,
    unit: float,
    feeds: FloatArray,
    rates: FloatArray,
    accelerations: FloatArray,
    path_tolerance: float,
    inscribed: bool,
    look_ahead: int,
) -> tuple[FloatArray, FloatArray]:
    """Seconds of the move to each point (0 for the first of a run) and speed at each point; each
    run from rest to rest.
    """
    seconds = np.zeros(len(points), np.float64)
    speeds = np.zeros(len(points), np.float64)
    longest = 1
    for run in range(len(offsets) - 1):
        longest = max(longest, offsets[run + 1] - offsets[run])
    moves = np.empty((longest, 5), np.float64)
    squares = np.empty(longest + 1, np.float64)
    for run in range(len(offsets) - 1):
        low = offsets[run]
        high = offsets[run + 1]
        count = high - low - 1
        if count < 1:
            continue
        _straights(points[low:high], unit, feeds[run], rates, accelerations, moves)
        _allowed(moves, count, path_tolerance, inscribed, accelerations, squares)
        # While a move is made, the controller knows it and the next ones, ``look_ahead`` in all:
        # its end
        # must leave room to stop.
        _within_queue(moves, count, look_ahead - 1, squares)
        for i in range(count - 1, 0, -1):
            squares[i] = min(squares[i], squares[i + 1] + _gain(moves, i))
        for i in range(count):
            squares[i + 1] = min(squares[i + 1], squares[i] + _gain(moves, i))
            speeds[low + i + 1] = np.sqrt(squares[i + 1])
            seconds[low + i + 1] = trapezoid(
                moves[i, 0], moves[i, 3], moves[i, 4], speeds[low + i], speeds[low + i + 1]
            )
    return seconds, speeds


@compiled_above(1_500)
def waits(
    seconds: FloatArray, sending: FloatArray, offsets: IntArray, look_ahead: int
) -> FloatArray:
    """How long the pen waits at each point for the line that takes it on (0 at first points, and
    where the link keeps up).

    A run begins with a full queue (its lines come while the pen settles); a line is sent when the
    one before is, and there is room.
    """
    wait = np.zeros(len(seconds), np.float64)
    done = np.zeros(look_ahead, np.float64)  # when each of the last moves ended
    for run in range(len(offsets) - 1):
        low = offsets[run]
        high = offsets[run + 1]
        arrived = now = 0.0
        for i in range(high - low - 1):
            if i >= look_ahead:
                arrived = max(arrived, done[i % look_ahead]) + sending[low + i + 1]
            if arrived > now:
                wait[low + i] = arrived - now
                now = arrived
            now += seconds[low + i + 1]
            done[i % look_ahead] = now
    return wait


@compiled_above(3_000)
def stretches(wait: FloatArray, offsets: IntArray, look_ahead: int) -> IntArray:
    """Stretches (first, last) of points between which the pen keeps waiting, with no more than
    ``look_ahead`` quiet moves in a row.
    """
    found = np.empty((len(wait), 2), np.int64)
    count = 0
    for run in range(len(offsets) - 1):
        last = -1
        for i in range(offsets[run], offsets[run + 1]):
            if wait[i] == 0.0:
                continue
            if last < 0 or i - last > look_ahead:
                found[count, 0] = i
                count += 1
            last = i
            found[count - 1, 1] = i + 1
    return found[:count]


@compiled_above(1_000)
def significance(points: FloatArray) -> FloatArray:
    """The tolerance up to which the Douglas-Peucker simplification of a line keeps each point
    (infinite for both ends).
    """
    value = np.zeros(len(points), np.float64)
    value[0] = value[-1] = np.inf
    stack = np.empty((len(points), 2), np.int64)
    stack[0, 0] = 0
    stack[0, 1] = len(points) - 1
    depth = 1
    while depth:
        depth -= 1
        low = stack[depth, 0]
        high = stack[depth, 1]
        if high - low < 2:
            continue
        dx = points[high, 0] - points[low, 0]
        dy = points[high, 1] - points[low, 1]
        span = dx * dx + dy * dy
        far = -1.0
        where = low
        for i in range(low + 1, high):
            px = points[i, 0] - points[low, 0]
            py = points[i, 1] - points[low, 1]
            along = min(max((px * dx + py * dy) / span, 0.0), 1.0) if span > 0.0 else 0.0
            away = (px - along * dx) ** 2 + (py - along * dy) ** 2
            if away > far:
                far = away
                where = i
        value[where] = min(np.sqrt(far), value[low], value[high])
        stack[depth, 0] = low
        stack[depth, 1] = where
        stack[depth + 1, 0] = where
        stack[depth + 1, 1] = high
        depth += 2
    return value


@compiled
def mending(
    line: IntArray,
    unit: float,
    feed: float,
    rates: FloatArray,
    accelerations: FloatArray,
    path_tolerance: float,
    inscribed: bool,
    look_ahead: int,
    sending: float,
) -> float:
    """The least simplification after which the link, with ``sending`` seconds a line, keeps up with
    a stretch.
    """
    value = significance(unit * line.astype(np.float64))
    ranked = np.sort(value[1:-1])[::-1]
    # so many points between the ends can be kept, so many can not
    low = 0
    high = len(ranked)
    feeds = np.full(1, feed)
    while high - low > 1:
        middle = (low + high) // 2
        simple = line[value > ranked[middle]]
        ends = np.array([0, len(simple)])
        seconds, _ = run_times(
            simple, ends, unit, feeds, rates, accelerations, path_tolerance, inscribed, look_ahead
        )
        if waits(seconds, np.full(len(simple), sending), ends, look_ahead).sum() > 0.0:
            high = middle
        else:
            low = middle
    return ranked[low] if len(ranked) else 0.0
