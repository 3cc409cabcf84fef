"""Local search on a closed tour of strokes: 2-opt, or-opt and their three-link kin, with kicks that
are local in space.

The search of Lin and Kernighan (Operations Research 21, 1973) with three links at most: 2-opt
(Croes, Operations Research 6, 1958), or-opt (Or, 1976) and the rest of sequential 3-opt (Lin, Bell
System Technical Journal 44, 1965), on lists of near ends with a queue of ends in the place of
don't-look bits (Bentley, ORSA Journal on Computing 4, 1992). Kicks exchange two runs of the tour
that lie near each other: a double bridge (Martin, Otto and Felten, Complex Systems 5, 1991) kept
local. Acceptance is simulated annealing (Kirkpatrick, Gelatt and Vecchi, Science 220, 1983).

A move takes links away one after the other, each time tying the end that became free to an end near
it, as long as what was taken is dearer than what was tied; most tries fail, so a try reads as
little as it can: the lists, the links, and one place.

Between moves the tour is one closed tour, ``place``, ``mates`` and ``costs`` say what ``seq`` says;
between kicks NOW is the sum of the costs, to rounding. What each array means stands with
``tour_kernel.Tour``. Tested by ``tests/planning/ordering/test_reconnections.py`` (every move on
every small tour, against plain lists of links), ``test_search.py`` (what is kept beside the order,
after long searches) and, as a whole, ``test_order.py`` (all orders of a few strokes) and
``test_seats.py`` (an annealing of closed runs).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.compiled import compiled
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.bare_kernel import (
    put_real,
    put_small,
    put_whole,
    real_at,
    small_at,
    whole_at,
)
from plotlib.planning.ordering.tour_kernel import (
    BEST,
    COOL,
    HEAD,
    HOT,
    KICK,
    KICKS,
    LEAST,
    NOW,
    QUEUED,
    RANDOM,
    Tour,
    begin,
    cut,
    end_before,
    link,
    seat,
    seat_cost,
    swap_runs,
    tie,
    turn,
    undo,
)

ALL = 1 << 62  # ends: a kick's search goes on until the queue is empty, or undoing would be wrong


@compiled
def _apart(t: Tour, t1: int, t3: int) -> bool:
    """Whether one of two ends is entered and the other left."""
    return bool((small_at(t.place, t1 >> 1) ^ t1 ^ small_at(t.place, t3 >> 1) ^ t3) & 1)


@compiled
def _way(t: Tour, t1: int, t2: int, t3: int, t4: int, t5: int) -> int:
    """Which of three ways to tie t2-t3, t4-t5 and t6-t1 gives one tour again; 0 where none does.

    Links t1-t2, t3-t4 and t5-t6 are cut. Seen in the direction in which t1 is left and t2 entered
    the cuts part the tour into three runs; a bar marks a cut, ``[..]'`` a run turned round:

    === ============= ========================== ================================== ==============
    way t3            t5                         the tour before, from t2 on        and after
    === ============= ========================== ================================== ==============
    1   is entered    outside t2..t4, is entered t2[A]t4 | t3[B]t6 | t5[C]t1        [A] [C] [B]'
    1   is entered    in t2..t4, is left         t2[A]t5 | t6[B]t4 | t3[C]t1        [A] [B]' [C]'
    2   is left       in t2..t3, is entered      t2[A]t6 | t5[B]t3 | t4[C]t1        [A]' [B]' [C]
    3   is left       in t2..t3, is left         t2[A]t5 | t6[B]t3 | t4[C]t1        [B] [A] [C]
    0   is entered    outside and left, or within and entered: two rings
    0   is left       outside t2..t3: t2-t3 closes a ring that no other link opens
    === ============= ========================== ================================== ==============

    In the first row the tour after is read from t2 on too: A to t4, t5 C t1, t6 B backwards, t3. In
    the other direction (t1 is entered) the same holds with "entered" and "left" exchanged and the
    run walked from its other end, which is why ``first`` and ``last`` change places. Way 3 with a
    short run is or-opt.
    """
    there3 = small_at(t.place, t3 >> 1)
    there5 = small_at(t.place, t5 >> 1)
    kind1 = (small_at(t.place, t1 >> 1) ^ t1) & 1
    apart = (there3 ^ t3) & 1 != kind1
    first = small_at(t.place, t2 >> 1) >> 1
    last = small_at(t.place, t4 >> 1) >> 1 if apart else there3 >> 1
    if kind1 == 0:
        first, last = last, first
    span = last - first
    if span < 0:
        span += t.n
    within = (there5 >> 1) - first
    if within < 0:
        within += t.n
    unlike = (there5 ^ t5) & 1 != kind1
    if apart:
        return 1 if unlike != (within <= span) else 0
    if within > span:
        return 0
    return 2 if unlike else 3


@compiled
def _turn_three(t: Tour, way: int, t1: int, t2: int, t3: int, t4: int, t5: int, t6: int) -> None:
    """Turn two or three ranges, so that links t1-t2, t3-t4 and t5-t6 give way to t2-t3, t4-t5 and
    t6-t1: each turn is a 2-opt move on links that the one before left or made.

    === ==================================================================================
    way links that give way to others, turn by turn
    === ==================================================================================
    1   t1-t2, t3-t4 to t2-t3, t4-t1; then t1-t4, t5-t6 to t4-t5, t6-t1
    2   t1-t2, t5-t6 to t2-t5, t6-t1; then t5-t2, t3-t4 to t2-t3, t4-t5
    3   t1-t2, t4-t3 to t2-t4, t3-t1; t1-t3, t5-t6 to t3-t5, t6-t1; t5-t3, t2-t4 to t3-t2, t4-t5
    === ==================================================================================
    """
    if way == 1:
        turn(t, t1, t2, t3, t4)
        turn(t, t1, t4, t5, t6)
    elif way == 2:
        turn(t, t1, t2, t5, t6)
        turn(t, t5, t2, t3, t4)
    else:
        turn(t, t1, t2, t4, t3)
        turn(t, t1, t3, t5, t6)
        turn(t, t5, t3, t2, t4)


@compiled
def _loss(m: Metric, t: Tour, e: int, row: int) -> float:
    """What the link of end e costs more when its run is seated at a row."""
    return float(seat_cost(m, t, row, small_at(t.mates, e)) - real_at(t.costs, e))


@compiled
def _reseat(m: Metric, t: Tour, e: int, row: int) -> None:
    """Seat the run of end e at a row; the link of e stays."""
    f = small_at(t.mates, e)
    cut(t, e)
    seat(t, e >> 1, row)
    tie(t, e, f, seat_cost(m, t, row, f))


@compiled
def _best_seat(m: Metric, t: Tour, s: int, least: float) -> float:
    """Seat a closed run at the best of its vertices for its two links; returns what that saves."""
    e = 2 * s
    u = small_at(t.mates, e)
    v = small_at(t.mates, e + 1)
    stands = real_at(t.costs, e) + real_at(t.costs, e + 1)
    best = stands - least
    found = -1
    low = small_at(t.span, e)
    for row in range(low, low + small_at(t.span, e + 1)):
        cost = seat_cost(m, t, row, u)
        if cost < best:
            cost += seat_cost(m, t, row, v)
            if cost < best:
                best = cost
                found = row
    if found < 0:
        return 0.0
    cut(t, e)
    cut(t, e + 1)
    seat(t, s, found)
    tie(t, e, u, seat_cost(m, t, found, u))
    tie(t, e + 1, v, seat_cost(m, t, found, v))
    return float(stands - real_at(t.costs, e) - real_at(t.costs, e + 1))


class Open(NamedTuple):
    """A move that took the links t1-t2 and t3-t4 and tied t2-t3."""

    t1: int
    t2: int
    t3: int
    t4: int
    d23: float  # what the link t2-t3 costs
    seat3: int  # the row at which the closed run of t3 is seated for it, -1 where it stays


@compiled
def _close_two(m: Metric, t: Tour, move: Open, d41: float) -> None:
    """Tie t4-t1: a 2-opt move."""
    turn(t, move.t1, move.t2, move.t3, move.t4)
    cut(t, move.t1)
    cut(t, move.t3)
    if move.seat3 >= 0:
        _reseat(m, t, move.t3 ^ 1, move.seat3)
    tie(t, move.t2, move.t3, move.d23)
    tie(t, move.t4, move.t1, d41)


@compiled
def _close_three(
    m: Metric, t: Tour, move: Open, way: int, t5: int, d45: float, d61: float, seat5: int
) -> None:
    """Take the link of t5 and tie t4-t5 and t6-t1, in one of the ways of ``_way``."""
    t6 = small_at(t.mates, t5)
    _turn_three(t, way, move.t1, move.t2, move.t3, move.t4, t5, t6)
    cut(t, move.t1)
    cut(t, move.t3)
    cut(t, t5)
    if move.seat3 >= 0:
        if t6 == move.t3 ^ 1:
            seat(t, move.t3 >> 1, move.seat3)
        else:
            _reseat(m, t, move.t3 ^ 1, move.seat3)
    if seat5 >= 0:
        _reseat(m, t, t5 ^ 1, seat5)
    tie(t, move.t2, move.t3, move.d23)
    tie(t, move.t4, t5, d45)
    tie(t, t6, move.t1, d61)


@compiled
def _improve(m: Metric, t: Tour, t1: int, least: float) -> float:
    """Make the first improving move that removes the link of end ``t1``; returns what it saves, 0
    when there is none.

    One body for both loops: with the inner one as a function of its own, searches took 8 to 80 %
    longer (order of 300 to 1,000 strokes, kernels warm), since the tour's addresses are handed over
    anew for each try.
    """
    t2 = small_at(t.mates, t1)
    d12 = real_at(t.costs, t1)
    row2 = small_at(t.row, t2) * t.width
    for at3 in range(row2, row2 + t.width):
        d23 = real_at(t.far, at3)
        g1 = d12 - d23
        t3 = small_at(t.near, at3)
        if t3 < 0 or g1 <= least:  # lists are in order of cost: all that follow are dearer
            break
        if t3 == t1 or (t3 ^ t2) <= 1:
            continue
        t4 = small_at(t.mates, t3)
        g2 = g1 + real_at(t.costs, t3)
        d41 = link(m, t.xy, t4, t1)
        seat3 = -1
        loss3 = 0.0
        if t.rings and small_at(t.port, at3) != small_at(t.row, t3):
            if t3 ^ 1 == t1:
                continue
            seat3 = small_at(t.port, at3)
            loss3 = _loss(m, t, t3 ^ 1, seat3)
        if g2 - d41 - loss3 > least and _apart(t, t1, t3):
            _close_two(m, t, Open(t1, t2, t3, t4, d23, seat3), d41)
            return float(g2 - d41 - loss3)
        row4 = small_at(t.row, t4) * t.width
        for at5 in range(row4, row4 + t.deep):
            d45 = real_at(t.far, at5)
            g3 = g2 - d45
            t5 = small_at(t.near, at5)
            if t5 < 0 or g3 <= least:
                break
            t6 = small_at(t.mates, t5)
            d61 = link(m, t.xy, t6, t1)
            seat5 = -1
            loss = loss3
            if t.rings:
                if seat3 >= 0 and t5 == t3 ^ 1:
                    continue
                if seat3 >= 0 and t6 == t3 ^ 1:  # both links of a closed run are new
                    d61 = seat_cost(m, t, seat3, t1)
                    loss = 0.0
                if small_at(t.port, at5) != small_at(t.row, t5):
                    # a run whose other end moves too would have to sit at two places
                    other = t5 ^ 1
                    if other == t1 or other == t2 or other == t3 or other == t4:  # noqa: SIM109
                        continue
                    if seat3 >= 0 and small_at(t.mates, other) == t3 ^ 1:
                        continue
                    seat5 = small_at(t.port, at5)
                    loss += _loss(m, t, other, seat5)
            gain = g3 + real_at(t.costs, t5) - d61 - loss
            if gain <= least or t5 == t1 or t5 == t2 or t5 == t3 or t5 == t4:  # noqa: SIM109
                continue
            way = _way(t, t1, t2, t3, t4, t5)
            if way == 0:
                continue
            move = Open(t1, t2, t3, t4, d23, seat3)
            _close_three(m, t, move, way, t5, d45, d61, seat5)
            return float(gain)
    return 0.0


@compiled
def settle(m: Metric, t: Tour, ends: int) -> float:
    """Improve until no end in the queue has an improving move, or so many were taken from it;
    returns what was saved.
    """
    saved = 0.0
    least = real_at(t.real, LEAST)
    while whole_at(t.whole, QUEUED) > 0 and ends > 0:
        ends -= 1
        head = whole_at(t.whole, HEAD)
        e = small_at(t.queue, head)
        put_whole(t.whole, HEAD, head + 1 if head + 1 < 2 * t.n else 0)
        put_whole(t.whole, QUEUED, whole_at(t.whole, QUEUED) - 1)
        put_small(t.waiting, e, 0)
        if t.rings and small_at(t.span, e | 1) > 0:
            saved += _best_seat(m, t, e >> 1, least)
        gain = 1.0
        while gain > 0.0:
            gain = _improve(m, t, e, least)
            saved += gain
    return saved


@compiled
def _draw(t: Tour, below: int) -> int:
    """A whole number from 0 to below - 1 (xorshift, Marsaglia 2003)."""
    state = np.uint64(whole_at(t.whole, RANDOM))
    state ^= state << np.uint64(13)
    state ^= state >> np.uint64(7)
    state ^= state << np.uint64(17)
    put_whole(t.whole, RANDOM, np.int64(state))
    return int(np.int64(state >> np.uint64(33)) % below)


@compiled
def _minus_log(t: Tour) -> float:
    """-ln(u) of an even random number u in (0, 1), from sums and quotients only, so that it is the
    same on every machine.
    """
    u = (_draw(t, 1 << 30) + 0.5) / (1 << 30)
    halvings = 0
    while u < 0.7071067811865476:
        u *= 2.0
        halvings += 1
    z = (1.0 - u) / (1.0 + u)
    z2 = z * z
    series = 2.0 * z * (1.0 + z2 * (1.0 / 3 + z2 * (1.0 / 5 + z2 * (1.0 / 7 + z2 * (1.0 / 9)))))
    return series + halvings * 0.6931471805599453


@compiled
def _mend(m: Metric, t: Tour, at: int) -> float:
    """Tie the ends that meet at a position; returns what that costs."""
    e = end_before(t, at)
    f = small_at(t.seq, at)
    cost = link(m, t.xy, e, f)
    tie(t, e, f, cost)
    return cost


@compiled
def _kick(m: Metric, t: Tour) -> float:
    """Swap two equally long runs of two strands that lie near each other; returns the added cost,
    nan where none were found.
    """
    longest = max(1, min(t.longest, t.n // 3))
    for _ in range(12):
        e = _draw(t, 2 * t.n)
        f = e
        for _ in range(1 + _draw(t, 2)):
            g = small_at(t.near, small_at(t.row, f) * t.width + _draw(t, t.width))
            if g >= 0:
                f = g
        count = 1 + _draw(t, longest)
        p = small_at(t.place, e >> 1) >> 1
        q = small_at(t.place, f >> 1) >> 1
        between = q - p if q >= p else q - p + t.n
        if between < count or t.n - between < count:
            continue
        p_end = p + count if p + count < t.n else p + count - t.n
        q_end = q + count if q + count < t.n else q + count - t.n
        before = cut(t, small_at(t.seq, p)) + cut(t, small_at(t.seq, p_end))
        if q != p_end:
            before += cut(t, small_at(t.seq, q))
        if q_end != p:
            before += cut(t, small_at(t.seq, q_end))
        swap_runs(t, p, q, count)
        after = _mend(m, t, p) + _mend(m, t, p_end)
        if q != p_end:
            after += _mend(m, t, q)
        if q_end != p:
            after += _mend(m, t, q_end)
        return after - before
    return np.nan


@compiled
def anneal(m: Metric, t: Tour, until: int) -> None:
    """Kick, settle, keep or undo, from kick number KICK up to ``until`` of KICKS.

    A loss is borne with a chance that falls with it and with the warmth, which goes from HOT to
    COOL, linearly with the kicks done. ``best`` holds the best tour seen, BEST its cost.
    """
    kicks = whole_at(t.whole, KICKS)
    hot = real_at(t.real, HOT)
    slope = (real_at(t.real, COOL) - hot) / kicks
    for kick in range(whole_at(t.whole, KICK), until):
        warmth = hot + slope * kick
        begin(t)
        loss = _kick(m, t)
        if np.isnan(loss):
            continue
        loss -= settle(m, t, ALL)
        if loss > 0.0 and loss > warmth * _minus_log(t) and undo(t):
            continue
        now = real_at(t.real, NOW) + loss
        put_real(t.real, NOW, now)
        if now < real_at(t.real, BEST):
            put_real(t.real, BEST, now)
            for k in range(t.n):
                put_small(t.best, k, small_at(t.seq, k))
            if t.rings:
                for s in range(t.n):
                    put_small(t.best_row, s, small_at(t.row, 2 * s))
    put_whole(t.whole, KICK, until)
