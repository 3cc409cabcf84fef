"""What the vertices of a closed line see of its next passes and of the edge, and how far they may
move before they have to look again.

A vertex looks to both sides along the normal; what it meets at a slant, as at the corner of a ring,
is no neighbour. The tip of a finger looks ahead.

Invariant: the nearest points of two segments that do not meet include an end of one, so two of them
stay apart when no end moves by half the distance between them or more; ``room`` holds the smallest
such distance at each vertex. Segments that share an end cannot cross; they could only fold, which
the distance of each vertex from the segment after the next one forbids.

Oracle: ``tests/oracles_fills.py::looked_slowly``, every vertex against every segment.

Arrays: ``points`` (n, 2), the first one not said again; ``segments`` (n + m, 4) those of the line,
then those of the edge.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.fills.evening_cells import (
    Cells,
    around,
    following,
    in_row,
    laid_out,
    normal_of,
    spread,
    way_to,
)

REACH = 2.1  # spacings that one sees: rings of one inset are no more than two apart
FRONT = 0.8  # cosine of the slant up to which a segment is a neighbour
_FINGER = 1.5  # spacings from the tip of a finger to where its width is measured,
_BROAD = 1.5  # how many spacings that may be,
_OUT = 0.9  # and how far the tip is at least from there
_WALK = 12  # vertices at the most from a tip to there
_CONE = 0.75  # cosine of the slant up to which a tip sees
_SAME = 3  # vertices along the line that are no neighbours to the side, nor twice as many to a tip


class Sights(NamedTuple):
    """What each vertex sees: ``hits`` (n, 2) the segments to the left and to the right, or ahead of
    a tip, ``shares`` (n, 2) where on them, ``axes`` (n, 2) of the tips, ``room`` (n,) to move, and
    which (n,) are ``active``.
    """

    hits: IntArray
    shares: FloatArray
    axes: FloatArray
    room: FloatArray
    active: BoolArray


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
def share_of(segments: FloatArray, k: int, normal: tuple[float, float], j: int) -> float:
    """Where on a segment the normal of a vertex meets it, from 0 to 1."""
    ux = segments[j, 2] - segments[j, 0]
    uy = segments[j, 3] - segments[j, 1]
    wx = segments[j, 0] - segments[k, 0]
    wy = segments[j, 1] - segments[k, 1]
    across = normal[0] * uy - normal[1] * ux
    return min(max((wx * normal[1] - wy * normal[0]) / across, 0.0), 1.0) if across else 0.5


@compiled
def faces(normal: tuple[float, float], segments: FloatArray, j: int) -> bool:
    """Whether a segment lies across a direction."""
    if j < 0:
        return False
    x = segments[j, 2] - segments[j, 0]
    y = segments[j, 3] - segments[j, 1]
    return bool(abs(normal[0] * y - normal[1] * x) >= FRONT * np.sqrt(x * x + y * y))


@compiled
def back(points: FloatArray, k: int, way: int, length: float) -> int:
    """The vertex reached from one by a length along a closed line, ahead (1) or back (-1)."""
    count = len(points)
    far = 0.0
    for _ in range(_WALK):
        after = (k + way) % count
        step = points[after] - points[k]
        far += np.sqrt(step[0] ** 2 + step[1] ** 2)
        k = after
        if far >= length:
            break
    return k


@compiled
def tip(points: FloatArray, k: int, gap: float) -> tuple[float, float]:
    """Where the finger points to of which a vertex is the tip; 0, 0 if it is none."""
    one = back(points, k, -1, _FINGER * gap)
    other = back(points, k, 1, _FINGER * gap)
    across = points[other] - points[one]
    wide = np.sqrt(across[0] ** 2 + across[1] ** 2)
    if wide > _BROAD * gap:
        return 0.0, 0.0
    root = points[back(points, other, 1, _FINGER * gap)]
    root = root - points[back(points, one, -1, _FINGER * gap)]
    if np.sqrt(root[0] ** 2 + root[1] ** 2) > wide + _BROAD * gap / 2.0:
        return 0.0, 0.0
    way = points[k] - (points[one] + points[other]) / 2.0
    size = np.sqrt(way[0] ** 2 + way[1] ** 2)
    if size < _OUT * gap:
        return 0.0, 0.0
    return way[0] / size, way[1] / size


@compiled
def ahead(
    k: int,
    j: int,
    segments: FloatArray,
    axis: tuple[float, float],
    far: float,
    sight: FloatArray,
    hit: IntArray,
) -> None:
    """Note a segment that lies before the tip of a finger, if it is the nearest so far."""
    if far < sight[0]:
        x, y, _ = way_to(segments[k, 0], segments[k, 1], segments[j])
        if x * axis[0] + y * axis[1] >= _CONE * far:
            sight[0] = far
            hit[0] = j


@compiled
def look(
    k: int,
    segments: FloatArray,
    count: int,
    normal: tuple[float, float],
    cells: Cells,
    axis: tuple[float, float],
    sight: FloatArray,
    hit: IntArray,
    room: FloatArray,
) -> None:
    """Look from a vertex at what lies in the cells around it: shorten ``sight`` (2,), how far one
    sees to the left and to the right, with ``hit`` (2,) what is seen, and ``room`` of the
    invariant. The tip of a finger looks ahead along its ``axis`` instead, for the nearest.
    """
    is_tip = axis[0] != 0.0 or axis[1] != 0.0
    px = segments[k, 0]
    py = segments[k, 1]
    low, high, left, right = around(px, py, cells)
    for row in range(low, high):
        for j in in_row(cells, row, left, right):
            apart = count // 2
            if j < count:
                apart = j - k if j >= k else j - k + count
            if apart == 0 or apart == count - 1:
                continue
            ax, ay, bx, by = segments[j]
            along, far = seen(px, py, normal[0], normal[1], ax, ay, bx, by)
            room[k] = min(room[k], far)
            if j < count:
                room[j] = min(room[j], far)
                room[following(j, count)] = min(room[following(j, count)], far)
                same = 2 * _SAME if is_tip else _SAME
                if apart <= same or apart >= count - 1 - same:
                    continue
            else:
                along *= 2.0
            if is_tip:
                ahead(k, j, segments, axis, far, sight, hit)
                continue
            side = 0 if along > 0.0 else 1
            if abs(along) < sight[side]:
                sight[side] = abs(along)
                hit[side] = j


@compiled
def keep_from_corners(
    walls: FloatArray, segments: FloatArray, count: int, cells: Cells, room: FloatArray
) -> None:
    """Shorten ``room`` by the distances of the line from the corners of the edge."""
    for k in range(len(walls)):
        px = walls[k, 0]
        py = walls[k, 1]
        low, high, left, right = around(px, py, cells)
        for row in range(low, high):
            for j in in_row(cells, row, left, right):
                if j < count:
                    ax, ay, bx, by = segments[j]
                    far = seen(px, py, 1.0, 0.0, ax, ay, bx, by)[1]
                    room[j] = min(room[j], far)
                    room[following(j, count)] = min(room[following(j, count)], far)


@compiled
def looked(points: FloatArray, walls: FloatArray, gap: float, awake: BoolArray) -> Sights:
    """What each vertex sees to both sides, how far it may move, and whether it is to move.

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
    segments, cells = laid_out(points, walls, REACH * gap)
    active = spread(points, awake, cells)
    looking = spread(points, active, cells)
    room = np.full(count, gap)
    hits = np.full((count, 2), -1)
    shares = np.zeros((count, 2))
    axes = np.zeros((count, 2))
    sight = np.zeros(2)
    for k in range(count):
        if looking[k]:
            normal = normal_of(points, k)
            sight[:] = REACH * gap
            axis = tip(points, k, gap)
            axes[k, 0] = axis[0]
            axes[k, 1] = axis[1]
            look(k, segments, count, normal, cells, axis, sight, hits[k], room)
            if axis[0] != 0.0 or axis[1] != 0.0:
                if hits[k, 0] >= 0:
                    shares[k, 0] = way_to(points[k, 0], points[k, 1], segments[hits[k, 0]])[2]
                continue
            for side in range(2):
                if not faces(normal, segments, hits[k, side]):
                    hits[k, side] = -1
                if hits[k, side] >= 0:
                    shares[k, side] = share_of(segments, k, normal, hits[k, side])
    keep_from_corners(walls, segments, count, cells, room)
    return Sights(hits, shares, axes, room, active)
