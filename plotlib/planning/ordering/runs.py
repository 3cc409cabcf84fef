"""Runs, an order of them, and the points at which a pen can enter and leave each run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.planning.metric import Metric

Place = tuple[int, int] | None


@dataclass(frozen=True)
class Runs:
    """Pen-down runs of one pen, in whole grid units.

    A run is closed when it has at least three points and the last equals the first; it may start at
    any vertex. One point is a dot.

    Attributes
    ----------
    points : IntArray
        Shape (N, 2).
    offsets : IntArray
        Shape (M + 1,); run m has the points ``offsets[m]:offsets[m + 1]``, at least one.
    """

    points: IntArray
    offsets: IntArray

    def __post_init__(self) -> None:
        points = np.asarray(self.points, dtype=np.int64).reshape(-1, 2)
        offsets = np.asarray(self.offsets, dtype=np.int64)
        if offsets.ndim != 1 or len(offsets) == 0 or offsets[0] != 0 or offsets[-1] != len(points):
            raise InvalidValue(
                "offsets must be one row of numbers from 0 to the number of points "
                f"({len(points)})",
                name="offsets",
            )
        empty = np.diff(offsets) < 1
        if empty.any():
            worst = int(np.argmax(empty))
            raise InvalidValue(
                f"run {worst} has no point; every run needs at least one", name="offsets", run=worst
            )
        object.__setattr__(self, "points", points)
        object.__setattr__(self, "offsets", offsets)

    def __len__(self) -> int:
        return len(self.offsets) - 1

    @property
    def closed(self) -> BoolArray:
        """Which runs end where they began, shape (M,)."""
        begin = self.points[self.offsets[:-1]]
        end = self.points[self.offsets[1:] - 1]
        closed: BoolArray = (np.diff(self.offsets) >= 3) & (begin == end).all(axis=1)
        return closed


@dataclass(frozen=True)
class Order:
    """The order of the pen through runs.

    Attributes
    ----------
    sequence : IntArray
        Shape (M,): index of the run that is drawn k-th.
    reverse : BoolArray
        Shape (M,): whether run ``sequence[k]`` is drawn backwards.
    start : IntArray
        Shape (M,): for a closed run the vertex (counted in the run's points as given) at which it
        starts and ends; 0 for others.
    cost : float
        All pen-up moves, from home and to the finish included, in the unit of the metric.
    """

    sequence: IntArray
    reverse: BoolArray
    start: IntArray
    cost: float


@dataclass(frozen=True)
class States:
    """Every point at which a run can be entered: both ends of an open run, every vertex of a closed
    one, the point of a dot.

    Attributes
    ----------
    xy : FloatArray
        Shape (P, 2), float64 (whole numbers).
    first : IntArray
        Shape (M + 1,); run m has the states ``first[m]:first[m + 1]``.
    leave : IntArray
        Shape (P,): the state whose point the pen leaves from.
    owner : IntArray
        Shape (P,): the run.
    closed : BoolArray
        Shape (M,).
    """

    xy: FloatArray
    first: IntArray
    leave: IntArray
    owner: IntArray
    closed: BoolArray

    @classmethod
    def of(cls, runs: Runs) -> States:
        """All states of the runs: the vertices of closed runs in their order, the two ends of open
        ones.
        """
        sizes = np.diff(runs.offsets)
        closed = runs.closed
        counts = np.where(closed, sizes - 1, np.minimum(sizes, 2))
        first = np.concatenate([[0], np.cumsum(counts)])
        owner = np.repeat(np.arange(len(runs)), counts)
        within = np.arange(first[-1]) - first[owner]
        is_open = ~closed[owner]
        vertex = np.where(is_open & (within == 1), sizes[owner] - 1, within)
        leave = np.arange(first[-1])
        two = is_open & (counts[owner] == 2)
        leave[two] += np.where(within[two] == 0, 1, -1)
        xy = runs.points[runs.offsets[owner] + vertex].astype(np.float64)
        return cls(xy=xy, first=first, leave=leave, owner=owner, closed=closed)

    def entered(self, sequence: IntArray, reverse: BoolArray, start: IntArray) -> IntArray:
        """The state of each step of an order."""
        entered: IntArray = self.first[sequence] + np.where(
            self.closed[sequence], start, reverse.astype(np.int64)
        )
        return entered

    def order(self, entered: IntArray, cost: float) -> Order:
        """The order that enters these states one after the other."""
        sequence = self.owner[entered]
        within = entered - self.first[sequence]
        closed = self.closed[sequence]
        return Order(
            sequence=sequence,
            reverse=~closed & (within == 1),
            start=np.where(closed, within, 0),
            cost=cost,
        )


def ends_array(home: Place, finish: Place) -> FloatArray:
    """(home x, home y, finish x, finish y), nan for an end that is free."""
    free = (np.nan, np.nan)
    return np.array(
        [*(free if home is None else home), *(free if finish is None else finish)], dtype=np.float64
    )


def states_cost(states: States, entered: IntArray, metric: Metric, ends: FloatArray) -> float:
    """Cost of all pen-up moves of an order given as entered states."""
    from plotlib.planning.ordering.closed_kernel import link_costs

    if len(entered) == 0:
        if np.isnan(ends).any():
            return 0.0
        return float(link_costs(metric, ends[None, :2], ends[None, 2:])[0])
    moves_from = np.concatenate([ends[None, :2], states.xy[states.leave[entered]]])
    moves_to = np.concatenate([states.xy[entered], ends[None, 2:]])
    known = ~np.isnan(moves_from[:, 0] + moves_to[:, 0])
    return float(np.sum(link_costs(metric, moves_from[known], moves_to[known])))
