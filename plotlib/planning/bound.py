"""A certified lower bound on the cost of the pen-up moves.

Any order of the runs is a cycle: home, a run, the next one, …, the finish, with links between ends of different runs. Leave out home:
what remains of the links is a tree that spans the runs, so no order costs less than the least spanning tree plus the two cheapest
links of home and finish (Held and Karp's 1-tree, with runs as the nodes and their ends as the places of the links). A multiplier on
each end keeps every tour at the same cost up to a constant and makes trees that visit an end too often dear; subgradient steps on a sparse
graph of near neighbours look for good multipliers. Sparse graphs claim too much, so the value returned comes from the exact least
spanning tree over all links with these multipliers. Links that it uses and the sparse graph lacks are added, and the search goes on.

A closed run may start at any vertex: both its links are at one vertex, and the multipliers are on the vertices. The relaxation lets
the links end at any vertices and takes the greatest multiplier twice, so that it stays a true bound for every choice.

Sources: M. Held, R. M. Karp, Operations Research 18 (1970) and Mathematical Programming 1 (1971); Borůvka's tree (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plotlib.checks import FloatArray, IntArray

NEAR = 6  # links of the sparse graph at each end, and as many more after each stage of search
WORK, LEAST = 4e6, 24  # ends times steps, and the least number of steps
FEW, SLOW = 200, 60  # more than so many steps, and so many for each end, gain nothing
CRUDE, FINE = 2.0, 1e-4  # the first and the last step
MANY = 200_000  # ends from which the exact tree is worth fewer stages


@dataclass(frozen=True)
class _Problem:
    """Ends of runs in the order of their k-d tree."""

    xy: FloatArray
    group: IntArray  # run of each end
    share: IntArray  # links that a tour has at each end: 2 dot, 1 end of an open run, 0 vertex of a closed one
    runs: int
    first: FloatArray  # cost of the link from home to each end; 0 where home is free
    second: FloatArray
    metric: FloatArray
    spans: IntArray
    boxes: FloatArray


def lower_bound(
    points: IntArray,
    offsets: IntArray,
    metric: FloatArray,
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
        Run ``k`` is ``points[offsets[k]:offsets[k + 1]]``. One point is a dot; a run of three and more points whose last point equals its
        first is closed and may start at any vertex.
    metric : ndarray (5,)
        The cost of a pen-up move, see :func:`plotlib.planning.metric.move_cost`.
    home, finish : (int, int) or None
        Where the carriage is before the first run and goes after the last one; None: it may start or stop anywhere.

    Returns
    -------
    float
        At most the least cost of all pen-up moves from home to the finish, in the unit of the metric.

    Examples
    --------
    >>> dots = np.array([[0, 0], [3, 0], [3, 4]])
    >>> round(lower_bound(dots, np.arange(4), np.array([0.0, 1, 1, 0, 0]), home=(0, 4), finish=(0, 4)), 6)
    14.0
    """
    points, offsets = np.asarray(points, dtype=np.int64).reshape(-1, 2), np.asarray(offsets, dtype=np.int64)
    metric = np.asarray(metric, dtype=np.float64)
    if len(offsets) <= 1:
        return _cost(metric, home, finish)
    problem = _problem(points, offsets, metric, home, finish)
    if problem.runs == 1:
        return _one_run(problem)
    return max(0.0, float(_ascent(problem)))


def _cost(metric: FloatArray, a: tuple[int, int] | None, b: tuple[int, int] | None) -> float:
    from plotlib.planning.metric import move_cost

    return 0.0 if a is None or b is None else float(move_cost(metric, float(a[0] - b[0]), float(a[1] - b[1])))


def _problem(
    points: IntArray, offsets: IntArray, metric: FloatArray, home: tuple[int, int] | None, finish: tuple[int, int] | None
) -> _Problem:
    """The ends of open runs and the vertices of closed ones, sorted into a k-d tree."""
    from plotlib.planning import bound_kernel, bound_tree_kernel

    size, begin, end = np.diff(offsets), offsets[:-1], offsets[1:] - 1
    is_closed = (points[begin] == points[end]).all(axis=1)
    is_ring = is_closed & (size >= 3)
    run = np.repeat(np.arange(len(size)), size)
    place = np.arange(len(points)) - begin[run]
    is_first, is_last = place == 0, place == size[run] - 1
    taken = np.flatnonzero(np.where(is_ring[run], ~is_last, is_first | (is_last & ~is_closed[run])))
    share = np.where(is_ring, 0, np.where(is_closed, 2, 1))[run[taken]]
    scale = metric[1:3] if metric[0] else np.ones(2)
    order, spans = bound_tree_kernel.build(points[taken].astype(np.float64), np.ascontiguousarray(scale))
    taken, share = taken[order], share[order]
    xy = points[taken].astype(np.float64)
    first, second = (np.zeros(len(xy)) if at is None else bound_kernel.costs_from(metric, xy, *map(float, at)) for at in (home, finish))
    boxes = bound_tree_kernel.bounding(xy, spans)
    return _Problem(xy, run[taken], share, len(size), first, second, metric, spans, boxes)


