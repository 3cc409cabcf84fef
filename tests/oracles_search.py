"""The search on a tour as a slow and obvious version: links in a dictionary, a move is tried by
walking the tour that it would give.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable

import numpy as np

from plotlib.planning.metric import Metric
from plotlib.planning.ordering.lists import Lists
from tests.oracles_planning import move

Link = tuple[int, int]
Links = dict[int, int]
Seats = dict[int, int]  # by stroke, the row at which a closed run is entered


def links_of(seq: list[int]) -> Links:
    """For each end of a stroke the end that the pen-up link leads to."""
    links = {}
    for before, entry in zip(seq[-1:] + seq[:-1], seq, strict=True):
        links[before ^ 1] = entry
        links[entry] = before ^ 1
    return links


def reconnected(links: Links, *pairs: Link) -> Links:
    """The links after some gave way to others."""
    changed = dict(links)
    for one, two in pairs:
        changed[one] = two
        changed[two] = one
    return changed


def is_one_tour(links: Links) -> bool:
    """Whether who draws a stroke and follows the link at its end draws them all."""
    drawn = 0
    entry = 0
    while True:
        drawn += 1
        entry = links[entry ^ 1]
        if entry == 0:
            return 2 * drawn == len(links)


class Random:
    """The xorshift generator of 64 bits with the shifts 13, 7 and 17 (G. Marsaglia, Xorshift RNGs,
    Journal of Statistical Software 8, 2003; from memory), in whole numbers of any size.
    """

    def __init__(self, state: int) -> None:
        self.state = state % 2**64

    def below(self, most: int) -> int:
        self.state ^= self.state << 13 & 2**64 - 1
        self.state ^= self.state >> 7
        self.state ^= self.state << 17 & 2**64 - 1
        return (self.state >> 33) % most

    def minus_log(self) -> float:
        return -math.log((self.below(2**30) + 0.5) / 2**30)


class SlowSearch:
    """Where a search stands, and what it does next."""

    def __init__(self, metric: Metric, xy: np.ndarray, lists: Lists, seq: list[int]) -> None:
        self.metric = metric
        self.lists = lists
        self.rows = lists.row.tolist()
        self.places = xy.tolist()
        self.links = links_of(seq)
        self.width = lists.near.shape[1]
        self.deep = min(self.width, 10 if lists.twins else 5)
        self.longest = max(1, min(50 if lists.twins else 25, len(seq) // 3))
        self.queue: deque[int] = deque()
        self.least = 1e-9 * self.cost() / len(seq)

    def cost(self) -> float:
        return self.sum({pair(e, f) for e, f in self.links.items()}, {})

    def sum(self, links: Iterable[Link], seats: Seats) -> float:
        """What links cost if some closed runs are entered elsewhere."""
        total = 0.0
        for e, f in sorted(links):
            x, y = self.place(e, seats)
            u, v = self.place(f, seats)
            total += 0.0 if math.isnan(x - u) else move(self.metric, x - u, y - v)
        return total

    def place(self, e: int, seats: Seats) -> list[float]:
        if e >> 1 not in seats:
            return self.places[e]
        assert self.lists.seats is not None
        return self.lists.seats.places[seats[e >> 1]].tolist()

    def listed(self, e: int, most: int) -> list[tuple[float, int, int]]:
        """The ends near an end, with what the link costs and the row where they would sit."""
        row = self.rows[e]
        near = self.lists.near[row, :most].tolist()
        far = self.lists.far[row, :most].tolist()
        if self.lists.seats is None:
            port = [self.rows[f] for f in near]
        else:
            port = self.lists.seats.port[row, :most].tolist()
        return [(d, f, at) for d, f, at in zip(far, near, port, strict=True) if f >= 0]

    def gain(self, cut: list[Link], tied: list[Link], seats: Seats) -> float:
        """What a move saves."""
        gone = {pair(*link) for link in cut}
        moved = {pair(e, self.links[e]) for s in seats for e in (2 * s, 2 * s + 1)} | gone
        after = (moved - gone) | {pair(*link) for link in tied}
        return self.sum(moved, {}) - self.sum(after, seats)

    def push(self, *ends: int) -> None:
        self.queue.extend(e for e in dict.fromkeys(ends) if e not in self.queue)

    def sit(self, seats: Seats) -> None:
        for s, row in seats.items():
            for e in (2 * s, 2 * s + 1):
                self.places[e] = self.place(e, seats)
                self.rows[e] = row

    def taken(self, tied: list[Link], seats: Seats, renewed: list[int]) -> bool:
        """Make a move if it gives one tour; ends of what was reseated are queued first."""
        new = reconnected(self.links, *tied)
        if not is_one_tour(new):
            return False
        for e in renewed:
            self.push(e, self.links[e])
        self.sit(seats)
        self.links = new
        for link in tied:
            self.push(*link)
        return True

    def improve(self, t1: int) -> bool:
        """Make the first improving move that removes the link of an end."""
        t2 = self.links[t1]
        d12 = self.sum([(t1, t2)], {})
        for d23, t3, port in self.listed(t2, self.width):
            if d12 - d23 <= self.least:
                return False
            seats = {} if port == self.rows[t3] else {t3 >> 1: port}
            if t3 in (t1, t2, t2 ^ 1) or (seats and t3 ^ 1 == t1):
                continue
            t4 = self.links[t3]
            tied = [(t2, t3), (t4, t1)]
            gain = self.gain([(t1, t2), (t3, t4)], tied, seats)
            if gain > self.least and self.taken(tied, seats, [t3 ^ 1] if seats else []):
                return True
            if self.third(t1, t2, t3, t4, d12 - d23, seats):
                return True
        return False

    def third(self, t1: int, t2: int, t3: int, t4: int, open_gain: float, seats: Seats) -> bool:
        """Make the first improving move that takes a third link too."""
        for d45, t5, port in self.listed(t4, self.deep):
            if open_gain + self.sum([(t3, t4)], {}) - d45 <= self.least:
                return False
            t6 = self.links[t5]
            other = t5 ^ 1
            moved = port != self.rows[t5]
            if t5 in (t1, t2, t3, t4) or (seats and t5 == t3 ^ 1):
                continue
            if moved and (other in (t1, t2, t3, t4) or (seats and self.links[other] == t3 ^ 1)):
                continue
            both = seats | {t5 >> 1: port} if moved else seats
            tied = [(t2, t3), (t4, t5), (t6, t1)]
            gain = self.gain([(t1, t2), (t3, t4), (t5, t6)], tied, both)
            renewed = [t3 ^ 1] if seats and t6 != t3 ^ 1 else []
            renewed += [other] if moved else []
            if gain > self.least and self.taken(tied, both, renewed):
                return True
        return False

    def best_seat(self, s: int) -> None:
        """Enter a closed run where its two links are the shortest."""
        assert self.lists.seats is not None
        low, many = self.lists.seats.span[s].tolist()
        e = 2 * s
        links = [(e, self.links[e]), (e + 1, self.links[e + 1])]
        costs = [self.sum(links, {s: low + k}) for k in range(many)]
        if min(costs, default=math.inf) < self.sum(links, {}) - self.least:
            self.sit({s: low + costs.index(min(costs))})
            self.push(*links[0], *links[1])

    def settle_one(self) -> None:
        """Take an end from the queue and improve as long as it helps."""
        e = self.queue.popleft()
        if self.lists.seats is not None:
            self.best_seat(e >> 1)
        while self.improve(e):
            pass

    def kick(self, seq: list[int], random: Random) -> bool:
        """Swap two runs of a tour that lie near each other; False where none were found."""
        n = len(seq)
        position = {entry >> 1: k for k, entry in enumerate(seq)}
        for _ in range(12):
            f = e = random.below(2 * n)
            for _ in range(1 + random.below(2)):
                g = int(self.lists.near[self.rows[f], random.below(self.width)])
                f = f if g < 0 else g
            count = 1 + random.below(self.longest)
            p = position[e >> 1]
            q = position[f >> 1]
            if min((q - p) % n, (p - q) % n) < count:
                continue
            swapped = list(seq)
            for k in range(count):
                swapped[(p + k) % n] = seq[(q + k) % n]
                swapped[(q + k) % n] = seq[(p + k) % n]
            self.links = links_of(swapped)
            for at in (p, p + count, q, q + count):
                self.push(swapped[at % n - 1] ^ 1, swapped[at % n])
            return True
        return False


def pair(e: int, f: int) -> Link:
    return min(e, f), max(e, f)


def way(metric: Metric, xy: np.ndarray, seq: np.ndarray) -> float:
    return sum(move(metric, *step) for step in xy[seq ^ 1] - xy[np.roll(seq, -1)])
