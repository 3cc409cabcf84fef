"""Where segments cross the edges of an area, and which of their ends lie near an edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import shapely

from plotlib.checks import BoolArray, FloatArray, IntArray

# So many boxes are looked up, so many pairs worked on at a time: temporary arrays stay in the
# cache, and memory bounded.
_BOXES = 1 << 14
_PAIRS = 1 << 16
_MOST_PARTS = 1024


@dataclass(frozen=True)
class Crossings:
    """Crossings in the order of the strokes.

    Attributes
    ----------
    segment : ndarray, shape (C,)
        Index of the point that begins the crossed segment, ascending.
    point : ndarray, shape (C, 2)
        Further than the tolerance from both ends of the segment and from the crossing before.
    near : ndarray of bool, shape (N,)
        Whether each point of the strokes is so near to an edge that the side may change there.
    """

    segment: IntArray
    point: FloatArray
    near: BoolArray


class Edges(Protocol):
    """The edges of an area with a search tree."""

    starts: FloatArray
    ends: FloatArray
    low: FloatArray
    high: FloatArray
    tree: shapely.STRtree
    cell: float

    def tolerance(self, start: FloatArray, end: FloatArray) -> FloatArray:
        """What counts as on the edge (mm), for segments."""


def crossings(edges: Edges, points: FloatArray, segments: IntArray) -> Crossings:
    """All crossings of the segments that begin at the points ``segments``, sorted and freed of
    repetitions.
    """
    near = np.zeros(len(points), dtype=np.bool_)
    found: list[tuple[IntArray, FloatArray, FloatArray]] = []
    for segment, edge in _pairs(edges, points, segments):
        for low in range(0, len(segment), _PAIRS):
            found.append(
                _meetings(
                    edges, points, segment[low : low + _PAIRS], edge[low : low + _PAIRS], near
                )
            )
    if not found:
        return Crossings(np.empty(0, dtype=np.int64), np.empty((0, 2)), near)
    segment, way, point = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.lexsort((way, segment))
    segment = segment[order]
    way = way[order]
    point = point[order]
    start = points[segment]
    end = points[segment + 1]
    length = np.hypot(*(end - start).T)
    tolerance = edges.tolerance(start, end)
    apart = (way > tolerance) & (way < length - tolerance)
    segment = segment[apart]
    way = way[apart]
    point = point[apart]
    tolerance = tolerance[apart]
    fresh = np.ones(len(segment), dtype=np.bool_)
    fresh[1:] = (segment[1:] != segment[:-1]) | (way[1:] - way[:-1] > tolerance[1:])
    return Crossings(segment[fresh], point[fresh], near)


def _pairs(
    edges: Edges, points: FloatArray, segments: IntArray
) -> Iterator[tuple[IntArray, IntArray]]:
    """Segments and edges with meeting boxes; long slanting segments are looked up in parts."""
    start = points[segments]
    end = points[segments + 1]
    margin = 4 * edges.tolerance(start, end)[:, None]
    close = (
        (np.minimum(start, end) - margin <= edges.high)
        & (np.maximum(start, end) + margin >= edges.low)
    ).all(axis=1)
    segments = segments[close]
    start = start[close]
    end = end[close]
    margin = margin[close]
    parts = np.clip(np.ceil(np.abs(end - start).min(axis=1) / edges.cell), 1, _MOST_PARTS).astype(
        np.int64
    )
    bounds = np.append(0, np.cumsum(parts))
    for low in range(0, int(bounds[-1]), _BOXES):
        part = np.arange(low, min(low + _BOXES, int(bounds[-1])))
        row = np.searchsorted(bounds, part, side="right") - 1
        share = ((part - bounds[row]) / parts[row])[:, None]
        way = end[row] - start[row]
        one = start[row] + share * way
        two = start[row] + (share + 1 / parts[row][:, None]) * way
        boxes = np.stack(
            (np.minimum(one, two) - margin[row], np.maximum(one, two) + margin[row]), axis=1
        )
        box, edge = edges.tree.query(shapely.linestrings(boxes))
        yield segments[row[box]], edge


def _meetings(
    edges: Edges, points: FloatArray, segment: IntArray, edge: IntArray, near: BoolArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Crossings of pairs: segment, way along it (mm) and point. Ends of segments near an edge are
    marked in ``near``.
    """
    p = points[segment]
    q = points[segment + 1]
    a = edges.starts[edge]
    b = edges.ends[edge]
    tolerance = edges.tolerance(p, q)
    along, length = _direction(p, q)
    a_off = _cross(along, a - p)
    b_off = _cross(along, b - p)
    slope, width = _direction(a, b)
    p_off = _cross(slope, p - a)
    q_off = _cross(slope, q - a)
    # Ends within three tolerances of an edge are near it, corners within two of a segment cut it.
    margin = 3 * tolerance
    for off, index, end in ((p_off, segment, p), (q_off, segment + 1, q)):
        line = np.flatnonzero(np.abs(off) <= margin)
        beyond = (
            np.abs(_dot(slope[line], end[line] - a[line]) - 0.5 * width[line]) - 0.5 * width[line]
        )
        near[index[line[beyond <= margin[line]]]] = True
    found = []
    for off, corner in ((a_off, a), (b_off, b)):
        line = np.flatnonzero(np.abs(off) <= 2 * tolerance)
        way = _dot(along[line], corner[line] - p[line])
        foot = np.where(
            (off[line] == 0)[:, None], corner[line], p[line] + way[:, None] * along[line]
        )
        found.append((segment[line], way, foot))
    line = np.flatnonzero(
        (np.signbit(a_off) != np.signbit(b_off))
        & (np.signbit(p_off) != np.signbit(q_off))
        & (p_off != q_off)
    )
    share = p_off[line] / (p_off[line] - q_off[line])
    cross = p[line] + share[:, None] * (q[line] - p[line])
    # On an edge that is parallel to an axis the crossing is exact.
    cross = np.where(a[line] == b[line], a[line], cross)
    found.append((segment[line], share * length[line], cross))
    columns = [np.concatenate(column) for column in zip(*found, strict=True)]
    return columns[0], columns[1], columns[2]


def _direction(start: FloatArray, end: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Unit vectors and lengths; a segment without length gets the vector 0."""
    way = end - start
    length = np.hypot(way[:, 0], way[:, 1])
    return way / np.where(length == 0, 1.0, length)[:, None], length


def _cross(one: FloatArray, two: FloatArray) -> FloatArray:
    return one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]


def _dot(one: FloatArray, two: FloatArray) -> FloatArray:
    return one[:, 0] * two[:, 0] + one[:, 1] * two[:, 1]
