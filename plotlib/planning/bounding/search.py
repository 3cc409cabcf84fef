"""The search for multipliers behind the bound, and the exact value that certifies each of them.

The search walks on a sparse graph of links, in short stretches. After each, the exact least
spanning tree over all links tells what the best multipliers of the stretch are worth; the links
that it uses, and those that have come near, join the graph, odd sets that the 1-trees overfill get
multipliers, and the search goes on from where it is. Where long steps have upset it, it goes back
to the best that it found, and on in shorter ones.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.planning.bounding.graph import Graph, Problem, graph_of, places, union, way_cost
from plotlib.planning.bounding.sets import OddSets, inside, no_sets, separated

NEAR, NEAR_CLOSED = (
    4,
    5,
)  # links to look at from each end in each stretch; from each vertex where some run is closed
# ends times steps, and the least number of steps
WORK = 5e6
LEAST = 100
# root of the ends times steps where some run is closed: the many links of its vertices make a step
# slow
WORK_CLOSED = 25_000
# more than so many steps, and so many for each end, gain nothing
FEW = 200
SLOW = 60
STRETCH = 20  # steps
UPSET = 0.5  # a value below this share of the best tells that the search is upset
# how much shorter steps become then, down to what
PACE = 0.5
SLOWEST = 0.1
# ends above which so few steps must do
MANY = 1_000_000
FEWEST = 24


@dataclass(frozen=True)
class _Search:
    """Multipliers of the ends, of the slots of a graph and of odd sets; how often its links were
    taken of late.
    """

    graph: Graph
    pi: FloatArray
    rho: FloatArray
    sets: OddSets
    mean: FloatArray


def ascent(problem: Problem, go_on: Callable[[], bool]) -> float:
    """The best certified value of some stretches of search; no more of them where it does not go
    on.
    """
    from plotlib.planning.bounding import least_kernel as bound_kernel
    from plotlib.planning.bounding.levels_kernel import levels

    nothing = np.zeros(0)
    search = _Search(
        graph_of(problem, np.zeros((0, 2), dtype=np.int64)),
        np.zeros(len(problem.xy)),
        nothing,
        no_sets(),
        nothing,
    )
    exact, tree, best = _certified(problem, search)
    scale = best + way_cost(problem.metric, problem.xy.min(axis=0), problem.xy.max(axis=0))
    above = levels(
        tree, bound_kernel.costs_of(problem.metric, problem.xy, tree), problem.group, problem.runs
    )
    search = _widened(problem, exact, tree)
    tide = np.zeros((2, len(above)))
    pace = 1.0
    summit = exact
    for steps in _stretches(len(problem.xy), closed=not problem.share.all()):
        if not go_on():
            break
        while True:
            claimed, peak, last, is_tour = _climbed(
                problem, search, above, tide, pace * scale * steps
            )
            exact, tree, value = _certified(problem, peak)
            if value >= UPSET * best or pace < SLOWEST:
                break
            pace *= PACE
            search = _widened(problem, summit, np.concatenate([exact.graph.edges, tree]))
            tide[:] = 0.0
        if value > best:
            best = value
            summit = exact
        if is_tour and best >= claimed - 1e-12 * scale:
            break  # no multipliers do better
        sets = (
            separated(last.sets, last.graph, problem.share, last.mean)
            if len(problem.xy) <= MANY
            else last.sets
        )
        search = _widened(
            problem, replace(last, sets=sets), np.concatenate([exact.graph.edges, tree])
        )
    return best


def _stretches(ends: int, *, closed: bool) -> list[FloatArray]:
    """Step sizes of each stretch: the gain that a step aims at, as a share of the cost. They fall;
    fewer for many ends.
    """
    steps = WORK_CLOSED / math.sqrt(ends) if closed else WORK / ends
    count = max(LEAST, min(round(steps), FEW + SLOW * ends)) if ends <= MANY else FEWEST
    return np.array_split(
        np.geomspace(1.0, 1.0 / count, count), max(2, min(count // STRETCH, 4 + ends // 10))
    )


def _climbed(
    problem: Problem, search: _Search, above: IntArray, tide: FloatArray, steps: FloatArray
) -> tuple[float, _Search, _Search, bool]:
    """The value that the sparse graph claims, the search with its multipliers and with the last
    ones, and whether a tour was found.
    """
    from plotlib.planning.bounding.ascent_kernel import ascend

    graph = search.graph
    sets = search.sets
    p = problem
    start = np.concatenate([search.pi, search.rho, sets.zeta])
    mean = search.mean.copy()
    links = (
        graph.edges,
        graph.costs,
        graph.slots,
        graph.owner,
        *inside(sets, graph, len(p.xy)),
        sets.room,
    )
    claimed, peak, last, is_tour = ascend(
        start, mean, tide, *links, p.group, above, p.runs, p.share, p.first, p.second, steps
    )

    def found(multipliers: FloatArray) -> _Search:
        pi, rho, zeta = np.split(multipliers, [len(search.pi), len(search.pi) + len(search.rho)])
        return _Search(graph, pi, rho, replace(sets, zeta=zeta), mean)

    return claimed, found(peak), found(last), is_tour


def _widened(problem: Problem, search: _Search, links: IntArray) -> _Search:
    """The search with more links; new slots begin at 0."""
    graph = graph_of(problem, union(search.graph.edges, links))
    rho = np.zeros(len(graph.keys))
    mean = np.zeros(len(graph.edges))
    rho[np.searchsorted(graph.keys, search.graph.keys)] = search.rho
    mean[places(graph, search.graph.edges)] = search.mean
    return replace(search, graph=graph, rho=rho, mean=mean)


def _near(problem: Problem, pi: FloatArray) -> tuple[IntArray, FloatArray]:
    """Links a < b of each end to near ends of other runs, and what cost + multiplier all others
    have at least.
    """
    from plotlib.planning.bounding.cells_kernel import near

    count = NEAR if problem.share.all() else NEAR_CLOSED
    found, reach = near(
        problem.xy, problem.group, problem.spans, problem.boxes, problem.metric, pi, count
    )
    links = np.stack([np.repeat(np.arange(len(found)), count), found.ravel()], axis=1)
    return np.sort(links[links[:, 1] >= 0], axis=1), reach


def _certified(problem: Problem, search: _Search) -> tuple[_Search, IntArray, float]:
    """The search with the links that are near now, the least spanning tree of the runs over all
    links, and the value of its 1-tree.
    """
    links, reach = _near(problem, search.pi)
    search = _widened(problem, search, links)
    raises = _raises(problem, search)
    tree = _spanned(problem, search, raises, reach)
    return search, tree, _value(problem, search, raises, tree)


def _raises(problem: Problem, search: _Search) -> FloatArray:
    """What each link of the graph weighs more for the odd sets that hold it."""
    from plotlib.planning.bounding.ascent_kernel import raised

    raises = np.zeros(len(search.graph.edges))
    raised(
        raises,
        search.sets.zeta,
        *inside(search.sets, search.graph, len(problem.xy)),
        search.sets.room,
    )
    return raises


def _spanned(problem: Problem, search: _Search, raises: FloatArray, reach: FloatArray) -> IntArray:
    """The least spanning tree of the runs over all links."""
    from plotlib.planning.bounding import least_kernel as bound_kernel
    from plotlib.planning.bounding.tree_kernel import spanning_tree

    pi = search.pi
    graph = search.graph
    weights = np.empty(len(graph.edges))
    bound_kernel.weigh(weights, pi, search.rho, graph.edges, graph.slots, graph.costs)
    tree = problem.xy, problem.group, problem.runs, problem.spans, problem.boxes, problem.metric
    starts = np.searchsorted(graph.owner, np.arange(len(pi) + 1))
    slots = starts, graph.keys - problem.runs * graph.owner, search.rho
    return spanning_tree(*tree, pi, *slots, graph.edges, weights + raises, reach)


def _value(problem: Problem, search: _Search, raises: FloatArray, links: IntArray) -> float:
    """The value of the 1-tree with this exact spanning tree, less a margin for every rounding on
    the way.
    """
    from plotlib.planning.bounding import least_kernel as bound_kernel

    pi = search.pi
    rho = search.rho
    graph = search.graph
    target = np.zeros(len(pi), dtype=np.int64)
    bound_kernel.wanted(pi, rho, graph.owner, problem.group, problem.share, problem.runs, target)
    u, v = bound_kernel.two_links(problem.first, problem.second, pi, problem.group)
    costs = bound_kernel.costs_of(problem.metric, problem.xy, links)
    home = np.array([problem.first[u], problem.second[v], pi[u], pi[v]])
    every = [costs, home, pi[links].ravel(), -target * pi, -search.sets.zeta * search.sets.room]
    at = places(graph, links)
    every.append(raises[at[at >= 0]])
    if len(rho):
        key = (links * problem.runs + problem.group[links[:, ::-1]]).ravel()
        slot = np.minimum(np.searchsorted(graph.keys, key), len(rho) - 1)
        every += [rho[slot[graph.keys[slot] == key]], -rho[target[graph.owner] == 2]]
    terms = np.concatenate(every)
    return math.fsum(terms.tolist()) - 64 * np.finfo(np.float64).eps * float(np.abs(terms).sum())
