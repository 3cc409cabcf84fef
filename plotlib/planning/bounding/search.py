"""The search for multipliers behind the bound, and the exact value that certifies each of them.

The search walks on a sparse graph of links, in short stretches. After each, the exact least
spanning tree over all links tells what the best multipliers of the stretch are worth; the links
that it uses, and those that have come near, join the graph, sets that the 1-trees overfill get
multipliers, and the search goes on from where it is. Where long steps have upset it, it goes back
to the best that it found, and on in shorter ones.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.planning.bounding.graph import (
    Links,
    Multipliers,
    Problem,
    SetLinks,
    graph_of,
    places,
    union,
    way_cost,
)
from plotlib.planning.bounding.sets import Sets, linked, no_sets, separated

# WORK_CLOSED was measured: with 25,000 the 24-gons of tests/benchmarks/bound.py --closed lie at
# 11.9 % instead of 7.8 %. How the others were set was not kept; the benchmark shows the gap against
# seconds.
NEAR = 4  # links to look at from each end in each stretch
NEAR_CLOSED = 5  # from each vertex where some run is closed
WORK = 5e6  # ends times steps
LEAST = 100  # steps
WORK_CLOSED = 100_000  # root of the ends times steps where some run is closed: each step is slow
FEW = 200  # more steps than this gain nothing,
SLOW = 60  # with so many more for each end
STRETCH = 20  # steps
UPSET = 0.5  # a value below this share of the best tells that the search is upset;
PACE = 0.5  # then its steps become so much shorter,
SLOWEST = 0.1  # down to this
MANY = 1_000_000  # ends above which
FEWEST = 24  # steps must do, without new sets


class _Place(NamedTuple):
    """Where the search stands."""

    graph: Links
    now: Multipliers
    sets: Sets
    taken: FloatArray  # (E,) how often each link was taken of late
    chosen: FloatArray  # (P,) how often each vertex of a closed run was the chosen one


class _Climb(NamedTuple):
    """A stretch of steps on the sparse graph."""

    claimed: float
    peak: _Place  # the multipliers of the value claimed
    last: _Place
    is_tour: bool


class _Certificate(NamedTuple):
    """What multipliers are worth on the complete graph."""

    place: _Place  # with the links that are near now
    tree: IntArray  # (runs - 1, 2) the least spanning tree
    value: float


class _Course(NamedTuple):
    """What stays the same from stretch to stretch."""

    problem: Problem
    above: IntArray  # the hierarchy of components, see levels_kernel
    tide: FloatArray  # (2, nodes) goes on in place
    scale: float  # the unit of the gain that steps aim at


def ascent(problem: Problem, go_on: Callable[[], bool]) -> float:
    """The best certified value of some stretches of search; no more of them where it does not go
    on.
    """
    exact = _certified(problem, _foot(problem))
    course = _course(problem, exact)
    place = _widened(problem, exact.place, exact.tree)
    best = exact
    pace = 1.0
    for steps in _stretches(len(problem.xy), closed=not problem.share.all()):
        if not go_on():
            break
        while True:
            climb = _climbed(course, place, pace * course.scale * steps)
            exact = _certified(problem, climb.peak)
            if exact.value >= UPSET * best.value or pace < SLOWEST:
                break
            pace *= PACE
            place = _widened(problem, best.place, _met(exact))
            course.tide[:] = 0.0
        if exact.value > best.value:
            best = exact
        if climb.is_tour and best.value >= climb.claimed - 1e-12 * course.scale:
            break  # no multipliers do better
        place = _widened(problem, _restricted(problem, climb.last), _met(exact))
    return best.value


def _foot(problem: Problem) -> _Place:
    """Where the search begins: no links, no multipliers."""
    nothing = np.zeros(0)
    ends = len(problem.xy)
    graph = graph_of(problem, np.zeros((0, 2), dtype=np.int64))
    now = Multipliers(np.zeros(ends), nothing, nothing)
    return _Place(graph, now, no_sets(), nothing, np.zeros(ends))


def _course(problem: Problem, exact: _Certificate) -> _Course:
    """The hierarchy along the first tree, and how long the whole way may be."""
    from plotlib.planning.bounding import least_kernel
    from plotlib.planning.bounding.levels_kernel import levels

    costs = least_kernel.costs_of(problem.metric, problem.xy, exact.tree)
    above = levels(exact.tree, costs, problem.group, problem.runs)
    across = way_cost(problem.metric, problem.xy.min(axis=0), problem.xy.max(axis=0))
    return _Course(problem, above, np.zeros((2, len(above))), exact.value + across)


def _met(exact: _Certificate) -> IntArray:
    """The links that a certificate met with."""
    return np.concatenate([exact.place.graph.edges, exact.tree])


def _restricted(problem: Problem, place: _Place) -> _Place:
    """With multipliers for the sets that its 1-trees overfill."""
    if len(problem.xy) > MANY:
        return place
    sets, zeta = separated(
        place.sets, place.now.sets, place.graph, problem, place.taken, place.chosen
    )
    return place._replace(sets=sets, now=place.now._replace(sets=zeta))


def _stretches(ends: int, *, closed: bool) -> list[FloatArray]:
    """Step sizes of each stretch: the gain that a step aims at, as a share of the cost. They fall;
    fewer for many ends.
    """
    steps = WORK_CLOSED / math.sqrt(ends) if closed else WORK / ends
    count = max(LEAST, min(round(steps), FEW + SLOW * ends)) if ends <= MANY else FEWEST
    return np.array_split(
        np.geomspace(1.0, 1.0 / count, count), max(2, min(count // STRETCH, 4 + ends // 10))
    )


def _climbed(course: _Course, place: _Place, steps: FloatArray) -> _Climb:
    """Some steps on the sparse graph."""
    from plotlib.planning.bounding.ascent_kernel import Recent, ascend, split

    problem = course.problem
    graph = place.graph
    recent = Recent(place.taken.copy(), place.chosen.copy(), course.tide)
    claimed, peak, last, is_tour = ascend(
        problem,
        graph,
        linked(place.sets, graph, problem),
        course.above,
        recent,
        np.concatenate(place.now),
        steps,
    )

    def found(every: FloatArray) -> _Place:
        now = split(every, len(problem.xy), len(graph.keys))
        return place._replace(now=now, taken=recent.taken, chosen=recent.chosen)

    return _Climb(claimed, found(peak), found(last), is_tour)


def _widened(problem: Problem, place: _Place, links: IntArray) -> _Place:
    """The same with more links; new slots begin at 0."""
    graph = graph_of(problem, union(place.graph.edges, links))
    slots = np.zeros(len(graph.keys))
    taken = np.zeros(len(graph.edges))
    slots[np.searchsorted(graph.keys, place.graph.keys)] = place.now.slots
    taken[places(graph, place.graph.edges)] = place.taken
    return place._replace(graph=graph, now=place.now._replace(slots=slots), taken=taken)


def _near(problem: Problem, pi: FloatArray) -> tuple[IntArray, FloatArray]:
    """Links a < b of each end to near ends of other runs, and what cost + multiplier all others
    have at least.
    """
    from plotlib.planning.bounding.cells_kernel import near
    from plotlib.planning.kd_tree_kernel import Tree

    count = NEAR if problem.share.all() else NEAR_CLOSED
    tree = Tree(problem.xy, problem.spans, problem.boxes)
    found, reach = near(tree, problem.group, problem.metric, pi, count)
    links = np.stack([np.repeat(np.arange(len(found)), count), found.ravel()], axis=1)
    return np.sort(links[links[:, 1] >= 0], axis=1), reach


def _certified(problem: Problem, place: _Place) -> _Certificate:
    """The least spanning tree of the runs over all links, and the value of its 1-tree."""
    links, reach = _near(problem, place.now.ends)
    place = _widened(problem, place, links)
    sets = linked(place.sets, place.graph, problem)
    raises = _raises(place, sets)
    tree = _spanned(problem, place, raises, reach)
    return _Certificate(place, tree, _value(problem, place, sets, raises, tree))


def _raises(place: _Place, sets: SetLinks) -> FloatArray:
    """What each link of the graph weighs more for the sets that hold it."""
    from plotlib.planning.bounding.ascent_kernel import raised

    raises = np.zeros(len(place.graph.edges))
    raised(raises, place.now.sets, sets)
    return raises


def _spanned(problem: Problem, place: _Place, raises: FloatArray, reach: FloatArray) -> IntArray:
    """The least spanning tree of the runs over all links."""
    from plotlib.planning.bounding import least_kernel
    from plotlib.planning.bounding.tree_kernel import Known, spanning_tree
    from plotlib.planning.kd_tree_kernel import Tree

    pi = place.now.ends
    graph = place.graph
    weights = np.empty(len(graph.edges))
    least_kernel.weigh(weights, place.now, graph)
    vertices = np.arange(len(pi) + 1)
    known = Known(
        pi=pi,
        group=problem.group,
        starts=np.searchsorted(graph.owner, vertices),
        keys=graph.keys - problem.runs * graph.owner,
        rho=place.now.slots,
        firsts=np.searchsorted(graph.edges[:, 0], vertices),
        edges=graph.edges,
        weights=weights + raises,
    )
    tree = Tree(problem.xy, problem.spans, problem.boxes)
    return spanning_tree(tree, problem.runs, problem.metric, known, reach)


def _value(
    problem: Problem, place: _Place, sets: SetLinks, raises: FloatArray, links: IntArray
) -> float:
    """The value of the 1-tree with this exact spanning tree, less a margin for every rounding on
    the way.
    """
    from plotlib.planning.bounding import least_kernel

    pi, rho, zeta = place.now
    graph = place.graph
    target = np.zeros(len(pi), dtype=np.int64)
    least_kernel.wanted(problem, place.now, graph.owner, sets, target)
    u, v = least_kernel.two_links(problem.first, problem.second, pi, problem.group)
    costs = least_kernel.costs_of(problem.metric, problem.xy, links)
    home = np.array([problem.first[u], problem.second[v], pi[u], pi[v]])
    every = [costs, home, pi[links].ravel(), -target * pi, -zeta * sets.room]
    every.append(-zeta[sets.counting[target[sets.counted] == 2]])
    at = places(graph, links)
    every.append(raises[at[at >= 0]])
    if len(rho):
        key = (links * problem.runs + problem.group[links[:, ::-1]]).ravel()
        slot = np.minimum(np.searchsorted(graph.keys, key), len(rho) - 1)
        every += [rho[slot[graph.keys[slot] == key]], -rho[target[graph.owner] == 2]]
    terms = np.concatenate(every)
    return math.fsum(terms.tolist()) - 64 * np.finfo(np.float64).eps * float(np.abs(terms).sum())
