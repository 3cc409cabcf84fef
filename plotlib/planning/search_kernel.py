"""Local search on a closed tour of strokes: 2-opt, or-opt and their three-link kin, with kicks that are local in space.

Stroke s has the ends 2s and 2s + 1; ``seq[k]`` is the end at which the k-th stroke is entered, it is left at ``seq[k] ^ 1``, and
``place[s] = 2 * position + (entry end & 1)``. Pen-up links pair the ends, so the mate of an end is known at once. Every move is a chain
of reversals of position ranges, each on the shorter side of the cycle; a journal of them undoes a kick that did not pay.

An end with x = nan is free: its link costs nothing. ``near[row[e]]`` lists the ends near end e, nearest first, -1 after the last.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.compiled import compiled
from plotlib.planning.bare_kernel import put_real, put_small, put_whole, real_at, small_at, whole_at
from plotlib.planning.metric import move_cost

# whole-number state
HEAD, QUEUED, WRITTEN, KICK, KICKS, MOVES, RANDOM = 0, 1, 2, 3, 4, 5, 6
# float state
NOW, BEST, LEAST, HOT, COOL = 0, 1, 2, 3, 4
JOURNAL = 10_000  # moves that can be undone

Metric = tuple[float, float, float, float, float]


class Tour(NamedTuple):
    """Sizes, and addresses of the arrays of one search (their kinds in brackets)."""

    n: int  # strokes
    width: int  # of the lists
    deep: int  # entries of a list tried for the third link
    longest: int  # strokes in a run that a kick swaps
    xy: int  # ends, (2n, 2) float64
    row: int  # (2n,) int32
    near: int  # (rows, width) int32
    far: int  # costs of the links to near ends, (rows, width) float64
    seq: int  # (n,) int32
    place: int  # (n,) int32
    best: int  # (n,) int32
    queue: int  # (2n,) int32
    waiting: int  # (2n,) int32
    journal: int  # (3 * JOURNAL,) int32
    whole: int  # (8,) int64
    real: int  # (5,) float64


@compiled
def link(m: Metric, xy: int, e: int, f: int) -> float:
    """Cost of the pen-up link between two ends; nothing where one of them is free."""
    cost = move_cost(m, real_at(xy, 2 * e) - real_at(xy, 2 * f), real_at(xy, 2 * e + 1) - real_at(xy, 2 * f + 1))
    return cost if cost == cost else 0.0


@compiled
def mate(t: Tour, e: int) -> int:
    """The end to which the pen-up link of ``e`` leads."""
    there = small_at(t.place, e >> 1)
    at = there >> 1
    if (there ^ e) & 1:
        at += 1
        return int(small_at(t.seq, at if at < t.n else 0))
    return int(small_at(t.seq, (at if at > 0 else t.n) - 1) ^ 1)


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
def _swap_runs(t: Tour, p: int, q: int, count: int) -> None:
    """Exchange ``count`` strokes from position p with those from position q."""
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
    at = whole_at(t.whole, WRITTEN)
    if at < JOURNAL:
        put_small(t.journal, 3 * at, p)
        put_small(t.journal, 3 * at + 1, q)
        put_small(t.journal, 3 * at + 2, count)
    put_whole(t.whole, WRITTEN, at + 1)


@compiled
def _reconnect(t: Tour, a: int, b: int, c: int, d: int) -> None:
    """Replace the links a-b and c-d by b-c and d-a; a and c must be of different kinds (one an entry, one an exit)."""
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
def push(t: Tour, e: int) -> None:
    """Queue an end, unless it waits there already."""
    if small_at(t.waiting, e) == 0:
        put_small(t.waiting, e, 1)
        queued = whole_at(t.whole, QUEUED)
        at = whole_at(t.whole, HEAD) + queued
        put_small(t.queue, at if at < 2 * t.n else at - 2 * t.n, e)
        put_whole(t.whole, QUEUED, queued + 1)


@compiled
def _apply(t: Tour, kind: int, t1: int, t2: int, t3: int, t4: int, t5: int, t6: int) -> None:
    """Make a move, as one to three reconnections of two links, and queue its ends."""
    if kind < 2:
        _reconnect(t, t1, t2, t3, t4)
        if kind == 1:
            _reconnect(t, t1, t4, t5, t6)
    elif kind == 2:
        _reconnect(t, t1, t2, t5, t6)
        _reconnect(t, t5, t2, t3, t4)
    else:
        _reconnect(t, t1, t2, t4, t3)
        _reconnect(t, t1, t3, t5, t6)
        _reconnect(t, t5, t3, t2, t4)
    push(t, t1)
    push(t, t2)
    push(t, t3)
    push(t, t4)
    if kind > 0:
        push(t, t5)
        push(t, t6)


@compiled
def _improve(m: Metric, t: Tour, t1: int, least: float) -> float:
    """Make the first improving move that removes the link of end ``t1``; returns what it saves, 0 when there is none."""
    t2 = mate(t, t1)
    d12 = link(m, t.xy, t1, t2)
    if d12 <= least:
        return 0.0
    there1 = small_at(t.place, t1 >> 1)
    kind1 = (there1 ^ t1) & 1
    p2 = small_at(t.place, t2 >> 1) >> 1
    row2 = small_at(t.row, t2) * t.width
    for at3 in range(row2, row2 + t.width):
        t3 = small_at(t.near, at3)
        g1 = d12 - real_at(t.far, at3)
        if t3 < 0 or g1 <= least:
            break
        if t3 == t1 or (t3 ^ t2) <= 1:
            continue
        t4 = mate(t, t3)
        g2 = g1 + link(m, t.xy, t3, t4)
        there3 = small_at(t.place, t3 >> 1)
        apart = (there3 ^ t3) & 1 != kind1
        if apart:
            gain = g2 - link(m, t.xy, t4, t1)
            if gain > least:
                _apply(t, 0, t1, t2, t3, t4, 0, 0)
                return float(gain)
            p_end = small_at(t.place, t4 >> 1) >> 1
        else:
            p_end = there3 >> 1
        low = p2 if kind1 == 1 else p_end
        span = p_end - p2 if kind1 == 1 else p2 - p_end
        if span < 0:
            span += t.n
        row4 = small_at(t.row, t4) * t.width
        for at5 in range(row4, row4 + t.deep):
            t5 = small_at(t.near, at5)
            g3 = g2 - real_at(t.far, at5)
            if t5 < 0 or g3 <= least:
                break
            there5 = small_at(t.place, t5 >> 1)
            inside = (there5 >> 1) - low
            if inside < 0:
                inside += t.n
            unlike = (there5 ^ t5) & 1 != kind1
            if inside > span if not apart else unlike == (inside <= span):
                continue
            if t5 == t1 or t5 == t2 or t5 == t3 or t5 == t4:  # noqa: SIM109
                continue
            t6 = mate(t, t5)
            gain = g3 + link(m, t.xy, t5, t6) - link(m, t.xy, t6, t1)
            if gain > least:
                _apply(t, 1 if apart else 2 if unlike else 3, t1, t2, t3, t4, t5, t6)
                return float(gain)
    return 0.0


@compiled
def settle(m: Metric, t: Tour) -> float:
    """Improve until no end in the queue has an improving move; returns what was saved."""
    saved = 0.0
    least = real_at(t.real, LEAST)
    while whole_at(t.whole, QUEUED) > 0:
        head = whole_at(t.whole, HEAD)
        e = small_at(t.queue, head)
        put_whole(t.whole, HEAD, head + 1 if head + 1 < 2 * t.n else 0)
        put_whole(t.whole, QUEUED, whole_at(t.whole, QUEUED) - 1)
        put_small(t.waiting, e, 0)
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
    """-ln(u) of an even random number u in (0, 1), from sums and quotients only, so that it is the same on every machine."""
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
def _cut_cost(m: Metric, t: Tour, at: int) -> float:
    """Cost of the link into position ``at``."""
    return link(m, t.xy, small_at(t.seq, (at if at > 0 else t.n) - 1) ^ 1, small_at(t.seq, at))


@compiled
def _push_cut(t: Tour, at: int) -> None:
    push(t, small_at(t.seq, (at if at > 0 else t.n) - 1) ^ 1)
    push(t, small_at(t.seq, at))


@compiled
def _cuts_cost(m: Metric, t: Tour, p: int, q: int, p_end: int, q_end: int) -> float:
    """Cost of the links at both ends of two runs, a link that they share counted once."""
    cost = _cut_cost(m, t, p) + _cut_cost(m, t, p_end)
    if q != p_end:
        cost += _cut_cost(m, t, q)
    if q_end != p:
        cost += _cut_cost(m, t, q_end)
    return cost


@compiled
def _kick(m: Metric, t: Tour) -> float:
    """Swap two equally long runs of two strands that lie near each other; returns the added cost, nan where none were found."""
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
        before = _cuts_cost(m, t, p, q, p_end, q_end)
        _swap_runs(t, p, q, count)
        _note(t, p, q, count)
        _push_cut(t, p)
        _push_cut(t, p_end)
        _push_cut(t, q)
        _push_cut(t, q_end)
        return _cuts_cost(m, t, p, q, p_end, q_end) - before
    return np.nan


@compiled
def _undo(t: Tour) -> None:
    for k in range(whole_at(t.whole, WRITTEN) - 1, -1, -1):
        p = small_at(t.journal, 3 * k)
        q = small_at(t.journal, 3 * k + 1)
        count = small_at(t.journal, 3 * k + 2)
        if q < 0:
            _reverse(t, p, count)
        else:
            _swap_runs(t, p, q, count)


@compiled
def anneal(m: Metric, t: Tour, until: int) -> None:
    """Kick, settle, keep or undo, from kick number KICK up to ``until`` of KICKS.

    A loss is borne with a chance that falls with it and with the warmth, which goes from HOT to COOL, linearly with the kicks done.
    ``best`` holds the best tour seen, BEST its cost.
    """
    kicks = whole_at(t.whole, KICKS)
    hot = real_at(t.real, HOT)
    slope = (real_at(t.real, COOL) - hot) / kicks
    for kick in range(whole_at(t.whole, KICK), until):
        warmth = hot + slope * kick
        put_whole(t.whole, WRITTEN, 0)
        loss = _kick(m, t)
        if np.isnan(loss):
            continue
        loss -= settle(m, t)
        if loss > 0.0 and whole_at(t.whole, WRITTEN) <= JOURNAL and loss > warmth * _minus_log(t):
            _undo(t)
            continue
        now = real_at(t.real, NOW) + loss
        put_real(t.real, NOW, now)
        if now < real_at(t.real, BEST):
            put_real(t.real, BEST, now)
            for k in range(t.n):
                put_small(t.best, k, small_at(t.seq, k))
    put_whole(t.whole, KICK, until)


@compiled
def tour_cost(m: Metric, t: Tour) -> float:
    """Cost of all links of the closed tour."""
    total = 0.0
    for k in range(t.n):
        total += _cut_cost(m, t, k)
    return total
