"""Plane nets: where strokes meet, how many ways go out there, and the strands that run through."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import shapely

from plotlib.arrays import ragged
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.tilings.tiling import near_pairs

_GRID = 1e-6  # mm; points nearer than this are one
_NEAR = 1.5  # of the grid: a step to the next point of it, straight or slanting
_DIGITS = 1e-11  # of the farthest coordinate: a coarser grid for drawings of kilometres


class Net(NamedTuple):
    """Straight pieces between points, none of which cross or overlap."""

    points: FloatArray  # (V, 2)
    ends: IntArray  # (S, 2), the two points of each piece


class Ways(NamedTuple):
    """The two ways of each piece, ``2 * piece`` from its first point and ``2 * piece + 1`` from its
    second, in order round the points that they leave.
    """

    order: IntArray  # (2 S,), the ways by their point, counter-clockwise
    offsets: IntArray  # (V + 1,): those of point v are order[offsets[v]:offsets[v + 1]]
    origin: IntArray  # (2 S,), the point that each way leaves


class Strands(NamedTuple):
    """Lines through a net that go straight on at every crossing."""

    places: IntArray  # (N,), points of the net, strand after strand; a closed one ends as it began
    offsets: IntArray  # (M + 1,)
    closed: BoolArray  # (M,)


def net_of(drawing: Drawing) -> Net:
    """The strokes cut where they meet; what is drawn twice counts once, dots do not count."""
    long = drawing[np.flatnonzero(drawing.lengths > 0)]
    if not len(long):
        return Net(np.empty((0, 2)), np.empty((0, 2), np.int64))
    grid = max(_GRID, _DIGITS * float(np.abs(long.points).max()))
    united = shapely.union_all(long.to_shapely(), grid_size=grid)
    pieces: Any = shapely.get_parts(united)
    points, owner = shapely.get_coordinates(pieces, return_index=True)
    kept, places = _distinct(np.round(points / grid).astype(np.int64))
    follows = np.flatnonzero(owner[1:] == owner[:-1])
    ends = np.column_stack([places[follows], places[follows + 1]])
    return _merged(points[kept], ends, _NEAR * grid)


def _distinct(keys: IntArray) -> tuple[IntArray, IntArray]:
    """The first row of each kind, and the kind of each row (N, 2)."""
    order = np.lexsort((keys[:, 1], keys[:, 0]))
    row = keys[order]
    is_new = np.ones(len(keys), np.bool_)
    is_new[1:] = (row[1:] != row[:-1]).any(axis=1)
    places = np.empty(len(keys), np.int64)
    places[order] = np.cumsum(is_new) - 1
    return order[is_new], places


def _merged(points: FloatArray, ends: IntArray, distance: float) -> Net:
    """One point for those that rounding has put on two sides of a line of the grid."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    pairs = near_pairs(points, distance)
    if len(pairs):
        size = (len(points), len(points))
        links = coo_array((np.ones(len(pairs), np.int8), (pairs[:, 0], pairs[:, 1])), shape=size)
        label = connected_components(links, directed=False)[1]
        first = np.unique(label, return_index=True)[1]
        points = points[first]
        ends = np.unique(np.sort(label[ends], axis=1), axis=0)
    return Net(points, ends[ends[:, 0] != ends[:, 1]].astype(np.int64))


def ways_of(net: Net) -> Ways:
    """The ways out of each point."""
    origin = net.ends.ravel()
    step = net.points[net.ends[:, 1]] - net.points[net.ends[:, 0]]
    both = np.stack([step, -step], axis=1).reshape(-1, 2)
    order = np.lexsort((np.arctan2(both[:, 1], both[:, 0]), origin))
    counts = np.bincount(origin, minlength=len(net.points))
    return Ways(order, ragged.offsets_of(counts), origin)


def strands_of(net: Net) -> Strands:
    """Every piece in one strand: at a point of two ways a strand bends, at a point of four it goes
    out by the way opposite.
    """
    ways = ways_of(net)
    counts = np.diff(ways.offsets)
    _no_knots(net, counts)
    onward = _onward(ways, counts)
    starts = np.flatnonzero(counts[ways.origin] == 1)
    crossings = np.flatnonzero(counts[ways.origin] == 4)
    rest = np.arange(len(ways.origin))
    strands, closed = _walked(onward, np.concatenate([starts, crossings, rest]))
    places = [ways.origin[strand] for strand in strands]
    lengths = np.array([len(strand) for strand in strands], np.int64)
    flat = np.concatenate(places) if places else np.empty(0, np.int64)
    return Strands(flat, ragged.offsets_of(lengths), np.array(closed, np.bool_))


def _no_knots(net: Net, counts: IntArray) -> None:
    odd = np.flatnonzero((counts != 1) & (counts != 2) & (counts != 4))
    if len(odd):
        x, y = net.points[odd[0]]
        raise InvalidValue(
            f"{counts[odd[0]]} strokes meet at ({x:.3f}, {y:.3f}): a crossing has four ways out, a "
            f"bend two; {len(odd)} points are neither; move or cut the strokes there",
            name="drawing",
            point=(float(x), float(y)),
            count=int(counts[odd[0]]),
        )


def _onward(ways: Ways, counts: IntArray) -> IntArray:
    """The way by which a strand goes on that came in against each way; -1 at an end."""
    rank = np.empty(len(ways.order), np.int64)
    rank[ways.order] = np.arange(len(ways.order)) - ways.offsets[ways.origin[ways.order]]
    count = counts[ways.origin]
    opposite = (rank + count // 2) % count
    onward = ways.order[ways.offsets[ways.origin] + opposite]
    return np.where(count == 1, -1, onward)


def _walked(onward: IntArray, starts: IntArray) -> tuple[list[list[int]], list[bool]]:
    """Strands as lists of ways, each named by the point it leaves; the last way of an open strand
    is the one against which it arrives.
    """
    following = onward.tolist()
    is_done = [False] * len(following)
    strands = []
    closed = []
    for start in starts.tolist():
        if is_done[start]:
            continue
        strand = [start]
        way = start
        while True:
            is_done[way] = True
            is_done[way ^ 1] = True
            arrived = way ^ 1
            way = following[arrived]
            if way < 0 or way == start:
                break
            strand.append(way)
        strand.append(arrived)
        strands.append(strand)
        closed.append(way == start)
    return strands, closed
