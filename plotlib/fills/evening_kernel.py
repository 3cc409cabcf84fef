"""A closed line pushed to the middle between its neighbours, never across them.

Each vertex looks to the left and to the right along the normal of the line, at the next pass of the
line or at the edge of the area (which counts twice: a pass is to lie half a spacing from it), and
goes towards the middle: Lloyd's relaxation along the normal, to the end to which Zhao et al. (2016)
smooth their spirals.

Invariant: the line stays simple and on its side of the edge. The nearest points of two segments
that do not meet include an end of one, so two of them stay apart when no end moves by half the
distance between them or more; ``least`` holds the smallest such distance at each vertex, and the
moves are ``_KEEP`` of it at the most. Segments that share an end cannot cross; they could only
fold, which the distance of each vertex from the segment after the next one forbids.

Oracle: ``tests/oracles_fills.py::evened_slowly``, every vertex against every segment.

Arrays: ``segments`` (n + m, 4) those of the line, then those of the edge; ``begin`` (cells + 1) and
``items`` what lies in each square cell, ``reach`` wide.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled

_KEEP = 0.45
_SPEED = 0.2  # of the difference of both sides: 0.25 would be the whole way to the middle
_STIFF = 0.1  # of the way to the middle of both neighbours on the line
_REACH = 1.6  # spacings that one sees
_FINGER = 4  # vertices from the tip of a finger to where its width is measured,
_BROAD = 1.5  # and how many spacings that may be: behind its tip counts as one, so that it can grow
_STILL = 0.02  # spacings; who has less to go sleeps
_SAME = 3  # vertices along the line that are no neighbours to the side


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
def seen(
    px: float, py: float, nx: float, ny: float, ax: float, ay: float, bx: float, by: float
) -> tuple[float, float]:
    """How far a segment is from a point along a direction (inf if it is not met, negative if it
    lies behind), and how far at all.
    """
    ux = bx - ax
    uy = by - ay
    wx = ax - px
    wy = ay - py
    size = ux * ux + uy * uy
    share = 0.0
    if size > 0.0:
        share = min(max(-(wx * ux + wy * uy) / size, 0.0), 1.0)
    dx = wx + share * ux
    dy = wy + share * uy
    far = np.sqrt(dx * dx + dy * dy)
    across = nx * uy - ny * ux
    if across == 0.0:
        return np.inf, far
    along = (wx * uy - wy * ux) / across
    where = (wx * ny - wy * nx) / across
    if where < 0.0 or where > 1.0:
        return np.inf, far
    return along, far


@compiled
def looked(
    k: int,
    count: int,
    normal: FloatArray,
    segments: FloatArray,
    cells: Cells,
    sight: FloatArray,
    least: FloatArray,
) -> None:
    """Look from a vertex at what lies in the cells around it: shorten ``sight`` (2,), how far one
    sees ahead and behind, and ``least`` (n,) of the invariant.
    """
    px = segments[k, 0]
    py = segments[k, 1]
    x = cell_of(px, cells.left, cells.side, cells.columns)
    y = cell_of(py, cells.low, cells.side, cells.rows)
    for row in range(max(y - 1, 0), min(y + 2, cells.rows)):
        for column in range(max(x - 1, 0), min(x + 2, cells.columns)):
            cell = row * cells.columns + column
            for j in cells.items[cells.begin[cell] : cells.begin[cell + 1]]:
                apart = (j - k) % count if j < count else count // 2
                if apart == 0 or apart == count - 1:
                    continue
                ax, ay, bx, by = segments[j]
                along, far = seen(px, py, normal[0], normal[1], ax, ay, bx, by)
                least[k] = min(least[k], far)
                if j < count:
                    least[j] = min(least[j], far)
                    least[(j + 1) % count] = min(least[(j + 1) % count], far)
                    if apart <= _SAME or apart >= count - 1 - _SAME:
                        continue
                else:
                    along *= 2.0
                if along > 0.0:
                    sight[0] = min(sight[0], along)
                else:
                    sight[1] = min(sight[1], -along)


@compiled
def moved(
    points: FloatArray, walls: FloatArray, gap: float, awake: BoolArray
) -> tuple[FloatArray, BoolArray]:
    """The line (n, 2) after one step, and which vertices have still to go.

    Parameters
    ----------
    points : float array (n, 2)
        A simple closed line, its first point not said again; vertices about half a ``gap`` apart.
    walls : float array (m, 4)
        The edge of the area in segments no longer than the gap.
    gap : float
        The wished distance of neighbouring passes.
    awake : bool array (n,)
        Vertices that moved last time; only what is near to one of them moves this time.
    """
    count = len(points)
    reach = _REACH * gap
    segments = np.empty((count + len(walls), 4))
    segments[:count, :2] = points
    segments[: count - 1, 2:] = points[1:]
    segments[count - 1, 2:] = points[0]
    segments[count:] = walls
    left = points[:, 0].min()
    low = points[:, 1].min()
    columns = int((points[:, 0].max() - left) / reach) + 1
    rows = int((points[:, 1].max() - low) / reach) + 1
    cells = sorted_in(segments, left, low, reach, columns, rows)
    busy = busy_cells(points, awake, cells)
    least = np.full(count, reach)
    move = np.zeros((count, 2))
    normal = np.zeros(2)
    sight = np.zeros(2)
    for k in range(count):
        x = cell_of(points[k, 0], left, reach, columns)
        y = cell_of(points[k, 1], low, reach, rows)
        way = points[(k + 1) % count] - points[k - 1]
        size = np.sqrt(way[0] * way[0] + way[1] * way[1])
        if size == 0.0 or not busy[y * columns + x]:
            continue
        normal[0] = -way[1] / size
        normal[1] = way[0] / size
        sight[:] = reach
        looked(k, count, normal, segments, cells, sight, least)
        turn = tip(points, k, gap)
        if turn > 0:
            sight[0] = min(sight[0], gap)
        elif turn < 0:
            sight[1] = min(sight[1], gap)
        move[k] = _SPEED * (sight[0] - sight[1]) * normal
        move[k] += _STIFF * ((points[k - 1] + points[(k + 1) % count]) / 2 - points[k])
    return stepped(points, move, least, gap)


@compiled
def busy_cells(points: FloatArray, awake: BoolArray, cells: Cells) -> BoolArray:
    """The cells (rows * columns) with a vertex that is awake, and their neighbours."""
    busy = np.zeros(cells.rows * cells.columns, np.bool_)
    for k in range(len(points)):
        if awake[k]:
            x = cell_of(points[k, 0], cells.left, cells.side, cells.columns)
            y = cell_of(points[k, 1], cells.low, cells.side, cells.rows)
            for row in range(max(y - 1, 0), min(y + 2, cells.rows)):
                begin = row * cells.columns
                busy[begin + max(x - 1, 0) : begin + min(x + 2, cells.columns)] = True
    return busy


@compiled
def tip(points: FloatArray, k: int, gap: float) -> int:
    """Whether a vertex is the tip of a finger about a gap wide: 1 if the line turns to the left
    around it, -1 to the right, 0 if it is none.
    """
    before = points[k - _FINGER]
    after = points[(k + _FINGER) % len(points)]
    across = after - before
    if across[0] ** 2 + across[1] ** 2 > (_BROAD * gap) ** 2:
        return 0
    one = points[k] - before
    cross = one[0] * across[1] - one[1] * across[0]
    return 1 if cross > 0.0 else -1


@compiled
def stepped(
    points: FloatArray, move: FloatArray, least: FloatArray, gap: float
) -> tuple[FloatArray, BoolArray]:
    """The points moved, smoothly along the line and no further than the invariant allows; and which
    of them had far to go.
    """
    count = len(points)
    result = np.empty((count, 2))
    awake = np.zeros(count, np.bool_)
    for k in range(count):
        mean = (move[k - 1] + 2.0 * move[k] + move[(k + 1) % count]) / 4.0
        size = np.sqrt(mean[0] * mean[0] + mean[1] * mean[1])
        most = _KEEP * min(least[k], gap)
        awake[k] = size > _STILL * gap
        result[k] = points[k] + (mean * (most / size) if size > most else mean)
    return result, awake
