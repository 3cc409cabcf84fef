"""Connected Fermat spirals: nested rings as one closed line that crosses itself nowhere.

A chain of rings, each next to the one before, is cut across in one *zone*, and the rings are
shifted there by two against each other: the odd ones become a spiral that leads inward, the even
ones a spiral between its turns that leads out again, and the two are one line with both ends side
by side at the chain's first ring (Zhao et al., 2016, "Connected Fermat spirals for layered
fabrication").
Those ends are joined to a ring that the chain is next to, which is opened there.

Zhao et al. cut each ring at one place and step over; here the shift is laid out along a stretch of
each ring, so that no step is seen. Chains are the heavy paths of the tree of rings, so that few
joints remain.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import shapely

from plotlib.checks import BoolArray, FloatArray
from plotlib.fills.rings import Ring

_CANDIDATES = 16  # places looked at for a zone
_CORRIDORS = 120  # and for a single ring
_COLUMNS = 8  # pieces of a zone that are measured
_ZONES = (12.0, 6.0, 3.0, 1.5)  # lengths of a zone at its deepest ring, in spacings
_NARROWER = 0.95  # from ring to ring, where a zone is longer than it need be
_WIDER = 0.7  # spacings from ring to ring, where a zone is shorter than wished
_CORRIDOR = (1.0, 0.7, 0.5, 0.3)  # the same for a single ring
_DEEPEST = 0.2  # of the deepest ring at the most
_SHORT = 0.02  # of the way to the next ring
_ASIDE = 0.3  # spacings between two joints
_SAME = 1e-3  # spacings; points that are nearer are one
_NEAREST = 0.25  # spacings between two rings that are joined
_SPECK = 2.0  # spacings; shorter rings are left out
_ROOM = 1.0  # spacings of a ring between two joints
_SHARE = 0.55  # of a ring at the most in a zone
_NEXT = 1.7  # spacings from ring to ring in a zone: around a right corner it is 1.41
_ACROSS = 2.3  # spacings to a ring on the other side of the middle
_UNEVEN = 1.5  # a piece of a zone may be longer than the mean by this share: no corner in between
_TURN = 0.75  # share of a zone where the line turns round between two rings; a column stands there


@dataclass(eq=False)
class Run:
    """What is drawn of a ring: from ``begin`` on over ``length`` mm in the direction ``way``, with
    ``cuts`` where chains are joined to it.
    """

    ring: Ring
    begin: float
    way: float
    length: float
    cuts: list[Cut] = field(default_factory=list)

    def free(self, places: FloatArray, gap: float) -> BoolArray:
        """Which of several stretches (q, m) of the ring lie in the run, away from its joints."""
        first = np.where(self.way * (places[:, -1] - places[:, 0]) > 0, places[:, 0], places[:, -1])
        low = (self.way * (first - self.begin)) % self.ring.length
        high = low + np.abs(places[:, -1] - places[:, 0])
        good = (low >= gap) & (high <= self.length - gap)
        for cut in self.cuts:
            good &= (high + gap <= cut.low) | (low >= cut.high + gap)
        return np.asarray(good)

    def points(self) -> FloatArray:
        """The points (n, 2) of the run, the joined chains with them."""
        parts = []
        done = 0.0
        for cut in sorted(self.cuts, key=lambda cut: cut.low):
            parts.append(self._piece(done, cut.low))
            parts.append(cut.chain.line[:: 1 if cut.ahead else -1])
            done = cut.high
        parts.append(self._piece(done, self.length))
        return np.concatenate(parts)

    def _piece(self, low: float, high: float) -> FloatArray:
        return self.ring.stretch(self.begin + self.way * low, self.way * (high - low))


class Cut(NamedTuple):
    """Where a chain is joined to a run: from ``low`` to ``high`` mm along it."""

    low: float
    high: float
    ahead: bool
    chain: Chain


@dataclass(eq=False)
class Chain:
    """Rings that are drawn as one double spiral, from the one that is joined to another ring on.

    ``columns`` (n + 1, m, 2) are the points of the ring that it is joined to and of its own n rings
    along the zone; what lies at one index lies side by side.
    """

    runs: list[Run]
    columns: FloatArray
    line: FloatArray = field(default_factory=lambda: np.empty((0, 2)))

    def lay(self) -> None:
        """The line (n, 2) from the opened ring inward and back to it."""
        runs = [run.points() for run in self.runs]
        last = len(runs)
        if last == 1:
            self.line = np.concatenate([self.columns[0, :1], runs[0][::-1], self.columns[0, -1:]])
            return
        inward = list(range(2, last + 1, 2))
        outward = list(range(last if last % 2 else last - 1, 0, -2))
        parts = []
        for level in inward:
            parts += [self._ramp(level - 2), runs[level - 1]]
        turn = 1 - _TURN
        parts += [self._along(inward[-1], 0.0, turn), self._along(outward[0], turn, 0.0)]
        for level in outward:
            parts.append(runs[level - 1][::-1])
            parts.append(self._ramp(level - 2)[::-1] if level > 1 else self._along(1, 1.0, _TURN))
        parts.append(self._at(np.zeros(1), np.array([_TURN])))
        self.line = np.concatenate(parts)

    def _ramp(self, level: int) -> FloatArray:
        share = np.linspace(0.0, 1.0, 4 * _COLUMNS + 1)
        return self._at(level + 2 * share * share * (3 - 2 * share), share)

    def _along(self, level: int, begin: float, end: float) -> FloatArray:
        share = np.linspace(begin, end, round(4 * _COLUMNS * abs(end - begin)) + 1)
        return self._at(np.full(len(share), float(level)), share)

    def _at(self, level: FloatArray, share: FloatArray) -> FloatArray:
        """Points at some levels, also between two rings, and shares of the zone."""
        low = np.minimum(level.astype(int), len(self.columns) - 2)
        column = share * (self.columns.shape[1] - 1)
        left = np.minimum(column.astype(int), self.columns.shape[1] - 2)
        up = (level - low)[:, None]
        on = (column - left)[:, None]
        lower = self.columns[low, left] * (1 - on) + self.columns[low, left + 1] * on
        upper = self.columns[low + 1, left] * (1 - on) + self.columns[low + 1, left + 1] * on
        return np.asarray(lower * (1 - up) + upper * up)


class Spirals:
    """A tree of rings on its way to one line.

    ``first`` is the run of the outermost ring, ``chains`` what has been joined to it so far, each
    after the one that it is joined to.
    """

    def __init__(self, roots: list[Ring], gap: float) -> None:
        root = roots[0]
        _without_specks(root, _SPECK * gap)
        self.gap = gap
        self.others = [ring for other in roots[1:] for ring in _below(other)]
        self.first = Run(root, 0.0, 1.0, root.length)
        self.chains: list[Chain] = []
        self.rings = shapely.STRtree([ring.line for top in roots for ring in _below(top)])
        self.joints: list[Any] = []

    def join_all(self, *, spirals: bool = True) -> list[Ring]:
        """Join ring after ring, in chains or one by one; those that cannot be reached."""
        lost = []
        waiting = deque((child, self.first) for child in self.first.ring.children)
        while waiting:
            ring, run = waiting.popleft()
            chain = self._joined(_heavy(ring) if spirals else [ring], run)
            if chain is None:
                lost.append(ring)
                continue
            mine = {id(part.ring) for part in chain.runs}
            for part in chain.runs:
                waiting += [(child, part) for child in part.ring.children if id(child) not in mine]
        left = [ring for top in lost for ring in _below(top)] + self.others
        return self._elsewhere(left)

    def line(self) -> FloatArray:
        """The closed line (n, 2), its last point equal to its first."""
        for chain in reversed(self.chains):
            chain.lay()
        return _apart(self.first.points(), _SAME * self.gap)

    def without_crossings(self) -> tuple[FloatArray, float]:
        """The closed line (n, 2) through as many chains as can be joined one by one without
        a crossing, and the length of the rings of the others.
        """
        runs = [self.first, *(run for chain in self.chains for run in chain.runs)]
        owners = [(run, cut) for run in runs for cut in run.cuts]
        owner = {id(cut.chain): (run, cut) for run, cut in owners}
        for run in runs:
            run.cuts = []
        chains = self.chains
        self.chains = []
        kept = {id(self.first)}
        bare = 0.0
        for chain in chains:
            run, cut = owner[id(chain)]
            if id(run) in kept:
                self.chains.append(chain)
                run.cuts.append(cut)
                if shapely.is_simple(shapely.linestrings(self.line())):
                    kept.update(id(mine) for mine in chain.runs)
                    continue
                self.chains.pop()
                run.cuts.pop()
            bare += sum(mine.ring.length for mine in chain.runs)
        return self.line(), bare

    def _elsewhere(self, left: list[Ring]) -> list[Ring]:
        """Join what could not be joined to its own ring to any other that is near; what is left."""
        again = True
        while again and left:
            again = False
            runs = [self.first, *(run for chain in self.chains for run in chain.runs)]
            lines = np.array([run.ring.line for run in runs], dtype=object)
            for ring in list(left):
                near = np.flatnonzero(shapely.dwithin(lines, ring.line, _ACROSS * self.gap))
                if any(self._joined([ring], runs[k]) for k in near):
                    left.remove(ring)
                    again = True
        return left

    def _joined(self, path: list[Ring], run: Run) -> Chain | None:
        """A chain of as many rings of a path as can be cut in one zone, joined to a run."""
        count = len(path)
        while count > 1:
            for length in _ZONES:
                chain = self._cut(path[:count], run, length * self.gap)
                if chain is not None:
                    return chain
            count = count // 2
        for length in _CORRIDOR:
            chain = self._cut(path[:1], run, length * self.gap)
            if chain is not None:
                return chain
        return None

    def _cut(self, path: list[Ring], run: Run, length: float) -> Chain | None:
        """The chain of a path, cut in the best zone of a length, or None."""
        zones = _zones(path, run, length, self.gap)
        for zone in zones:
            columns = np.array([ring.along(zone[id(ring)]) for ring in [run.ring, *path]])
            if not self._is_free(columns):
                continue
            chain = _made(path, zone, columns)
            chain.lay()
            if shapely.is_simple(shapely.linestrings(_apart(chain.line, _SAME * self.gap))):
                _open(run, zone[id(run.ring)], chain)
                self.chains.append(chain)
                self.joints += list(_spokes(columns[:2], 1))
                return chain
        return None

    def _is_free(self, columns: FloatArray) -> bool:
        """Whether nothing else lies between the rings of a zone."""
        spokes = _spokes(columns, 4)
        if len(self.rings.query(spokes, predicate="intersects")[0]):
            return False
        mine = shapely.multilinestrings(list(_spokes(columns[:2], 4)))
        apart = _ASIDE * self.gap
        return not (self.joints and bool(shapely.dwithin(mine, self.joints, apart).any()))


def _below(root: Ring) -> list[Ring]:
    """A ring and all below it."""
    order = [root]
    for ring in order:
        order += ring.children
    return order


def _spokes(columns: FloatArray, every: int) -> Any:
    """Lines from each ring of a zone to the next one, short of both."""
    one = columns[:-1, ::every].reshape(-1, 2)
    other = columns[1:, ::every].reshape(-1, 2)
    ends = [one + _SHORT * (other - one), other + _SHORT * (one - other)]
    return shapely.linestrings(np.stack(ends, axis=1))


def _apart(line: FloatArray, least: float) -> FloatArray:
    """A line without the points that lie upon the one before."""
    far = np.hypot(*np.diff(line, axis=0).T)
    return np.asarray(line[np.append(True, far > least)])


def _without_specks(root: Ring, shortest: float) -> None:
    """Leave out rings that are too short to be opened and lead nowhere."""
    for ring in reversed(_below(root)):
        ring.children = [
            child for child in ring.children if child.children or child.length > shortest
        ]
        ring.below = 1 + sum(child.below for child in ring.children)


def _heavy(ring: Ring) -> list[Ring]:
    """The rings from one on, each the next deeper (or each the next higher), along which the tree
    is heaviest.
    """
    path = [ring]
    way = 0
    while path[-1].children:
        heaviest = max(path[-1].children, key=lambda child: child.below)
        step = heaviest.depth - path[-1].depth
        if step == 0 or step * way < 0:
            break
        way = step
        path.append(heaviest)
    return path


def _zones(path: list[Ring], run: Run, length: float, gap: float) -> list[dict[int, FloatArray]]:
    """Where a path can be cut in a zone of a length and joined to a run, the best place first: for
    the id of each ring the places (m,) along it.
    """
    order = path[::-1] if path[-1].depth > path[0].depth else path
    deepest = order[0]
    share = np.linspace(-0.5, 0.5, _COLUMNS + 1)
    count = _CANDIDATES if len(path) > 1 else _CORRIDORS
    middles = (np.arange(count) + 0.5) / count * deepest.length
    places = middles[:, None] + min(length, _DEEPEST * deepest.length) * share
    found = {id(deepest): places}
    good = np.ones(count, dtype=bool)
    worst = np.zeros(count)
    for one, other in [*pairwise(order), (path[0], run.ring)]:
        reach = _NEXT if other is not run.ring else _ACROSS
        found[id(other)], far, fine, uneven = _beside(one, found[id(one)], other, length, gap)
        good &= fine & (far.max(axis=1) <= reach * gap) & (far.min(axis=1) >= _NEAREST * gap)
        worst = np.maximum(worst, np.abs(far - gap).max(axis=1) / gap + uneven)
        if not good.any():
            return []
    good &= run.free(found[id(run.ring)], _ROOM * gap)
    best = np.argsort(np.round(worst, 2), kind="stable")
    return [{key: value[k] for key, value in found.items()} for k in best if good[k]]


def _beside(
    ring: Ring, places: FloatArray, other: Ring, length: float, gap: float
) -> tuple[FloatArray, FloatArray, BoolArray, FloatArray]:
    """The places on another ring beside some zones (q, m) of a ring, how far they are, whether
    they go on in one direction, and how unevenly.
    """
    here = ring.along(places.ravel())
    there = other.nearest(here)
    far = np.hypot(*(other.along(there) - here).T).reshape(places.shape)
    there = there.reshape(places.shape)
    half = other.length / 2
    steps = (np.diff(there, axis=1) + half) % other.length - half
    total = steps.sum(axis=1)
    way = np.sign(total)[:, None]
    size = np.abs(total)
    level = (way * steps >= -1e-9 * length).all(axis=1)
    wide = size >= 0.4 * np.abs(places[:, -1] - places[:, 0])
    size = np.maximum(size, 1e-9 * length)
    uneven = np.abs(steps).max(axis=1) * _COLUMNS / size - 1
    fine = level & wide & (size <= _SHARE * other.length) & (uneven <= _UNEVEN)
    onward = there[:, :1] + np.concatenate([np.zeros((len(steps), 1)), np.cumsum(steps, 1)], 1)
    wished = np.clip(length, _NARROWER * size, size + _WIDER * gap)[:, None]
    middle = (onward[:, :1] + onward[:, -1:]) / 2
    return middle + (onward - middle) * wished / size[:, None], far, fine, uneven


def _made(path: list[Ring], zone: dict[int, FloatArray], columns: FloatArray) -> Chain:
    """The chain of a path, cut in a zone."""
    runs = []
    for ring in path:
        places = zone[id(ring)]
        total = float(places[-1] - places[0])
        runs.append(Run(ring, float(places[-1]), float(np.sign(total)), ring.length - abs(total)))
    return Chain(runs, columns)


def _open(run: Run, places: FloatArray, chain: Chain) -> None:
    """Open a run beside the zone of a chain that is joined to it there."""
    turn = _TURN if len(chain.runs) > 1 else 1.0
    first = float(places[0])
    end = float(np.interp(turn, np.linspace(0, 1, len(places)), places))
    ahead = run.way * (end - first) > 0
    low = (run.way * ((first if ahead else end) - run.begin)) % run.ring.length
    run.cuts.append(Cut(low, low + abs(end - first), ahead, chain))
