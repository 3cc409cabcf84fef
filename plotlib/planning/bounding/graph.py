"""The ends of runs, and the sparse graph of links that the search for a bound looks at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.planning.metric import Metric


class Problem(NamedTuple):
    """Ends of runs in the order of their k-d tree."""

    xy: FloatArray  # (P, 2)
    group: IntArray  # (P,) run of each end
    # (P,) links that a tour has at each end: 2 dot, 1 end of an open run, 0 vertex of a closed one
    share: IntArray
    runs: int
    first: FloatArray  # (P,) cost of the link from home to each end; 0 where home is free
    second: FloatArray  # (P,) the same to the finish
    metric: Metric
    spans: IntArray  # (nodes, 2) the ends of each node of the k-d tree
    boxes: FloatArray  # (nodes, 4)


class Links(NamedTuple):
    """Links a < b between ends of different runs, sorted, and their slots (see
    :func:`plotlib.planning.bounding.least_kernel.weigh`).
    """

    edges: IntArray  # (E, 2)
    costs: FloatArray  # (E,)
    slots: IntArray  # (E, 2) of both ends of each link, -1 where the run there is not closed
    owner: IntArray  # (S,) the vertex of each slot
    keys: IntArray  # (S,) vertex times runs plus the run that the slot leads to, sorted


class SetLinks(NamedTuple):
    """Sets of links of which no tour takes more than there is room for; see ``sets``."""

    spans: IntArray  # (T + 1,) set s holds links[spans[s]:spans[s + 1]]
    links: IntArray
    room: IntArray  # (T,) but for what chosen vertices add
    counted: IntArray  # (K,) a vertex that makes room for one more link where it is chosen,
    counting: IntArray  # (K,) in this set


class Multipliers(NamedTuple):
    """What links weigh more, and tours pay back: pi, rho and zeta in the formulas."""

    ends: FloatArray  # (P,)
    slots: FloatArray  # (S,) >= 0
    sets: FloatArray  # (T,) >= 0


def graph_of(problem: Problem, edges: IntArray) -> Links:
    """The slots of the links: one for each vertex of a closed run and each other run that links
    lead to.
    """
    from plotlib.planning.bounding import least_kernel as bound_kernel

    costs = bound_kernel.costs_of(problem.metric, problem.xy, edges)
    if problem.share.all():
        none = np.zeros(0, dtype=np.int64)
        return Links(edges, costs, none.reshape(0, 2), none, none)
    key = edges * problem.runs + problem.group[edges[:, ::-1]]
    is_slot = problem.share[edges] == 0
    keys, number = np.unique(key[is_slot], return_inverse=True)
    slots = np.full(edges.shape, -1, dtype=np.int64)
    slots[is_slot] = number
    return Links(edges, costs, slots, keys // problem.runs, keys)


def union(edges: IntArray, links: IntArray) -> IntArray:
    """All links of two sets, each once, as sorted rows a < b."""
    every = np.sort(np.concatenate([edges, links]), axis=1)
    count = int(every.max(initial=0)) + 1
    key = np.sort(every[:, 0] * count + every[:, 1])
    key = key[np.concatenate([[True], key[1:] != key[:-1]])]
    return np.ascontiguousarray(np.stack([key // count, key % count], axis=1))


def places(graph: Links, links: IntArray) -> IntArray:
    """Where each link stands among the edges of the graph; -1 where it is missing."""
    count = int(max(graph.edges.max(initial=0), links.max(initial=0))) + 1
    key = graph.edges[:, 0] * count + graph.edges[:, 1]
    wanted = np.sort(links, axis=1) @ np.array([count, 1])
    at = np.minimum(np.searchsorted(key, wanted), max(len(key) - 1, 0))
    return np.where(key[at] == wanted, at, -1) if len(key) else np.full(len(links), -1)


def way_cost(metric: Metric, a: Sequence[float], b: Sequence[float]) -> float:
    """Cost of the move between two points."""
    from plotlib.planning.cost_kernel import move_cost

    return float(move_cost(metric, float(a[0] - b[0]), float(a[1] - b[1])))
