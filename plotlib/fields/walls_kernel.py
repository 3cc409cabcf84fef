"""Compiled: the edges of an area sorted into square cells, so that a step asks only the edges near
it.

Point in polygon by the even-odd rule, counted not to infinity but to the middle of the point's own
cell, whose side is known: a uniform grid over the edges (a plain method; the crossing rule is that
of M. Shimrat, *Algorithm 112*, Communications of the ACM 5, 1962, from memory).

Every edge is listed, once, in each cell that it meets (and in some beside it), so what happens
within a cell depends on the edges listed there only.

``tests/fields/test_walls.py`` tests both questions against shapely.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled

# of a cell: off its centre, as drawn edges like to run through centres
MIDDLE_X = 0.4938271604
MIDDLE_Y = 0.5123456789
_BACK = 1e-7  # mm by which a line ends before the edge, so that rounding cannot put it over


class Walls(NamedTuple):
    """Edges (E, 4) as x, y, x, y; the edges of cell c are ``listed[starts[c]:starts[c + 1]]``;
    ``middle[c]``: is its middle inside?
    """

    edges: FloatArray  # (E, 4) mm
    starts: IntArray  # (cells + 1,)
    listed: IntArray  # (starts[-1],) numbers of edges
    middle: BoolArray  # (cells,)
    x: float  # mm, the lower left corner of cell 0
    y: float
    cell: float  # mm, the side of a cell
    columns: int
    rows: int


@compiled
def sort_edges(
    edges: FloatArray, x: float, y: float, cell: float, columns: int, rows: int
) -> tuple[IntArray, IntArray]:
    """Which edges each cell must ask: ``starts`` and ``listed``. An edge is walked in pieces of a
    cell, noted in the cells of its box.
    """
    starts = np.zeros(columns * rows + 1, np.int64)
    listed = np.zeros(0, np.int64)
    for fill in range(2):
        last = np.full(columns * rows, -1, np.int64)
        place = starts[:-1].copy()
        for e in range(len(edges)):
            ax, ay, bx, by = edges[e]
            pieces = int(max(abs(bx - ax), abs(by - ay)) / cell) + 1
            for k in range(pieces):
                px = ax + (bx - ax) * k / pieces
                py = ay + (by - ay) * k / pieces
                qx = ax + (bx - ax) * (k + 1) / pieces
                qy = ay + (by - ay) * (k + 1) / pieces
                i0 = _column(min(px, qx) - 1e-6, x, cell, columns)
                i1 = _column(max(px, qx) + 1e-6, x, cell, columns)
                j0 = _column(min(py, qy) - 1e-6, y, cell, rows)
                j1 = _column(max(py, qy) + 1e-6, y, cell, rows)
                for j in range(j0, j1 + 1):
                    for i in range(i0, i1 + 1):
                        c = j * columns + i
                        if last[c] == e:
                            continue
                        last[c] = e
                        if fill:
                            listed[place[c]] = e
                            place[c] += 1
                        else:
                            starts[c + 1] += 1
        if not fill:
            starts = np.cumsum(starts)
            listed = np.zeros(starts[-1], np.int64)
    return starts, listed


@compiled
def _column(value: float, origin: float, cell: float, count: int) -> int:
    """The column (or row) of a coordinate; what is outside counts to the outermost."""
    return min(max(math.floor((value - origin) / cell), 0), count - 1)


@compiled
def is_inside(walls: Walls, x: float, y: float) -> bool:
    """Whether (x, y) is inside: as the middle of its cell is, changed by each edge between the
    two.
    """
    i = math.floor((x - walls.x) / walls.cell)
    j = math.floor((y - walls.y) / walls.cell)
    if i < 0 or j < 0 or i >= walls.columns or j >= walls.rows:
        return False
    c = j * walls.columns + i
    inside = bool(walls.middle[c])
    mx = walls.x + (i + MIDDLE_X) * walls.cell
    my = walls.y + (j + MIDDLE_Y) * walls.cell
    for k in range(walls.starts[c], walls.starts[c + 1]):
        if _crossing(walls.edges[walls.listed[k]], x, y, mx, my) >= 0.0:
            inside = not inside
    return inside


@compiled
def _crossing(edge: FloatArray, px: float, py: float, qx: float, qy: float) -> float:
    """Where on p … q, 0 … 1, the edge crosses it, or −1; an end of the edge that lies on the line
    counts as left of it.
    """
    dx = qx - px
    dy = qy - py
    a = dx * (edge[1] - py) - dy * (edge[0] - px)
    b = dx * (edge[3] - py) - dy * (edge[2] - px)
    if (a >= 0.0) == (b >= 0.0):
        return -1.0
    share = a / (a - b)
    cx = edge[0] + share * (edge[2] - edge[0])
    cy = edge[1] + share * (edge[3] - edge[1])
    t = ((cx - px) * dx + (cy - py) * dy) / (dx * dx + dy * dy)
    return t if 0.0 <= t <= 1.0 else -1.0


@compiled
def free_share(walls: Walls, px: float, py: float, qx: float, qy: float) -> float:
    """How much of the step p … q, 0 … 1, lies inside when p does: 1 where no edge is in the way.

    None of it where q is outside and yet no edge seems to be in the way: p lies on the edge, but
    for rounding. Without that question a line would leave there, and nothing outside ends it.
    """
    i0 = _column(min(px, qx), walls.x, walls.cell, walls.columns)
    i1 = _column(max(px, qx), walls.x, walls.cell, walls.columns)
    j0 = _column(min(py, qy), walls.y, walls.cell, walls.rows)
    j1 = _column(max(py, qy), walls.y, walls.cell, walls.rows)
    nearest = 2.0
    for j in range(j0, j1 + 1):
        for i in range(i0, i1 + 1):
            c = j * walls.columns + i
            for k in range(walls.starts[c], walls.starts[c + 1]):
                t = _crossing(walls.edges[walls.listed[k]], px, py, qx, qy)
                if 0.0 <= t < nearest:
                    nearest = t
    if nearest > 1.0:
        return 1.0 if is_inside(walls, qx, qy) else 0.0
    return max(0.0, nearest - _BACK / math.hypot(qx - px, qy - py))
