"""Compiled: where the edges of a band that passes under another one are hidden.

Lines are cut by lines, segment by segment: two segments p + t r and q + s w cross where t =
(q - p) × w / r × w and s = (q - p) × r / r × w both lie in 0 … 1 (F. Antonio, *Faster Line Segment
Intersection*, Graphics Gems III, 1992, from memory).

Invariant: what is hidden of an edge runs from the first to the last place at which it meets either
edge of the band above, and only the rows of the two sections that cross are looked at.

``tests/tilings/test_interlacing.py`` tests it against shapely.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled


@compiled
def hidden(edges: FloatArray, wide: FloatArray, under: IntArray, over: IntArray) -> FloatArray:
    """For each crossing and each edge where it is hidden, in rows and parts of rows.

    Parameters
    ----------
    edges : float array (E, N, 2)
        E lines along every strand, row by row.
    wide : float array (2, N, 2)
        The edges of the strands with their gaps.
    under, over : int arrays (C, 2)
        The first and the last row of the two sections that cross.

    Returns
    -------
    float array (C, E, 2)
        The first and the last hidden place, not a number where a line does not meet both edges.
    """
    result = np.full((len(under), len(edges), 2), np.nan)
    for c in range(len(under)):
        for e in range(len(edges)):
            low = np.inf
            high = -np.inf
            met = 0
            for side in range(2):
                first, last = _met(edges[e], wide[side], under[c], over[c])
                met += first <= last
                low = min(low, first)
                high = max(high, last)
            if met == 2:
                result[c, e, 0] = low
                result[c, e, 1] = high
    return result


@compiled
def _met(
    line: FloatArray, other: FloatArray, mine: IntArray, theirs: IntArray
) -> tuple[float, float]:
    """The first and the last place at which some rows of a line meet some rows of another."""
    low = np.inf
    high = -np.inf
    for i in range(mine[0], mine[1]):
        rx = line[i + 1, 0] - line[i, 0]
        ry = line[i + 1, 1] - line[i, 1]
        for k in range(theirs[0], theirs[1]):
            wx = other[k + 1, 0] - other[k, 0]
            wy = other[k + 1, 1] - other[k, 1]
            across = rx * wy - ry * wx
            if across == 0.0:
                continue
            dx = other[k, 0] - line[i, 0]
            dy = other[k, 1] - line[i, 1]
            t = (dx * wy - dy * wx) / across
            s = (dx * ry - dy * rx) / across
            if 0.0 <= t <= 1.0 and 0.0 <= s <= 1.0:
                low = min(low, i + t)
                high = max(high, i + t)
    return low, high