def _one_run(problem: _Problem) -> float:
    """Home, the one run, finish: the best of all ways."""
    if problem.share[0] == 1:
        return float((problem.first + problem.second[::-1]).min())
    return float((problem.first + problem.second).min())


def _ascent(problem: _Problem) -> float:
    """The best certified value of some stages of search."""
    from plotlib.planning import bound_kernel

    pi = np.zeros(len(problem.xy))
    links = _tree(problem, pi, np.zeros((0, 2), dtype=np.int64))
    edges = _with(_near(problem, pi), links)
    best = _certified(problem, pi, links)
    low, high = problem.xy.min(axis=0), problem.xy.max(axis=0)
    scale = best + _cost(problem.metric, (low[0], low[1]), (high[0], high[1]))
    for steps in _stages(len(problem.xy)):
        costs = bound_kernel.costs_of(problem.metric, problem.xy, edges)
        tour = problem.first, problem.second, scale * steps
        claimed, pi, is_tour = bound_kernel.ascend(pi, edges, costs, problem.group, problem.runs, problem.share, *tour)
        links = _tree(problem, pi, edges)
        best = max(best, _certified(problem, pi, links))
        if is_tour and best >= claimed - 1e-12 * scale:
            break  # no multipliers do better
        edges = _with(edges, np.concatenate([links, _near(problem, pi)]))
    return best


def _stages(ends: int) -> list[FloatArray]:
    """Step sizes of each stage: the gain that a step aims at, as a share of the cost. They fall from crude to fine, fewer for many ends."""
    count = max(LEAST, min(round(WORK / ends), FEW + SLOW * ends))
    return np.array_split(np.geomspace(CRUDE, FINE, count), 4 if ends <= MANY else 2)


def _near(problem: _Problem, pi: FloatArray) -> IntArray:
    """Links a < b of each end to near ends of other runs, sorted."""
    from plotlib.planning import bound_tree_kernel

    is_ring = np.zeros(problem.runs, dtype=bool)
    is_ring[problem.group[problem.share == 0]] = True
    found = bound_tree_kernel.near(problem.xy, problem.group, is_ring, problem.spans, problem.boxes, problem.metric, pi, NEAR)
    links = np.stack([np.repeat(np.arange(len(found)), NEAR), found.ravel()], axis=1)
    return _with(links[:0], links[links[:, 1] >= 0])


def _with(edges: IntArray, links: IntArray) -> IntArray:
    """The union of two sets of links, each once, as sorted rows a < b."""
    every = np.sort(np.concatenate([edges, links]), axis=1)
    count = int(every.max(initial=0)) + 1
    key = np.sort(every[:, 0] * count + every[:, 1])
    key = key[np.concatenate([[True], key[1:] != key[:-1]])]
    return np.ascontiguousarray(np.stack([key // count, key % count], axis=1))


def _tree(problem: _Problem, pi: FloatArray, edges: IntArray) -> IntArray:
    """The least spanning tree of the runs over all links; ``edges`` are links that are worth a look first."""
    from plotlib.planning import bound_kernel, bound_tree_kernel

    costs = bound_kernel.costs_of(problem.metric, problem.xy, edges)
    weights = pi[edges[:, 0]] + pi[edges[:, 1]] + costs
    return bound_tree_kernel.spanning_tree(
        problem.xy, problem.group, problem.runs, problem.spans, problem.boxes, problem.metric, pi, edges, weights
    )


def _certified(problem: _Problem, pi: FloatArray, links: IntArray) -> float:
    """The value of the 1-tree with this exact spanning tree, less a margin for every rounding on the way."""
    from plotlib.planning import bound_kernel

    costs = bound_kernel.costs_of(problem.metric, problem.xy, links)
    target = np.zeros(len(pi), dtype=np.int64)
    bound_kernel.wanted(pi, problem.group, problem.share, problem.runs, target)
    u, v = bound_kernel.two_links(problem.first, problem.second, pi, problem.group)
    terms = np.concatenate([costs, [problem.first[u], problem.second[v], pi[u], pi[v]], pi[links].ravel(), -target * pi])
    return math.fsum(terms.tolist()) - 16 * np.finfo(np.float64).eps * float(np.abs(terms).sum())
