"""Strokes over a bed that is not flat: more points where the bed bends.

A controller moves Z evenly between two points. Where the bed bends away from that chord by more
than the tolerance of the height map, a stroke gets the point where it is farthest off, and so on
for both halves (the rule of Ramer, Computer Graphics and Image Processing 1, 1972, and of Douglas
and Peucker, The Canadian Cartographer 10, 1973; both from memory). Along a straight way the height
is a parabola in each cell of the map, so that the farthest place is known and not searched for.
"""

from __future__ import annotations

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import FloatArray, IntArray
from plotlib.machine import HeightMap, Machine
from plotlib.planning.placing.grid import GridStrokes

_ROUNDED = 1.0  # units of height: what rounding Z at both ends and the new points may be off
_LEAST = 1e-12  # of a parabola's bend: what is flatter is straight


def following(strokes: GridStrokes, machine: Machine) -> GridStrokes:
    """The strokes, in units, with the points that a pen needs to follow the machine's bed."""
    bed = machine.height_map
    if bed is None or not len(strokes):
        return strokes
    tolerance = max(bed.tolerance - _ROUNDED * machine.unit, bed.tolerance / 2)
    segments = np.setdiff1d(np.arange(len(strokes.points) - 1), strokes.offsets[1:-1] - 1)
    start = machine.to_mm(strokes.points[segments])
    end = machine.to_mm(strokes.points[segments + 1])
    row, share = _splits(start, end, bed, tolerance)
    if not len(row):
        return strokes
    between = start[row] + share[:, None] * (end[row] - start[row])
    at = segments[row] + 1
    points = np.insert(strokes.points, at, machine.to_units(between), axis=0)
    added = np.bincount(
        np.searchsorted(strokes.offsets, segments[row], side="right") - 1, minlength=len(strokes)
    )
    counts = np.diff(strokes.offsets) + added
    points, offsets = ragged.without_repeats(points, ragged.offsets_of(counts))
    return GridStrokes(points, offsets, strokes.pen_index)


def _splits(
    start: FloatArray, end: FloatArray, bed: HeightMap, tolerance: float
) -> tuple[IntArray, FloatArray]:
    """Which segments (n, 2) get a point, and at which share of their way: rows (K,) and shares
    (K,), along the strokes.
    """
    row = np.arange(len(start))
    low = np.zeros(len(start))
    high = np.ones(len(start))
    rows = [row[:0]]
    shares = [low[:0]]
    while len(row):
        way = end[row] - start[row]
        begin = start[row] + low[:, None] * way
        finish = start[row] + high[:, None] * way
        off, share = farthest(begin, finish, bed)
        far = off > tolerance
        middle = (low + share * (high - low))[far]
        rows.append(row[far])
        shares.append(middle)
        row = np.tile(row[far], 2)
        low = np.concatenate([low[far], middle])
        high = np.concatenate([middle, high[far]])
    row = np.concatenate(rows)
    share = np.concatenate(shares)
    order = np.lexsort((share, row))
    return row[order], share[order]


def farthest(start: FloatArray, end: FloatArray, bed: HeightMap) -> tuple[FloatArray, FloatArray]:
    """How far (n,) in mm the bed lies at most above or below the chord of its heights at both ends
    of segments (n, 2), and at which share (n,) of the way.
    """
    row, low, high = _pieces(start, end, bed)
    first, middle, last = (
        _above_chord(start, end, row, share, bed) for share in (low, (low + high) / 2, high)
    )
    bend = 2 * (first - 2 * middle + last)
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = (3 * first - 4 * middle + last) / (2 * bend)
    inside = (np.abs(bend) > _LEAST) & (turn > 0) & (turn < 1)
    turn = np.where(inside, turn, 0.5)
    top = first + turn * (-3 * first + 4 * middle - last) + turn * turn * bend
    off = np.abs(np.concatenate([first, top]))
    share = np.concatenate([low, low + turn * (high - low)])
    order = np.lexsort((off, np.concatenate([row, row])))
    final = np.cumsum(2 * np.bincount(row, minlength=len(start))) - 1
    best = order[final]
    return off[best], share[best]


def _above_chord(
    start: FloatArray, end: FloatArray, row: IntArray, share: FloatArray, bed: HeightMap
) -> FloatArray:
    """How far (K,) the bed lies above the chord at a share of the way of segments ``row``."""
    ends = np.column_stack([bed.at(start), bed.at(end)])[row]
    places = start[row] + share[:, None] * (end - start)[row]
    return np.asarray(bed.at(places) - ends[:, 0] - share * (ends[:, 1] - ends[:, 0]))


def _pieces(
    start: FloatArray, end: FloatArray, bed: HeightMap
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Segments cut where they cross the lines of the map's grid: the segment (K,) of each piece,
    and the shares (K,) of the way at which it begins and ends; in their order.
    """
    count = len(start)
    rows = [np.arange(count)]
    shares = [np.zeros(count)]
    for axis, places in enumerate((bed.x, bed.y)):
        knots = np.asarray(places)
        low = np.minimum(start[:, axis], end[:, axis])
        high = np.maximum(start[:, axis], end[:, axis])
        first = np.searchsorted(knots, low, side="right")
        crossed = np.maximum(np.searchsorted(knots, high, side="left") - first, 0)
        row = np.repeat(np.arange(count), crossed)
        within = np.arange(len(row)) - np.repeat(np.cumsum(crossed) - crossed, crossed)
        knot = knots[first[row] + within]
        rows.append(row)
        shares.append((knot - start[row, axis]) / (end[row, axis] - start[row, axis]))
    row = np.concatenate(rows)
    share = np.concatenate(shares)
    order = np.lexsort((share, row))
    row = row[order]
    low = share[order]
    is_last = np.append(row[1:] != row[:-1], True)
    high = np.where(is_last, 1.0, np.append(low[1:], 1.0))
    return row, low, high
