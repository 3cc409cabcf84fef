"""Segments in the square cells of a grid, and what a vertex of a closed line is by its neighbours.

Counting sort: each segment stands in all the cells that its box touches.

Arrays: ``segments`` (n + m, 4), those of a closed line of n points, then those of the edge of an
area; ``begin`` (cells + 1) and ``items`` what lies in each cell.

Oracle: ``tests/oracles_fills.py::looked_slowly`` asks every segment instead.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled


class Cells(NamedTuple):
    """Segments by the cells that their boxes touch."""

    left: float
    low: float
    side: float
    columns: int
    rows: int
    begin: IntArray
    items: IntArray


@compiled
def cell_of(value: float, origin: float, side: float, count: int) -> int:
    """The column or row of a coordinate, at the border the nearest one."""
    return min(max(int((value - origin) / side), 0), count - 1)


@compiled
def around(x: float, y: float, cells: Cells) -> tuple[int, int, int, int]:
    """The cells around a place: their rows from the first up to an end, and their columns."""
    column = cell_of(x, cells.left, cells.side, cells.columns)
    row = cell_of(y, cells.low, cells.side, cells.rows)
    left = max(column - 1, 0)
    low = max(row - 1, 0)
    return low, min(row + 2, cells.rows), left, min(column + 2, cells.columns)


@compiled
def in_row(cells: Cells, row: int, left: int, right: int) -> IntArray:
    """What lies in the cells of a row from one column up to another, cell by cell."""
    begin = row * cells.columns
    return cells.items[cells.begin[begin + left] : cells.begin[begin + right]]


@compiled
def sorted_in(
    segments: FloatArray, left: float, low: float, side: float, columns: int, rows: int
) -> Cells:
    """Segments (n, 4) in the cells of a grid, by counting."""
    begin = np.zeros(columns * rows + 1, np.int64)
    for fill in range(2):
        if fill == 1:
            begin[1:] = np.cumsum(begin[1:])
            items = np.zeros(begin[-1], np.int64)
            place = begin[:-1].copy()
        for k in range(len(segments)):
            x0 = cell_of(min(segments[k, 0], segments[k, 2]), left, side, columns)
            x1 = cell_of(max(segments[k, 0], segments[k, 2]), left, side, columns)
            y0 = cell_of(min(segments[k, 1], segments[k, 3]), low, side, rows)
            y1 = cell_of(max(segments[k, 1], segments[k, 3]), low, side, rows)
            for y in range(y0, y1 + 1):
                for x in range(x0, x1 + 1):
                    if fill == 0:
                        begin[y * columns + x + 1] += 1
                    else:
                        items[place[y * columns + x]] = k
                        place[y * columns + x] += 1
    return Cells(left, low, side, columns, rows, begin, items)


@compiled
def laid_out(points: FloatArray, walls: FloatArray, side: float) -> tuple[FloatArray, Cells]:
    """All segments (n + m, 4), and the cells that they lie in."""
    count = len(points)
    segments = np.empty((count + len(walls), 4))
    segments[:count, :2] = points
    segments[: count - 1, 2:] = points[1:]
    segments[count - 1, 2:] = points[0]
    segments[count:] = walls
    left = points[:, 0].min()
    low = points[:, 1].min()
    columns = int((points[:, 0].max() - left) / side) + 1
    rows = int((points[:, 1].max() - low) / side) + 1
    return segments, sorted_in(segments, left, low, side, columns, rows)


@compiled
def way_to(x: float, y: float, segment: FloatArray) -> tuple[float, float, float]:
    """The way from a point to the nearest place of a segment, and where on it, from 0 to 1."""
    ux = segment[2] - segment[0]
    uy = segment[3] - segment[1]
    size = ux * ux + uy * uy
    share = 0.0
    if size > 0.0:
        share = min(max(((x - segment[0]) * ux + (y - segment[1]) * uy) / size, 0.0), 1.0)
    return segment[0] + share * ux - x, segment[1] + share * uy - y, share


@compiled
def overlapping(segments: FloatArray, cells: Cells) -> IntArray:
    """The pairs (k, 2) of segments of a closed line that are no neighbours and whose boxes meet,
    each once or more.
    """
    count = len(segments)
    found = np.empty((count, 2), np.int64)
    size = 0
    for cell in range(cells.rows * cells.columns):
        items = cells.items[cells.begin[cell] : cells.begin[cell + 1]]
        for one in items:
            for other in items:
                if other <= one + 1 or other - one == count - 1:
                    continue
                if not boxes_meet(segments[one], segments[other]):
                    continue
                if size == len(found):
                    found = np.concatenate((found, np.empty_like(found)))
                found[size, 0] = one
                found[size, 1] = other
                size += 1
    return found[:size].copy()


@compiled
def boxes_meet(one: FloatArray, other: FloatArray) -> bool:
    """Whether the boxes around two segments (4,) have a point in common."""
    for axis in range(2):
        if max(one[axis], one[axis + 2]) < min(other[axis], other[axis + 2]):
            return False
        if min(one[axis], one[axis + 2]) > max(other[axis], other[axis + 2]):
            return False
    return True


@compiled
def spread(points: FloatArray, awake: BoolArray, cells: Cells) -> BoolArray:
    """Which vertices lie in a cell with one that is awake, or next to such a cell."""
    busy = np.zeros(cells.rows * cells.columns, np.bool_)
    place = np.empty(len(points), np.int64)
    for k in range(len(points)):
        x = cell_of(points[k, 0], cells.left, cells.side, cells.columns)
        y = cell_of(points[k, 1], cells.low, cells.side, cells.rows)
        place[k] = y * cells.columns + x
        if awake[k]:
            for row in range(max(y - 1, 0), min(y + 2, cells.rows)):
                begin = row * cells.columns
                busy[begin + max(x - 1, 0) : begin + min(x + 2, cells.columns)] = True
    return busy[place]


@compiled
def following(k: int, count: int) -> int:
    """The vertex after one on a closed line; sooner known than by a remainder."""
    return k + 1 if k + 1 < count else 0


@compiled
def normal_of(points: FloatArray, k: int) -> tuple[float, float]:
    """The direction to the left of a closed line at a vertex; 0, 0 where there is none."""
    after = following(k, len(points))
    x = points[after, 0] - points[k - 1, 0]
    y = points[after, 1] - points[k - 1, 1]
    size = np.sqrt(x * x + y * y)
    if size == 0.0:
        return 0.0, 0.0
    return -y / size, x / size


@compiled
def turned(points: FloatArray, k: int) -> float:
    """The cosine of the angle by which a closed line turns at a vertex."""
    after = following(k, len(points))
    ax = points[k, 0] - points[k - 1, 0]
    ay = points[k, 1] - points[k - 1, 1]
    bx = points[after, 0] - points[k, 0]
    by = points[after, 1] - points[k, 1]
    size = np.sqrt((ax * ax + ay * ay) * (bx * bx + by * by))
    return (ax * bx + ay * by) / size if size > 0.0 else 1.0
