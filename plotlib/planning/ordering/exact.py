"""The optimum for a few runs, closed ones of any size included.

Which sequence is cheapest is decided by a depth-first search with lower bounds; which states along
it, by dynamic programming.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.runs import States, states_cost

MOST = 10  # runs: the table of their subsets doubles with each more
# Finer stretches give tighter bounds and larger tables. How these were set was not kept.
STRETCHES = 32  # of a closed run, for the bounds
FINE = 80  # stretches where there are many vertices
MANY = 20_000  # vertices from which on there are many


def exact_order(
    states: States, metric: Metric, ends: FloatArray, labels: IntArray, known: IntArray
) -> IntArray:
    """States entered in the cheapest order of at most ten runs; ``known`` is a good order (its
    states entered).
    """
    from plotlib.planning.ordering.closed_kernel import best_states
    from plotlib.planning.ordering.exact_kernel import Stretches, cheapest_sequence, rest_costs

    needs = np.array([np.sum(1 << np.flatnonzero(labels < label)) for label in labels], np.int64)
    counts = np.minimum(np.diff(states.first), STRETCHES if len(states.xy) < MANY else FINE)
    bounds = [
        np.linspace(low, high, count + 1).astype(np.int64)
        for low, high, count in zip(states.first[:-1], states.first[1:], counts, strict=True)
    ]
    first = np.concatenate([[0], np.cumsum(counts)])
    low = np.concatenate([part[:-1] for part in bounds] + [states.first[-1:]])
    enter = _boxes(states.xy, low)
    leave = _boxes(states.xy[states.leave], low)
    rest, gaps = rest_costs(metric, enter, leave, first, needs, np.tile(ends[2:], 2))
    limit = states_cost(states, known, metric, ends) * (1 - 1e-12)
    given = Stretches(states.xy, states.leave, low, first, needs, ends, rest, gaps)
    sequence = cheapest_sequence(metric, given, limit)
    if sequence[0] < 0:
        return known
    return best_states(metric, states.xy, states.first, states.leave, sequence, ends)


def _boxes(xy: FloatArray, low: IntArray) -> FloatArray:
    """Box of the points low[k]:low[k + 1] for each k."""
    return np.concatenate(
        [np.minimum.reduceat(xy, low[:-1]), np.maximum.reduceat(xy, low[:-1])], axis=1
    )
