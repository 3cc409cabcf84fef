"""Cut a tour into pieces at some of its links, list what is near each piece, and put the pieces
together in another order: Karp's partitioning of the plane (Mathematics of Operations Research 2,
1977), on a tour that stands already.

``seq`` (n,) holds the entry ends of a tour, ``cuts`` (pieces,) the positions after which it is cut,
ascending, ``pieces`` (pieces,) the tour of the pieces. Every stroke stands in one piece, before and
after. Tested by ``tests/planning/ordering/test_tiles.py``: what a tile gains the tour gains.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import AnyInts, FloatArray, IntArray
from plotlib.compiled import compiled


@compiled
def rebuild(seq: AnyInts, cuts: AnyInts, pieces: AnyInts, out: AnyInts) -> None:
    """Write the tour that visits the pieces of ``seq`` in the order ``pieces``.

    Piece k runs from after position ``cuts[k - 1]`` to ``cuts[k]``, cyclically; an entry of
    ``pieces`` is 2k, or 2k + 1 for a piece that is walked backwards.
    """
    n = len(seq)
    at = 0
    for entry in pieces:
        k = entry >> 1
        first = cuts[k - 1] + 1 if k > 0 else cuts[-1] + 1 - n
        last = cuts[k]
        if entry & 1:
            for p in range(last, first - 1, -1):
                out[at] = seq[p if p >= 0 else p + n] ^ 1
                at += 1
        else:
            for p in range(first, last + 1):
                out[at] = seq[p if p >= 0 else p + n]
                at += 1


@compiled
def lists_within(
    ends: IntArray, row: AnyInts, near: AnyInts, far: FloatArray
) -> tuple[AnyInts, AnyInts, FloatArray]:
    """The lists of near ends of ``ends``, without all other ends, in numbers that count along
    ``ends``; -1 and inf after the last.

    Returns the row of each end, the rows of near ends, and the costs of the links to them; ends
    that shared a row share one still.
    """
    number = np.full(len(row), -1, np.int32)
    fresh = np.full(len(near), -1, np.int32)
    count = 0
    width = near.shape[1]
    rows = np.empty(len(ends), np.int32)
    for k in range(len(ends)):
        number[ends[k]] = k
        here = row[ends[k]]
        if fresh[here] < 0:
            fresh[here] = count
            count += 1
        rows[k] = fresh[here]
    kept = np.full((count, width), -1, np.int32)
    costs = np.full((count, width), np.inf)
    done = 0
    for k in range(len(ends)):
        if rows[k] < done:
            continue
        done += 1
        here = row[ends[k]]
        at = 0
        for j in range(width):
            e = near[here, j]
            if e >= 0 and number[e] >= 0:
                kept[rows[k], at] = number[e]
                costs[rows[k], at] = far[here, j]
                at += 1
    return rows, kept, costs
