"""A closed tour of strokes that a search changes: its arrays, its moves, and the journal that
undoes them.

The array representation of a tour, in which a turn reverses the shorter side (Bentley, ORSA Journal
on Computing 4, 1992; Fredman, Johnson, McGeoch and Ostheimer, Journal of Algorithms 18, 1995).
Between moves ``place`` is the inverse of ``seq``, every end has one link, and the journal leads
back to where ``begin`` stood. Tested by ``tests/planning/ordering/test_search.py`` and
``test_reconnections.py``.

Stroke s has the ends 2s and 2s + 1; ``seq[k]`` is the end at which the k-th stroke is entered, it
is left at ``seq[k] ^ 1``, and ``place[s] = 2 * position + (entry end & 1)``. Pen-up links pair the
ends: ``mates[e]`` is where the link of end e leads, ``costs[e]`` what it costs. Every move turns
round some position ranges, each on the shorter side of the cycle, which leaves the links inside as
they are, then cuts a few links and ties others.

An end with x = nan is free: its link costs nothing. ``near[row[e]]`` lists the ends near end e,
nearest first, -1 after the last.

A closed run has both ends at one of its vertices and may be seated at another. Then every row is a
vertex (or the place of another end), ``row[e]`` tells where end e sits, and ``port`` beside
``near`` where the listed end would sit; for a run that cannot be seated anew that is where it is.
"""

from __future__ import annotations

from typing import NamedTuple

from plotlib.compiled import compiled
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.bare_kernel import (
    put_real,
    put_small,
    put_whole,
    real_at,
    small_at,
    whole_at,
)

# Slots of ``Tour.whole``, the whole numbers that a search changes. They are numbers at an address
# and not fields of a tuple, since kernels set them (see bare_kernel).
HEAD = 0  # position in ``queue`` of the end that is taken next
QUEUED = 1  # ends that wait in ``queue``
TURNED = 2  # ranges noted in ``turned`` since ``begin``; above JOURNAL: more than can be undone
CUT = 3  # links noted in ``cut`` and ``cut_costs``, likewise
KICK = 4  # number of the next kick, from 0 on
KICKS = 5  # kicks of the whole annealing: the warmth falls with KICK / KICKS
RANDOM = 6  # state of the random numbers, any but 0
SEATED = 7  # closed runs noted in ``seated``, likewise
# Slots of ``Tour.real``, all in the unit of the metric (s or mm).
NOW = 0  # cost of the tour as it stands
BEST = 1  # cost of the tour in ``best``
LEAST = 2  # what a move must save at least: rounding must not look like a gain
HOT = 3  # warmth at kick 0, the mean loss that is borne
COOL = 4  # warmth after the last kick
# Ranges turned, links cut and runs seated that can be undone. A kick whose search uses more is
# kept as it is. The first descent sets the counts to JOURNAL: it is not noted.
JOURNAL = 10_000


class Tour(NamedTuple):
    """Sizes, and addresses of the arrays of one search (their kinds in brackets)."""

    n: int  # strokes
    width: int  # of the lists
    deep: int  # entries of a list tried for the third link
    longest: int  # strokes in a run that a kick swaps
    rings: int  # 1 where some run can be seated anew: the last five are read only then
    xy: int  # ends, (2n, 2) float64
    row: int  # (2n,) int32
    near: int  # (rows, width) int32
    far: int  # costs of the links to near ends, (rows, width) float64
    seq: int  # (n,) int32
    place: int  # (n,) int32
    mates: int  # (2n,) int32
    costs: int  # (2n,) float64
    best: int  # (n,) int32
    queue: int  # (2n,) int32
    waiting: int  # (2n,) int32
    turned: int  # (3 * JOURNAL,) int32
    cut: int  # (2 * JOURNAL,) int32
    cut_costs: int  # (JOURNAL,) float64
    whole: int  # (8,) int64
    real: int  # (5,) float64
    places: int  # of the rows, (rows, 2) float64
    port: int  # (rows, width) int32
    span: int  # first row of each run and how many it has, 0 where its place is fixed, (n, 2) int32
    best_row: int  # of each run, (n,) int32
    seated: int  # (2 * JOURNAL,) int32


