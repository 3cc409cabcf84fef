"""Union-find with path halving (Tarjan and van Leeuwen, Journal of the ACM 31, 1984), for all rooms
of planning.

``parent`` (n,) holds for each item another one of its set, or itself where it stands for the set.
Between calls every walk along ``parent`` ends at such an item. Two sets become one by ``parent[one]
= other`` on what :func:`root` gave for them; the callers say which of the two stays. Tested by
``tests/planning/test_union_find.py`` against sets of Python.
"""

from __future__ import annotations

from plotlib.checks import AnyInts
from plotlib.compiled import compiled


@compiled
def root(parent: AnyInts, item: int) -> int:
    """The item that stands for a set; the way to it is halved."""
    while parent[item] != item:
        parent[item] = parent[parent[item]]
        item = parent[item]
    return item
