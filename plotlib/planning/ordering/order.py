"""The order of the pen: which run next, in which direction, from which vertex, so that pen-up moves
cost the least.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from plotlib.checks import BoolArray, FloatArray, IntArray, Seed, generator, one_of, positive
from plotlib.errors import InvalidValue
from plotlib.interrupt import GoOn, interruptible
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.exact import MOST, exact_order
from plotlib.planning.ordering.runs import Order, Place, Runs, States, ends_array, states_cost
from plotlib.planning.ordering.search import Work, search_order

__all__ = ["Order", "Runs", "naive_order", "order", "order_cost"]

AT_ONCE = 200  # places up to which an order is found before anyone interrupts
EFFORTS = {"quick": 0.2, "normal": 1.0, "best": 5.0}


def order(
    runs: Runs,
    metric: Metric,
    *,
    home: Place,
    finish: Place,
    effort: str | float = "normal",
    time_limit: float | None = None,
    groups: ArrayLike | None = None,
    keep: bool = False,
    seed: Seed = 0,
    tell: Callable[[float], object] | None = None,
) -> Order:
    """Find an order of the runs whose pen-up moves cost little; never worse than the given order or
    the nearest-neighbour order.

    Parameters
    ----------
    runs : Runs
        Runs of one pen, in whole grid units.
    metric : Metric
        What a pen-up move costs, in seconds or mm.
    home, finish : (int, int) or None
        Where the carriage is before the first run and goes after the last, in grid units; None: it
        may start or stop anywhere.
    effort : {"quick", "normal", "best"} or float, default "normal"
        Amount of work (0.2, 1 and 5): kicks of the search, not seconds, so that the same input
        gives the same order everywhere.
    time_limit : float, optional
        Seconds after which the search ends early; the order then depends on the machine.
    groups : array_like of int, shape (M,), optional
        Runs of a lower label are drawn before those of a higher one.
    keep : bool, default False
        Keep the order as given; only directions and start vertices of closed runs are chosen.
    seed : int or numpy.random.Generator, default 0
        Seed of the search.
    tell : function, optional
        Told now and then how much of the search is done, 0 to 1.

    Returns
    -------
    Order
        Sequence, directions, start vertices and cost. Up to ten runs it is the optimum (subset
        dynamic programming).

    Raises
    ------
    InvalidValue
        ``groups`` of another shape or kind, ``effort`` or ``time_limit`` that are not above 0.
    UnknownName
        A word for ``effort`` that is none of the three.

    Notes
    -----
    Shortest links first, then local search (2-opt, or-opt and their three-link kin on lists of near
    ends), then kicks that swap two near runs of the tour, kept or undone by simulated annealing
    (Kirkpatrick, Gelatt and Vecchi, Science 220, 1983). Each move may enter the closed runs that it
    joins at other vertices; of runs with many vertices the search looks at some, and the last
    choice among all is exact for the order found (dynamic programming). Long tours are searched in
    tiles of the plane that move from round to round; very long ones in blocks that are searched
    side by side.

    Examples
    --------
    >>> from plotlib.planning.metric import distance_metric
    >>> points = np.array([[0, 0], [40, 0], [9, 0], [1, 0], [11, 0], [39, 0]])
    >>> three = Runs(points, np.array([0, 2, 4, 6]))
    >>> found = order(three, distance_metric(1.0), home=(0, 0), finish=None)
    >>> found.sequence.tolist(), found.reverse.tolist(), found.cost
    ([0, 2, 1], [False, True, False], 3.0)
    """
    states = States.of(runs)
    ends = ends_array(home, finish)
    labels = _labels(groups, len(runs))
    if len(runs) == 0:
        return states.order(
            np.zeros(0, np.int64), states_cost(states, np.zeros(0, np.int64), metric, ends)
        )
    amount = (
        EFFORTS[one_of("effort", effort, EFFORTS)]
        if isinstance(effort, str)
        else positive("effort", effort)
    )
    draws = generator(seed)
    in_time = _clock(time_limit)

    def found(asked: GoOn) -> Order:
        def go_on() -> bool:
            return asked() and in_time()

        work = None if keep else Work(amount, int(draws.integers(2**31)), go_on, tell=tell)
        return _best_order(states, metric, ends, labels, work)

    return interruptible(found) if len(states.xy) > AT_ONCE else found(lambda: True)


def _best_order(
    states: States, metric: Metric, ends: FloatArray, labels: IntArray, work: Work | None
) -> Order:
    """The best of the given order, the nearest-neighbour order and what the search finds; of the
    given order alone where there is no work.
    """
    candidates = []
    if work is None or (np.diff(labels) >= 0).all():
        candidates.append(states.first[:-1])
    if work is not None:
        candidates.append(_nearest(states, metric, ends, labels))
        if len(labels) <= MOST:
            known = min(
                (_best_entered(states, entered, metric, ends) for entered in candidates),
                key=lambda pair: pair[1],
            )[0]
            candidates.append(exact_order(states, metric, ends, labels, known))
        else:
            candidates.append(_searched(states, candidates[-1], metric, ends, labels, work))
    best = None
    for entered in candidates:
        found = _with_best_states(states, entered, metric, ends)
        if best is None or found.cost < best.cost:
            best = found
    assert best is not None
    return best


def order_cost(
    runs: Runs,
    sequence: IntArray,
    reverse: BoolArray,
    start: IntArray,
    metric: Metric,
    *,
    home: Place,
    finish: Place,
) -> float:
    """Cost of the pen-up moves of a given order, the move from home and the move to the finish
    included.

    Parameters
    ----------
    runs : Runs
        Runs in whole grid units.
    sequence : ndarray (M,) of int
        The runs in the order in which they are drawn, each once.
    reverse : ndarray (M,) of bool
        Whether each of them, in this order, is drawn from its last point to its first.
    start : ndarray (M,) of int
        The vertex at which each closed run begins, 0 for others.
    metric : Metric
        What a move costs, in seconds or mm.
    home, finish : (int, int) or None
        As in :func:`order`.

    Returns
    -------
    float
        Seconds or mm; lifts are not in it.

    Examples
    --------
    >>> from plotlib.planning.metric import distance_metric
    >>> two = Runs(np.array([[0, 3], [0, 9], [4, 9], [4, 20]]), np.array([0, 2, 4]))
    >>> none = np.zeros(2, int)
    >>> length = distance_metric(1.0)
    >>> order_cost(two, none + [0, 1], none > 0, none, length, home=(0, 0), finish=None)
    7.0
    """
    states = States.of(runs)
    entered = states.entered(
        np.asarray(sequence, np.int64), np.asarray(reverse, np.bool_), np.asarray(start, np.int64)
    )
    return states_cost(states, entered, metric, ends_array(home, finish))


def naive_order(
    runs: Runs, metric: Metric, *, home: Place, finish: Place, groups: ArrayLike | None = None
) -> Order:
    """The nearest-neighbour order, for comparison: always go to the nearest end of a run that is
    not drawn yet (the nearest vertex of a closed one).

    Parameters
    ----------
    runs : Runs
        Runs of one pen, in whole grid units.
    metric : Metric
        What a pen-up move costs, in seconds or mm.
    home, finish : (int, int) or None
        As in :func:`order`. With ``home=None`` the first run is the first one given.
    groups : array_like of int, shape (M,), optional
        Runs of a lower label are drawn before those of a higher one.

    Returns
    -------
    Order
        Sequence, directions, start vertices and cost.

    Raises
    ------
    InvalidValue
        If ``groups`` has another shape or kind.

    Notes
    -----
    The rule in D. J. Rosenkrantz, R. E. Stearns, P. M. Lewis, SIAM Journal on Computing 6, 1977
    (from memory): about a quarter longer than the optimum on random dots.

    Examples
    --------
    >>> from plotlib.planning.metric import distance_metric
    >>> dots = Runs(np.array([[4, 0], [1, 0], [-2, 0]]), np.array([0, 1, 2, 3]))
    >>> found = naive_order(dots, distance_metric(1.0), home=(0, 0), finish=None)
    >>> found.sequence.tolist(), found.cost
    ([1, 0, 2], 10.0)
    """
    states = States.of(runs)
    ends = ends_array(home, finish)
    if len(runs) == 0:
        return states.order(
            np.zeros(0, np.int64), states_cost(states, np.zeros(0, np.int64), metric, ends)
        )
    entered = _nearest(states, metric, ends, _labels(groups, len(runs)))
    return states.order(entered, states_cost(states, entered, metric, ends))


def _clock(time_limit: float | None) -> GoOn:
    if time_limit is None:
        return lambda: True
    stop = time.monotonic() + positive("time_limit", time_limit, unit="s")
    return lambda: time.monotonic() < stop


def _searched(
    states: States,
    entered: IntArray,
    metric: Metric,
    ends: FloatArray,
    labels: IntArray,
    work: Work,
) -> IntArray:
    """Search group after group, from where the last one ends, to where the next one begins."""
    found = _best_entered(states, entered, metric, ends)[0]
    groups = np.split(found, np.flatnonzero(np.diff(labels[states.owner[found]])) + 1)
    for k, group in enumerate(groups):
        chosen = np.sort(states.owner[group])
        part, where = subset(states, chosen)
        begin = ends[:2] if k == 0 else states.xy[states.leave[groups[k - 1][-1]]]
        end = ends[2:] if k == len(groups) - 1 else states.xy[groups[k + 1][0]]
        local = np.empty(len(states.xy), np.int64)
        local[where] = np.arange(len(where))
        groups[k] = where[
            search_order(part, local[group], metric, np.concatenate([begin, end]), work)
        ]
    return np.concatenate(groups)


def _labels(groups: ArrayLike | None, count: int) -> IntArray:
    if groups is None:
        return np.zeros(count, np.int64)
    labels = np.asarray(groups)
    if labels.shape != (count,) or labels.dtype.kind not in "iu":
        raise InvalidValue(
            f"groups must be {count} whole numbers, one a run; got {labels.dtype} of shape "
            f"{labels.shape}",
            name="groups",
        )
    return labels.astype(np.int64)


def _nearest(states: States, metric: Metric, ends: FloatArray, labels: IntArray) -> IntArray:
    from plotlib.planning.ordering.neighbours_kernel import Entries, nearest_walk

    parts = []
    at = (ends[0], ends[1])
    for label in np.unique(labels):
        chosen = np.flatnonzero(labels == label)
        part, where = subset(states, chosen)
        entries = Entries(part.xy, part.first, part.owner, part.leave)
        walked = where[nearest_walk(metric, entries, at[0], at[1], bool(np.isnan(at[0])))]
        at = tuple(states.xy[states.leave[walked[-1]]])
        parts.append(walked)
    return np.concatenate(parts)


def subset(states: States, chosen: IntArray) -> tuple[States, IntArray]:
    """The states of some runs only, renumbered, and for each the number it had before."""
    if len(chosen) == len(states.closed):
        return states, np.arange(len(states.xy))
    counts = states.first[chosen + 1] - states.first[chosen]
    first = np.concatenate([[0], np.cumsum(counts)])
    owner = np.repeat(np.arange(len(chosen)), counts)
    where = states.first[chosen][owner] + np.arange(first[-1]) - first[owner]
    leave = states.leave[where] - where + np.arange(first[-1])
    return States(
        xy=states.xy[where], first=first, leave=leave, owner=owner, closed=states.closed[chosen]
    ), where


def _with_best_states(states: States, entered: IntArray, metric: Metric, ends: FloatArray) -> Order:
    return states.order(*_best_entered(states, entered, metric, ends))


def _best_entered(
    states: States, entered: IntArray, metric: Metric, ends: FloatArray
) -> tuple[IntArray, float]:
    from plotlib.planning.ordering.closed_kernel import best_states

    plain = states_cost(states, entered, metric, ends)
    better = best_states(metric, states.xy, states.first, states.leave, states.owner[entered], ends)
    cost = states_cost(states, better, metric, ends)
    return (better, cost) if cost < plain else (entered, plain)
