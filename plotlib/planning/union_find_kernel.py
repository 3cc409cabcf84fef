"""Union-find with path halving (Tarjan and van Leeuwen, Journal of the ACM 31, 1984), for all rooms
of planning.

``parent`` (n,) holds for each item another one of its set, or itself where it stands for the set.
Between calls every walk along ``parent`` ends at such an item. Two sets become one by ``parent[one]
= other`` on what :func:`root` gave for them; the callers say which of the two stays. Tested by
``tests/planning/test_union_find.py`` against sets of Python and a general library's components.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import AnyInts, IntArray
from plotlib.compiled import compiled, compiled_above


@compiled
def root(parent: AnyInts, item: int) -> int:
    """The item that stands for a set; the way to it is halved."""
    while parent[item] != item:
        parent[item] = parent[parent[item]]
        item = parent[item]
    return item


@compiled_above(5_000)
def components(one: AnyInts, other: AnyInts, count: int) -> tuple[IntArray, int]:
    """The connected part (count,) of each node of a graph with an edge from each of ``one`` (E,) to
    that of ``other`` (E,), and how many parts there are; numbered by their lowest nodes.
    """
    parent = np.arange(count)
    for edge in range(len(one)):
        here = root(parent, one[edge])
        there = root(parent, other[edge])
        parent[max(here, there)] = min(here, there)  # so the lowest node stands for its part
    part = np.zeros(count, np.int64)
    parts = 0
    for node in range(count):
        lowest = root(parent, node)
        if lowest == node:
            part[node] = parts
            parts += 1
        else:
            part[node] = part[lowest]
    return part, parts
