"""Compiled: a uniform spanning tree by loop-erased random walks.

D. B. Wilson, *Generating random spanning trees more quickly than the cover time*, STOC 1996: from
each vertex in turn a random walk until it meets the tree; of each vertex that it passed only the
last way out counts, which erases the loops. Random numbers are those of SplitMix64 (G. L. Steele,
D. Lea, C. H. Flood, 2014).

Between walks ``parent`` of every vertex in the tree leads to the root of its part.

``tests/published/test_growth.py`` tests the counts of Kirchhoff's theorem and that all trees are
equally likely.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import IntArray
from plotlib.compiled import compiled

_GOLDEN = np.uint64(0x9E3779B97F4A7C15)
_MIX_1 = np.uint64(0xBF58476D1CE4E5B9)
_MIX_2 = np.uint64(0x94D049BB133111EB)
_S30 = np.uint64(30)
_S27 = np.uint64(27)
_S31 = np.uint64(31)
_S33 = np.uint64(33)


@compiled
def tree(starts: IntArray, listed: IntArray, roots: IntArray, seed: int) -> IntArray:
    """The parent of each vertex (n,), -1 for roots. The neighbours of vertex k are
    ``listed[starts[k]:starts[k + 1]]``; every part of the graph has one of the ``roots``.
    """
    n = len(starts) - 1
    parent = np.full(n, -1, np.int64)
    is_done = np.zeros(n, np.bool_)
    for root in roots:
        is_done[root] = True
    state = np.uint64(seed)
    for start in range(n):
        k = start
        while not is_done[k]:
            state = state + _GOLDEN
            z = state
            z = (z ^ (z >> _S30)) * _MIX_1
            z = (z ^ (z >> _S27)) * _MIX_2
            z = z ^ (z >> _S31)
            ways = starts[k + 1] - starts[k]
            # a product of 31 random bits and few ways: no way is favoured by more than 1e-8
            pick = np.int64(((z >> _S33) * np.uint64(ways)) >> _S31)
            parent[k] = listed[starts[k] + pick]
            k = parent[k]
        k = start
        while not is_done[k]:
            is_done[k] = True
            k = parent[k]
    return parent
