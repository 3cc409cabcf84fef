"""The sides of strokes of any area: crossings with its edges, and one point in polygon for each run
between them.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon

from plotlib.arrays.cutting_crossings import Crossings, crossings
from plotlib.arrays.cutting_pieces import Nodes
from plotlib.arrays.cutting_rectangle import TOLERANCE
from plotlib.checks import BoolArray, FloatArray, IntArray

# Rounding of a coordinate grows with it: far out, the tolerance is this many units of the last
# place.
_LAST_PLACES = 16 * np.finfo(np.float64).eps


class Outline:
    """A knife with any edges, holes and parts."""

    def __init__(self, area: Polygon | MultiPolygon) -> None:
        self.area = area
        shapely.prepare(area)
        self.starts, self.ends = _edges(area)
        self.tree = shapely.STRtree(_lines(self.starts, self.ends))
        box = np.array(area.bounds)
        self.low = box[:2]
        self.high = box[2:]
        self.reach = float(np.abs(box).max())
        # Slanting segments are looked up in parts of about this size, lest their boxes hold half of
        # the outline.
        self.cell = float((self.high - self.low).max()) / min(
            max(0.5 * len(self.starts) ** 0.5, 1), 512
        )

    def whole(self, points: FloatArray, offsets: IntArray) -> IntArray:
        """For each stroke 1 or 0 if no edge is near it or if it has no length, else -1."""
        low = np.minimum.reduceat(points, offsets[:-1])
        high = np.maximum.reduceat(points, offsets[:-1])
        margin = 4 * self.tolerance(low, high)[:, None]
        side = np.zeros(len(low), dtype=np.int64)
        close = np.flatnonzero(
            ((low - margin <= self.high) & (high + margin >= self.low)).all(axis=1)
        )
        low = low[close]
        high = high[close]
        margin = margin[close]
        large = (high - low).min(axis=1) > 4 * self.cell
        small = np.flatnonzero(~large)
        touched = self.tree.query(_lines(low[small] - margin[small], high[small] + margin[small]))[
            0
        ]
        near = large
        near[small[touched]] = True
        mixed = near & (high > low).any(axis=1)
        side[close] = np.where(mixed, -1, 0)
        known = close[~mixed]
        side[known] = self.holds(points[offsets[known]], near[~mixed])
        return side

    def nodes(self, points: FloatArray, offsets: IntArray) -> Nodes:
        """Strokes with all of their crossings, also those at which the side stays the same."""
        segment = np.ones(len(points), dtype=np.bool_)
        segment[offsets[1:] - 1] = False
        found = crossings(self, points, np.flatnonzero(segment))
        place = np.arange(len(points)) + np.searchsorted(found.segment, np.arange(len(points)))
        total = len(points) + len(found.segment)
        woven = np.empty((total, 2))
        given = np.zeros(total, dtype=np.bool_)
        given[place] = True
        woven[place] = points
        woven[~given] = found.point
        bounds = np.append(place, total)[offsets]
        return Nodes(woven, bounds, self._sides(woven, bounds, _breaks(found, place, total)), given)

    def trimmed(self, points: FloatArray) -> FloatArray:
        """The points as they are: an edge that slants has no exact points to move to."""
        return points

    def tolerance(self, start: FloatArray, end: FloatArray) -> FloatArray:
        """What counts as on the edge (mm), for boxes or segments."""
        reach = np.maximum(
            np.abs(start).max(axis=1, initial=self.reach),
            np.abs(end).max(axis=1, initial=self.reach),
        )
        tolerance: FloatArray = np.maximum(TOLERANCE, _LAST_PLACES * reach)
        return tolerance

    def holds(self, points: FloatArray, near: BoolArray) -> BoolArray:
        """Whether points are in the closed area, or if they may be near an edge: within the
        tolerance of it.
        """
        inside: BoolArray = shapely.intersects_xy(self.area, points[:, 0], points[:, 1])
        rest = np.flatnonzero(near & ~inside)
        tolerance = self.tolerance(points[rest], points[rest])
        with np.errstate(all="ignore"):  # edges so short that the square of their length is 0
            inside[rest] = shapely.dwithin(self.area, shapely.points(points[rest]), tolerance)  # type: ignore[call-overload]
        return inside

    def _sides(self, points: FloatArray, offsets: IntArray, breaks: BoolArray) -> BoolArray:
        """Sides of all links: constant between breaks, so that one point of each run tells."""
        breaks[offsets[:-1]] = True
        last = offsets[1:] - 1
        breaks[last] = True
        first = np.flatnonzero(breaks)
        link = first[~np.isin(first, last)]
        # A run that passes a point which is no break is tested there, well off the edge; else in
        # the middle of its only link.
        free = ~breaks[link + 1]
        probe = np.where(
            free[:, None], points[link + 1], 0.5 * points[link] + 0.5 * points[link + 1]
        )
        side = np.zeros(len(points), dtype=np.bool_)
        side[link] = self.holds(probe, ~free)
        run = np.cumsum(breaks) - 1
        sides: BoolArray = side[first][run]
        return sides


def _breaks(found: Crossings, place: IntArray, total: int) -> BoolArray:
    breaks = np.ones(total, dtype=np.bool_)
    breaks[place] = found.near
    return breaks


def _edges(area: Polygon | MultiPolygon) -> tuple[FloatArray, FloatArray]:
    """Edges of all rings, each from its lesser to its greater end, so that two areas cut alike
    along a common edge.
    """
    rings = shapely.get_rings(shapely.get_parts(area))
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    edge = (ring[1:] == ring[:-1]) & (corners[1:] != corners[:-1]).any(axis=1)
    start = corners[:-1][edge]
    end = corners[1:][edge]
    swap = (start[:, 0] > end[:, 0]) | ((start[:, 0] == end[:, 0]) & (start[:, 1] > end[:, 1]))
    return np.where(swap[:, None], end, start), np.where(swap[:, None], start, end)


def _lines(start: FloatArray, end: FloatArray) -> NDArray[np.object_]:
    return np.asarray(shapely.linestrings(np.stack((start, end), axis=1)))