@compiled
def link(m: Metric, xy: int, e: int, f: int) -> float:
    """Cost of the pen-up link between two ends; nothing where one of them is free."""
    cost = move_cost(
        m, real_at(xy, 2 * e) - real_at(xy, 2 * f), real_at(xy, 2 * e + 1) - real_at(xy, 2 * f + 1)
    )
    return cost if cost == cost else 0.0


@compiled
def _tie(t: Tour, e: int, f: int, cost: float) -> None:
    """Let a link join two ends."""
    put_small(t.mates, e, f)
    put_small(t.mates, f, e)
    put_real(t.costs, e, cost)
    put_real(t.costs, f, cost)


@compiled
def tie(t: Tour, e: int, f: int, cost: float) -> None:
    """Let a new link join two ends, and queue both."""
    _tie(t, e, f, cost)
    push(t, e)
    push(t, f)


@compiled
def cut(t: Tour, e: int) -> float:
    """Note the link of an end in the journal, since another will take its place; returns its
    cost.
    """
    cost = real_at(t.costs, e)
    at = whole_at(t.whole, CUT)
    if at < JOURNAL:
        put_small(t.cut, 2 * at, e)
        put_small(t.cut, 2 * at + 1, small_at(t.mates, e))
        put_real(t.cut_costs, at, cost)
    put_whole(t.whole, CUT, at + 1)
    return float(cost)


@compiled
def seat_cost(m: Metric, t: Tour, row: int, e: int) -> float:
    """Cost of the link between the place of a row and an end; nothing where the end is free."""
    dx = real_at(t.places, 2 * row) - real_at(t.xy, 2 * e)
    cost = move_cost(m, dx, real_at(t.places, 2 * row + 1) - real_at(t.xy, 2 * e + 1))
    return cost if cost == cost else 0.0


@compiled
def _seat(t: Tour, s: int, row: int) -> None:
    """Put both ends of a closed run at the place of a row."""
    x = real_at(t.places, 2 * row)
    y = real_at(t.places, 2 * row + 1)
    for e in range(2 * s, 2 * s + 2):
        put_small(t.row, e, row)
        put_real(t.xy, 2 * e, x)
        put_real(t.xy, 2 * e + 1, y)


@compiled
def seat(t: Tour, s: int, row: int) -> None:
    """Seat a closed run anew; its links are the caller's to cut and tie."""
    at = whole_at(t.whole, SEATED)
    if at < JOURNAL:
        put_small(t.seated, 2 * at, s)
        put_small(t.seated, 2 * at + 1, small_at(t.row, 2 * s))
    put_whole(t.whole, SEATED, at + 1)
    _seat(t, s, row)


@compiled
def end_before(t: Tour, at: int) -> int:
    """The end at which the stroke before a position is left."""
    return int(small_at(t.seq, (at if at > 0 else t.n) - 1) ^ 1)


@compiled
def tour_cost(m: Metric, t: Tour) -> float:
    """Tie all links of the closed tour; returns what they cost."""
    total = 0.0
    for k in range(t.n):
        e = end_before(t, k)
        f = small_at(t.seq, k)
        cost = link(m, t.xy, e, f)
        _tie(t, e, f, cost)
        total += cost
    return total


@compiled
def push(t: Tour, e: int) -> None:
    """Queue an end, unless it waits there already."""
    if small_at(t.waiting, e) == 0:
        put_small(t.waiting, e, 1)
        queued = whole_at(t.whole, QUEUED)
        at = whole_at(t.whole, HEAD) + queued
        put_small(t.queue, at if at < 2 * t.n else at - 2 * t.n, e)
        put_whole(t.whole, QUEUED, queued + 1)


