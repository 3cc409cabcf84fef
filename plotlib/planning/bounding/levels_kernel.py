"""Kernels of the bound: surplus links of whole areas of the sheet, so that their multipliers move
together.

Subgradient steps on single ends hardly move a cluster or a hatch against the rest. Borůvka's rounds
along a spanning tree make a hierarchy of components: node ``k`` is run ``k`` for ``k < runs``, the
components of the first round follow, then those of the second, …; ``above`` holds the component
that each node is part of, -1 for those below the whole.

Borůvka's algorithm (1926; from memory) gives the hierarchy; that the multipliers of components move
together is our own, as in multigrid methods. Invariant of ``spread``: when a node has had its turn,
``push`` of it is its own share and that of all nodes above it. ``surplus`` and ``group`` (P,) are
of the points, ``above`` and ``push`` (nodes,) of the nodes, ``tide`` (2, nodes) is kept between
steps. What comes of it is a direction only: the bound is certified whatever it is, and
``tests/planning/bounding/test_bound.py`` compares it with exact optima.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.bounding.tree_kernel import best_edges, merged, no_links

RECENT = 0.1  # weight of this step in the means
WEIGHT = 1.0  # of the surplus of a component beside that of an end


@compiled
def levels(links: IntArray, weights: FloatArray, group: IntArray, runs: int) -> IntArray:
    """The hierarchy ``above`` of the runs along a spanning tree of links."""
    above = np.full(2 * runs, -1, np.int64)
    label = np.arange(runs)
    part = group.copy()
    scrap = np.empty((runs, 2), np.int64)
    active = np.arange(len(links))
    base = 0
    parts = runs
    while True:
        best = no_links(parts)
        active = best_edges(active, links, weights, part, best)
        before = label.copy()
        fewer, _ = merged(label, best, part, scrap, 0)
        if fewer <= 1 or fewer == parts:
            return above[: base + parts]
        for run in range(runs):
            above[base + before[run]] = base + parts + label[run]
        for u in range(len(part)):
            part[u] = label[group[u]]
        base = base + parts
        parts = fewer


@compiled
def spread(
    surplus: IntArray,
    group: IntArray,
    above: IntArray,
    runs: int,
    tide: FloatArray,
    push: FloatArray,
) -> float:
    """Fill ``push`` with the lasting surplus of all components that each node is part of; the sum
    of their squares.

    ``tide`` (2, nodes) goes on in place: the mean of the surplus of late and of its square. Where
    the surplus only swings to and fro the first is small beside the second, and the component is
    left alone.
    """
    push[:] = 0.0
    for u in range(len(surplus)):
        push[group[u]] += surplus[u]
    for node in range(len(above)):
        if above[node] >= 0:
            push[above[node]] += push[node]
    total = 0.0
    for node in range(len(above) - 1, -1, -1):
        own = 0.0
        if node >= runs:
            tide[0, node] += RECENT * (push[node] - tide[0, node])
            tide[1, node] += RECENT * (push[node] ** 2 - tide[1, node])
            if tide[1, node] > 0.0:
                own = WEIGHT * tide[0, node] * (tide[0, node] ** 2 / tide[1, node]) ** 2
            total += own * tide[0, node]
        push[node] = own + (push[above[node]] if above[node] >= 0 else 0.0)
    return total
