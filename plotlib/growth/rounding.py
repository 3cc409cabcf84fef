"""Corners of polylines rounded so that nothing that did not cross does afterwards."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from plotlib.arrays import ragged
from plotlib.checks import BoolArray, FloatArray, IntArray


def rounded_corners(
    points: FloatArray, offsets: IntArray, area: shapely.Geometry, tolerance: float
) -> ragged.Ragged:
    """Strokes as quadratic B-splines of their points: at each corner a parabola from the middle of
    one edge to the middle of the next, flattened to the tolerance.

    The parabola lies in the triangle of the corner and these middles. Where anything else, the edge
    of the area included, touches that triangle, the corner stays. So no two triangles meet but
    neighbours in their common middle, and strokes that did not cross do not cross.
    """
    corner = _corners(points, offsets)
    before = 0.5 * (points[corner.before] + points[corner.at])
    after = 0.5 * (points[corner.at] + points[corner.after])
    bend = before - 2 * points[corner.at] + after
    pieces = np.ceil(np.sqrt(np.hypot(bend[:, 0], bend[:, 1]) / (4 * tolerance)))
    pieces = np.clip(pieces, 1, 64).astype(np.int64)
    free = _is_free(points, offsets, corner, before, after, area)
    counts = np.where(free, pieces, 2)  # a corner that stays: its middle before, and itself
    share = (np.arange(counts.sum()) - np.repeat(ragged.offsets_of(counts)[:-1], counts)) / (
        np.repeat(counts, counts)
    )
    here = np.repeat(np.arange(len(counts)), counts)
    fine = _parabola(before[here], points[corner.at][here], after[here], share[:, None])
    stays = ~free[here] & (share > 0)
    fine[stays] = points[corner.at][here[stays]]
    return _joined(points, offsets, corner, fine, counts, before)


class _Corner:
    """Each corner of all strokes, as indices of points (n,): itself and its neighbours."""

    def __init__(self, at: IntArray, before: IntArray, after: IntArray, closed: BoolArray) -> None:
        self.at = at
        self.before = before
        self.after = after
        self.closed = closed  # (m,): of the strokes


def _corners(points: FloatArray, offsets: IntArray) -> _Corner:
    closed = ragged.closed(points, offsets)
    index = np.arange(len(points))
    first = offsets[:-1]
    last = offsets[1:] - 1
    before = index - 1
    before[first[closed]] = last[closed] - 1
    is_corner = np.ones(len(points), np.bool_)
    is_corner[last] = False
    is_corner[first[~closed]] = False
    at = index[is_corner]
    return _Corner(at, before[is_corner], at + 1, closed)


def _is_free(
    points: FloatArray,
    offsets: IntArray,
    corner: _Corner,
    before: FloatArray,
    after: FloatArray,
    area: shapely.Geometry,
) -> BoolArray:
    """Whether nothing but its own two edges touches the triangle of a corner."""
    begin = np.delete(np.arange(len(points)), offsets[1:] - 1)
    lines = shapely.linestrings(np.stack([points[begin], points[begin + 1]], axis=1))
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(area))]
    walls = [np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings]
    tree = shapely.STRtree(np.concatenate([lines, shapely.linestrings(np.concatenate(walls))]))
    corners = np.stack([before, points[corner.at], after], axis=1)
    triangles: Any = shapely.polygons(corners)
    which, line = tree.query(triangles, predicate="intersects")
    number = np.full(len(points), -1)
    number[begin] = np.arange(len(begin))
    own = (line == number[corner.before][which]) | (line == number[corner.at][which])
    free = np.ones(len(triangles), np.bool_)
    free[which[~own]] = False
    return free


def _parabola(
    begin: FloatArray, control: FloatArray, end: FloatArray, share: FloatArray
) -> FloatArray:
    rest = 1.0 - share
    return rest * rest * begin + 2 * rest * share * control + share * share * end


def _joined(
    points: FloatArray,
    offsets: IntArray,
    corner: _Corner,
    fine: FloatArray,
    counts: IntArray,
    before: FloatArray,
) -> ragged.Ragged:
    """The strokes of the flattened corners: open ones with their own ends."""
    owner = ragged.stroke_of(offsets)[corner.at]
    per_stroke = np.bincount(owner, weights=counts, minlength=len(offsets) - 1).astype(np.int64)
    pieces = np.split(fine, np.cumsum(per_stroke)[:-1])
    strokes = []
    for k, piece in enumerate(pieces):
        first = points[offsets[k]]
        last = points[offsets[k + 1] - 1]
        if corner.closed[k]:
            strokes.append(np.concatenate([piece, piece[:1]]))
        else:
            middle = 0.5 * (points[offsets[k + 1] - 2] + last)
            strokes.append(np.concatenate([[first], piece, [middle, last]]))
    return ragged.pack(strokes)
