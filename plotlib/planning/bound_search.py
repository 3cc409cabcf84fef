"""The search for multipliers behind the bound, and the exact value that certifies each of them.

The search walks on a sparse graph of links. After each stage the exact least spanning tree over all links tells what the
multipliers are worth; the links that it uses, and those that have come near, join the graph.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from plotlib.checks import FloatArray, IntArray

NEAR, NEAR_CLOSED = 6, 40  # links to look at from each end in each stage; from each vertex where some run is closed
ROOM = 4_000_000  # of them in all, where some run is closed
WORK, LEAST = 6e6, 60  # ends times steps, and the least number of steps
FEW, SLOW = 200, 60  # more than so many steps, and so many for each end, gain nothing
CRUDE, FINE = 2.0, 1e-4  # the first and the last step
MANY = 1_000_000  # ends from which few steps must do


@dataclass(frozen=True)
class Problem:
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


@dataclass(frozen=True)
class _Graph:
    """Links that the search looks at, sorted, and their slots (see :func:`plotlib.planning.bound_kernel.ascend`)."""

    edges: IntArray
    costs: FloatArray
    slots: IntArray  # of both ends of each link, -1 where the run there is not closed
    owner: IntArray  # the vertex of each slot
    keys: IntArray


@dataclass(frozen=True)
class _Search:
    """Multipliers of the ends and of the slots of a graph."""

    pi: FloatArray
    graph: _Graph
    rho: FloatArray


def ascent(problem: Problem) -> float:
    """The best certified value of some stages of search."""
    none = np.zeros((0, 2), dtype=np.int64)
    nothing = _Search(np.zeros(len(problem.xy)), _graph(problem, none), np.zeros(0))
    search, links = _spanned(problem, nothing)
    best, kept = _certified(problem, search, links), search
    scale = best + way_cost(problem.metric, problem.xy.min(axis=0), problem.xy.max(axis=0))
    for steps in _stages(len(problem.xy)):
        start = _widened(problem, kept, np.concatenate([search.graph.edges, links]))
        claimed, pi, rho, is_tour = _climbed(problem, start, scale * steps)
        search, links = _spanned(problem, _Search(pi, start.graph, rho))
        value = _certified(problem, search, links)
        if value >= best:
            best, kept = value, search
        if is_tour and best >= claimed - 1e-12 * scale:
            break  # no multipliers do better
    return best


def _climbed(problem: Problem, search: _Search, steps: FloatArray) -> tuple[float, FloatArray, FloatArray, bool]:
    from plotlib.planning.bound_kernel import ascend

    graph, p = search.graph, problem
    way = graph.edges, graph.slots, graph.owner, graph.costs
    return ascend(search.pi, search.rho, *way, p.group, p.runs, p.share, p.first, p.second, steps)


def way_cost(metric: FloatArray, a: Sequence[float], b: Sequence[float]) -> float:
    """Cost of the move between two points."""
    from plotlib.planning.metric import move_cost

    return float(move_cost(metric, float(a[0] - b[0]), float(a[1] - b[1])))


def _graph(problem: Problem, edges: IntArray) -> _Graph:
    """The slots of the links: one for each vertex of a closed run and each other run that links lead to."""
    from plotlib.planning import bound_kernel

    costs = bound_kernel.costs_of(problem.metric, problem.xy, edges)
    if problem.share.all():
        none = np.zeros(0, dtype=np.int64)
        return _Graph(edges, costs, none.reshape(0, 2), none, none)
    key = edges * problem.runs + problem.group[edges[:, ::-1]]
    is_slot = problem.share[edges] == 0
    keys, number = np.unique(key[is_slot], return_inverse=True)
    slots = np.full(edges.shape, -1, dtype=np.int64)
    slots[is_slot] = number
    return _Graph(edges, costs, slots, keys // problem.runs, keys)


def _widened(problem: Problem, search: _Search, links: IntArray) -> _Search:
    """The search with more links; new slots begin at 0."""
    graph = _graph(problem, _with(search.graph.edges, links))
    rho = np.zeros(len(graph.keys))
    rho[np.searchsorted(graph.keys, search.graph.keys)] = search.rho
    return _Search(search.pi, graph, rho)


def _stages(ends: int) -> list[FloatArray]:
    """Step sizes of each stage: the gain that a step aims at, as a share of the cost. They fall from crude to fine, fewer for many ends."""
    if ends > MANY:
        return np.array_split(np.geomspace(1.0, 1e-2, 24), 2)
    count = max(LEAST, min(round(WORK / ends), FEW + SLOW * ends))
    return np.array_split(np.geomspace(CRUDE, FINE, count), 4)


def _near(problem: Problem, pi: FloatArray) -> tuple[IntArray, FloatArray]:
    """Links a < b of each end to near ends of other runs, and what cost + multiplier all others have at least."""
    from plotlib.planning.bound_cells_kernel import near

    count = NEAR if problem.share.all() else max(NEAR, min(NEAR_CLOSED, ROOM // len(pi)))
    found, reach = near(problem.xy, problem.group, problem.spans, problem.boxes, problem.metric, pi, count)
    links = np.stack([np.repeat(np.arange(len(found)), count), found.ravel()], axis=1)
    return np.sort(links[links[:, 1] >= 0], axis=1), reach


def _with(edges: IntArray, links: IntArray) -> IntArray:
    """The union of two sets of links, each once, as sorted rows a < b."""
    every = np.sort(np.concatenate([edges, links]), axis=1)
    count = int(every.max(initial=0)) + 1
    key = np.sort(every[:, 0] * count + every[:, 1])
    key = key[np.concatenate([[True], key[1:] != key[:-1]])]
    return np.ascontiguousarray(np.stack([key // count, key % count], axis=1))


def _spanned(problem: Problem, search: _Search) -> tuple[_Search, IntArray]:
    """The search with the links that are near now, and the least spanning tree of the runs over all links."""
    from plotlib.planning import bound_kernel
    from plotlib.planning.bound_tree_kernel import spanning_tree

    links, reach = _near(problem, search.pi)
    search = _widened(problem, search, links)
    pi, graph = search.pi, search.graph
    weights = np.empty(len(graph.edges))
    bound_kernel.weigh(weights, pi, search.rho, graph.edges, graph.slots, graph.costs)
    tree = problem.xy, problem.group, problem.runs, problem.spans, problem.boxes, problem.metric
    starts = np.searchsorted(graph.owner, np.arange(len(pi) + 1))
    slots = starts, graph.keys - problem.runs * graph.owner, search.rho
    return search, spanning_tree(*tree, pi, *slots, graph.edges, weights, reach)


def _certified(problem: Problem, search: _Search, links: IntArray) -> float:
    """The value of the 1-tree with this exact spanning tree, less a margin for every rounding on the way."""
    from plotlib.planning import bound_kernel

    pi, rho, graph = search.pi, search.rho, search.graph
    target = np.zeros(len(pi), dtype=np.int64)
    bound_kernel.wanted(pi, rho, graph.owner, problem.group, problem.share, problem.runs, target)
    u, v = bound_kernel.two_links(problem.first, problem.second, pi, problem.group)
    costs = bound_kernel.costs_of(problem.metric, problem.xy, links)
    home = np.array([problem.first[u], problem.second[v], pi[u], pi[v]])
    every = [costs, home, pi[links].ravel(), -target * pi]
    if len(rho):
        key = (links * problem.runs + problem.group[links[:, ::-1]]).ravel()
        slot = np.minimum(np.searchsorted(graph.keys, key), len(rho) - 1)
        every += [rho[slot[graph.keys[slot] == key]], -rho[target[graph.owner] == 2]]
    terms = np.concatenate(every)
    return math.fsum(terms.tolist()) - 16 * np.finfo(np.float64).eps * float(np.abs(terms).sum())
