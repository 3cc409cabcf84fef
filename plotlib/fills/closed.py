"""Whether a closed line crosses itself or the edge of an area, and where."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.checks import FloatArray, IntArray


def is_simple(line: FloatArray) -> bool:
    """Whether a line (n, 2) crosses itself nowhere."""
    return bool(shapely.is_simple(shapely.linestrings(line)))


def fits(line: FloatArray, area: Polygon | MultiPolygon) -> bool:
    """Whether a line (n, 2) crosses neither itself nor the edge of an area."""
    return is_simple(line) and bool(shapely.covers(area, shapely.linestrings(line)))


def crossings(line: FloatArray) -> tuple[IntArray, IntArray]:
    """The pairs of segments (k,), (k,) of a closed line (n, 2) that meet without being neighbours,
    each pair both ways round.
    """
    pieces: Any = shapely.linestrings(np.stack([line[:-1], line[1:]], axis=1))
    one, other = shapely.STRtree(pieces).query(pieces, predicate="intersects")
    apart = np.abs(other - one)
    meet = (apart > 1) & (apart < len(pieces) - 1)
    return one[meet], other[meet]
