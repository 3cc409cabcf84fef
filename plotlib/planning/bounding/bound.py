"""A certified lower bound on the cost of the pen-up moves.

Any order of the runs is a cycle: home, a run, the next one, …, the finish, with links between ends
of different runs. Leave out home: what remains of the links is a tree that spans the runs, so no
order costs less than the least spanning tree plus the two cheapest links of home and finish (Held
and Karp's 1-tree, with runs as the nodes and their ends as the places of the links). A multiplier
on each end keeps every tour at the same cost up to a constant and makes trees that visit an end too
often dear; subgradient steps on a sparse graph of near neighbours look for good multipliers. Sparse
graphs claim too much, so the value returned comes from the exact least spanning tree over all links
with these multipliers. Links that it uses and the sparse graph lacks are added, and the search goes
on.

Two more things make the bound close for strokes. No tour can take more links among some ends than
half of those that lead to them: of three ends of strokes, near each other, only two can be joined.
Such odd sets, also with teeth (links out of the set), are looked for among the links that the trees
take in the mean; each has a multiplier that its links weigh more. And ends that lie together move
their multipliers together, by a hierarchy of components, without which a cluster or a hatch hardly
comes forward.

A closed run may start at any vertex: both its links are at one vertex, and the multipliers are on
the vertices. The relaxation lets the links end at any vertices and takes the greatest gain of a
vertex, so that it stays a true bound for every choice. That alone is weak (in on one side, out on
the other): further multipliers punish links to vertices that are not the one chosen, and
generalised subtour sets forbid to choose half a vertex here and half a vertex there
(``subtours_kernel``).

Sources: M. Held, R. M. Karp, Operations Research 18 (1970) and Mathematical Programming 1 (1971);
J. Edmonds, Journal of Research of the National Bureau of Standards 69B (1965), for odd sets;
Borůvka's tree; M. Fischetti, J. J. Salazar González, P. Toth, Networks 26 (1995), for subtours of
tours that choose their vertices (all from memory). The steps of whole components are our own.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, IntArray
from plotlib.interrupt import interruptible
from plotlib.planning.bounding.graph import Problem, way_cost
from plotlib.planning.bounding.search import ascent
from plotlib.planning.metric import Metric


def lower_bound(
    points: IntArray,
    offsets: IntArray,
    metric: Metric,
    *,
    home: tuple[int, int] | None,
    finish: tuple[int, int] | None,
) -> float:
    """A number that no order, direction or choice of start vertices can go below.

    Parameters
    ----------
    points : ndarray (N, 2) of int64
        Points of the runs of one pen in grid units.
    offsets : ndarray (M + 1,) of int64
        Run ``k`` is ``points[offsets[k]:offsets[k + 1]]``. One point is a dot; a run of three and
        more points whose last point equals its first is closed and may start at any vertex.
    metric : Metric
        What a pen-up move costs, in seconds or mm.
    home, finish : (int, int) or None
        Where the carriage is before the first run and goes after the last one; None: it may start
        or stop anywhere.

    Returns
    -------
    float
        At most the least cost of all pen-up moves from home to the finish, in the unit of the
        metric.

    Examples
    --------
    >>> from plotlib.planning.metric import distance_metric
    >>> dots = np.array([[0, 0], [3, 0], [3, 4]])
    >>> round(lower_bound(dots, np.arange(4), distance_metric(1.0), home=(0, 4), finish=(0, 4)), 6)
    14.0
    """
    points = np.asarray(points, dtype=np.int64).reshape(-1, 2)
    offsets = np.asarray(offsets, dtype=np.int64)
    if len(offsets) <= 1:
        return 0.0 if home is None or finish is None else way_cost(metric, home, finish)
    problem = interruptible(lambda _: _problem(points, offsets, metric, home, finish))
    if problem.runs == 1:
        return _one_run(problem)
    return max(0.0, float(interruptible(lambda go_on: ascent(problem, go_on))))


def is_ring(points: IntArray, offsets: IntArray) -> BoolArray:
    """Which runs (M,) are closed and may start at any vertex: three and more points, the last of
    them equal to the first.

    Examples
    --------
    >>> corners = np.array([[0, 0], [3, 0], [3, 4], [0, 0], [9, 9]])
    >>> is_ring(corners, np.array([0, 4, 5])).tolist()
    [True, False]
    """
    is_closed = (points[offsets[:-1]] == points[offsets[1:] - 1]).all(axis=1)
    return np.asarray(is_closed & (np.diff(offsets) >= 3))


def as_started(points: IntArray, offsets: IntArray) -> tuple[IntArray, IntArray]:
    """Runs that cost the same pen-up moves and leave no choice of a start vertex: a dot for each
    closed run, at its start, and two points for each other one.

    Examples
    --------
    >>> corners = np.array([[0, 0], [3, 0], [3, 4], [0, 0], [9, 9], [5, 5], [8, 8]])
    >>> ends, offsets = as_started(corners, np.array([0, 4, 7]))
    >>> ends.tolist(), offsets.tolist()
    ([[0, 0], [9, 9], [8, 8]], [0, 1, 3])
    """
    first = offsets[:-1]
    last = np.where(is_ring(points, offsets), first, offsets[1:] - 1)
    size = np.where(last > first, 2, 1)
    rows = np.stack([first, last], axis=1)[np.stack([size > 0, size == 2], axis=1)]
    return points[rows], np.concatenate([[0], np.cumsum(size)])


def _problem(
    points: IntArray,
    offsets: IntArray,
    metric: Metric,
    home: tuple[int, int] | None,
    finish: tuple[int, int] | None,
) -> Problem:
    """The ends of open runs and the vertices of closed ones, sorted into a k-d tree."""
    from plotlib.planning.bounding import least_kernel as bound_kernel
    from plotlib.planning.kd_tree_kernel import build_tree

    size = np.diff(offsets)
    begin = offsets[:-1]
    end = offsets[1:] - 1
    is_closed = (points[begin] == points[end]).all(axis=1)
    rings = is_ring(points, offsets)
    run = np.repeat(np.arange(len(size)), size)
    place = np.arange(len(points)) - begin[run]
    is_first = place == 0
    is_last = place == size[run] - 1
    taken = np.flatnonzero(np.where(rings[run], ~is_last, is_first | (is_last & ~is_closed[run])))
    share = np.where(rings, 0, np.where(is_closed, 2, 1))[run[taken]]
    order, spans, boxes = build_tree(points[taken].astype(np.float64), *metric.scale)
    taken = taken[order]
    share = share[order]
    xy = points[taken].astype(np.float64)
    first, second = (
        np.zeros(len(xy)) if at is None else bound_kernel.costs_from(metric, xy, *map(float, at))
        for at in (home, finish)
    )
    return Problem(xy, run[taken], share, len(size), first, second, metric, spans, boxes)


def _one_run(problem: Problem) -> float:
    """Home, the one run, finish: the best of all ways."""
    if problem.share[0] == 1:
        return float((problem.first + problem.second[::-1]).min())
    return float((problem.first + problem.second).min())