@compiled
def _reverse(t: Tour, i: int, count: int) -> None:
    """Reverse ``count`` strokes from position i on, cyclically, and the direction of each."""
    j = i + count - 1
    if j >= t.n:
        j -= t.n
    for _ in range(count >> 1):
        a = small_at(t.seq, i) ^ 1
        b = small_at(t.seq, j) ^ 1
        put_small(t.seq, i, b)
        put_small(t.seq, j, a)
        put_small(t.place, b >> 1, (i << 1) | (b & 1))
        put_small(t.place, a >> 1, (j << 1) | (a & 1))
        i += 1
        if i == t.n:
            i = 0
        j -= 1
        if j < 0:
            j = t.n - 1
    if count & 1:
        a = small_at(t.seq, i) ^ 1
        put_small(t.seq, i, a)
        put_small(t.place, a >> 1, (i << 1) | (a & 1))


@compiled
def _swap(t: Tour, p: int, q: int, count: int) -> None:
    """Exchange ``count`` strokes from position p on with those from position q on."""
    for _ in range(count):
        a = small_at(t.seq, p)
        b = small_at(t.seq, q)
        put_small(t.seq, p, b)
        put_small(t.seq, q, a)
        put_small(t.place, b >> 1, (p << 1) | (b & 1))
        put_small(t.place, a >> 1, (q << 1) | (a & 1))
        p += 1
        if p == t.n:
            p = 0
        q += 1
        if q == t.n:
            q = 0


@compiled
def _note(t: Tour, p: int, q: int, count: int) -> None:
    at = whole_at(t.whole, TURNED)
    if at < JOURNAL:
        put_small(t.turned, 3 * at, p)
        put_small(t.turned, 3 * at + 1, q)
        put_small(t.turned, 3 * at + 2, count)
    put_whole(t.whole, TURNED, at + 1)


@compiled
def swap_runs(t: Tour, p: int, q: int, count: int) -> None:
    """Exchange two runs of ``count`` strokes; the links at their ends are the caller's to cut and
    tie.
    """
    _swap(t, p, q, count)
    _note(t, p, q, count)


@compiled
def turn(t: Tour, a: int, b: int, c: int, d: int) -> None:
    """Turn a range round, so that links a-b and c-d give way to b-c and d-a; a and c must be of
    different kinds (an entry, an exit).

    Only places change: the links are the caller's to cut and tie.
    """
    there = small_at(t.place, a >> 1)
    if (there ^ a) & 1:  # a is an exit: the strokes from b to d turn round
        i = small_at(t.place, b >> 1) >> 1
        j = small_at(t.place, d >> 1) >> 1
    else:
        i = there >> 1
        j = small_at(t.place, c >> 1) >> 1
    count = j - i + 1
    if count <= 0:
        count += t.n
    if 2 * count > t.n:
        i = j + 1
        if i >= t.n:
            i -= t.n
        count = t.n - count
    _reverse(t, i, count)
    _note(t, i, -1, count)


@compiled
def begin(t: Tour) -> None:
    """Empty the journal: what is done from here on can be undone."""
    put_whole(t.whole, TURNED, 0)
    put_whole(t.whole, CUT, 0)
    put_whole(t.whole, SEATED, 0)


@compiled
def undo(t: Tour) -> bool:
    """Take back what the journal holds, the last first; False, and nothing done, where it was too
    much for the journal.
    """
    turned = whole_at(t.whole, TURNED)
    links = whole_at(t.whole, CUT)
    seats = whole_at(t.whole, SEATED)
    if turned > JOURNAL or links > JOURNAL or seats > JOURNAL:
        return False
    for k in range(seats - 1, -1, -1):
        _seat(t, small_at(t.seated, 2 * k), small_at(t.seated, 2 * k + 1))
    for k in range(turned - 1, -1, -1):
        p = small_at(t.turned, 3 * k)
        q = small_at(t.turned, 3 * k + 1)
        count = small_at(t.turned, 3 * k + 2)
        if q < 0:
            _reverse(t, p, count)
        else:
            _swap(t, p, q, count)
    for k in range(links - 1, -1, -1):
        _tie(t, small_at(t.cut, 2 * k), small_at(t.cut, 2 * k + 1), real_at(t.cut_costs, k))
    return True
