"""Whether a closed line crosses itself or the edge of an area, and where."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.checks import FloatArray, IntArray

_LONGEST = 4.0  # cells that a segment may be long


def is_simple(line: FloatArray) -> bool:
    """Whether a line (n, 2) crosses itself nowhere."""
    return bool(shapely.is_simple(shapely.linestrings(line)))


def fits(line: FloatArray, area: Polygon | MultiPolygon) -> bool:
    """Whether a line (n, 2) crosses neither itself nor the edge of an area."""
    return is_simple(line) and bool(shapely.covers(area, shapely.linestrings(line)))


def crossings(line: FloatArray) -> IntArray:
    """The pairs (k, 2) of segments of a closed line (n, 2), its first point said again, that meet
    without being neighbours: the first of each pair the lower one, in order.
    """
    from plotlib.fills.evening_cells import laid_out, overlapping

    steps = np.diff(line, axis=0)
    even = np.sqrt(np.prod(np.ptp(line, axis=0)) / len(steps))
    side = max(even, np.hypot(*steps.T).max() / _LONGEST)
    segments, cells = laid_out(line[:-1], np.empty((0, 4)), side)
    pairs = np.unique(overlapping(segments, cells), axis=0)
    one: Any = shapely.linestrings(segments[pairs[:, 0]].reshape(-1, 2, 2))
    other: Any = shapely.linestrings(segments[pairs[:, 1]].reshape(-1, 2, 2))
    return np.asarray(pairs[shapely.intersects(one, other)])
