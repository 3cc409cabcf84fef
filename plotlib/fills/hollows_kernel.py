"""Hollows: discs beside a closed line that it does not enter, as large as they get there.

A disc that touches the line and is empty is found beside a place of it (as in the shrinking balls
of J. Ma, S. W. Bae, S. Choi, "3D medial axis point approximation using nearest neighbors and the
normal field", The Visual Computer 28, 2012), then its middle climbs to where the line is farthest
(pattern search: R. Hooke, T. A. Jeeves, Journal of the ACM 8, 1961).

Arrays: ``segments`` (n, 4) of the line in ``cells`` whose side is the farthest that is measured;
``places`` (q, 2) on the line, ``normals`` (q, 2); ``middles`` (k, 2).

Oracle: ``tests/fills/test_reaching.py``: distances by shapely, and hollows known by hand.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.fills.evening_cells import Cells, around, in_row, way_to

_EMPTY = 1 - 1e-6  # of its radius: a disc that touches the line is empty
_STEP = 0.25  # of the reach, the first step of a climb
_FINE = 0.005  # of the reach, the last
_CLIMB = 80  # steps at the most
_TOUCHED = 1.06  # times its radius: what is nearer to the middle of a hollow is touched
_MOST = 32  # touched segments that are looked at
_SAME = 0.9  # cosine between two directions in which a hollow touches the same side
_WEDGE = 0.15  # cosine of half the angle, as seen from a middle, between what lies ahead


@compiled
def clearance(x: float, y: float, segments: FloatArray, cells: Cells) -> float:
    """How far it is from a point to the line, at the most a cell's side."""
    least = cells.side**2
    low, high, left, right = around(x, y, cells)
    for row in range(low, high):
        for k in in_row(cells, row, left, right):
            dx, dy, _ = way_to(x, y, segments[k])
            least = min(least, dx * dx + dy * dy)
    return float(np.sqrt(least))


@compiled
def enters(x: float, y: float, radius: float, segments: FloatArray, k: int) -> bool:
    """Whether a segment enters a disc."""
    dx, dy, _ = way_to(x, y, segments[k])
    return bool(dx * dx + dy * dy < radius * radius)


@compiled
def blocker(
    x: float, y: float, radius: float, segments: FloatArray, cells: Cells, likely: int
) -> int:
    """A segment that enters a disc no wider than a cell, -1 if there is none. A ``likely`` one and
    its neighbours are asked first.
    """
    for k in range(max(likely - 1, 0), min(likely + 2, len(segments))):
        if enters(x, y, radius, segments, k):
            return k
    low, high, left, right = around(x, y, cells)
    for row in range(low, high):
        for k in in_row(cells, row, left, right):
            if enters(x, y, radius, segments, k):
                return int(k)
    return -1


@compiled
def beside(radius: float, step: float, segments: FloatArray, cells: Cells) -> FloatArray:
    """The middles (k, 2) of the empty discs of a radius, at the most a cell's side, that touch the
    line from either side, as seen from places about ``step`` apart.
    """
    ways = segments[:, 2:] - segments[:, :2]
    sizes = np.sqrt(ways[:, 0] ** 2 + ways[:, 1] ** 2)
    counts = np.ceil(sizes / step)
    found = np.empty((2 * int(counts.sum()), 2))
    last = np.zeros(2, np.int64)
    size = 0
    for k in range(len(segments)):
        for part in range(int(counts[k])):
            share = (part + 0.5) / counts[k]
            for side in range(2):
                far = (2 * side - 1) * radius / sizes[k]
                x = segments[k, 0] + share * ways[k, 0] - far * ways[k, 1]
                y = segments[k, 1] + share * ways[k, 1] + far * ways[k, 0]
                by = blocker(x, y, _EMPTY * radius, segments, cells, last[side])
                if by >= 0:
                    last[side] = by
                    continue
                found[size, 0] = x
                found[size, 1] = y
                size += 1
    return found[:size].copy()


@compiled
def nearest(
    points: FloatArray, segments: FloatArray, cells: Cells
) -> tuple[FloatArray, IntArray, FloatArray]:
    """How far it is from points (k, 2) to the line (k,), at the most a cell's side, and the places
    that are nearest: segments (k,), and where on them (k,).
    """
    far = np.full(len(points), cells.side)
    which = np.zeros(len(points), np.int64)
    shares = np.zeros(len(points))
    for k in range(len(points)):
        x, y = points[k]
        low, high, left, right = around(x, y, cells)
        for row in range(low, high):
            for item in in_row(cells, row, left, right):
                dx, dy, share = way_to(x, y, segments[item])
                apart = np.sqrt(dx * dx + dy * dy)
                if apart < far[k]:
                    far[k] = apart
                    which[k] = item
                    shares[k] = share
    return far, which, shares


@compiled
def climb(middle: FloatArray, segments: FloatArray, cells: Cells) -> float:
    """Move a middle to where the line is farthest; how far that is."""
    step = _STEP * cells.side
    best = clearance(middle[0], middle[1], segments, cells)
    for _ in range(_CLIMB):
        x, y = middle
        before = best
        for turn in range(8):
            angle = turn * np.pi / 4.0
            to_x = x + step * np.cos(angle)
            to_y = y + step * np.sin(angle)
            far = clearance(to_x, to_y, segments, cells)
            if far > best:
                best = far
                middle[0] = to_x
                middle[1] = to_y
        if best == before:
            step /= 2.0
            if step < _FINE * cells.side:
                break
    return best


@compiled
def climbed(begin: FloatArray, segments: FloatArray, cells: Cells) -> tuple[FloatArray, FloatArray]:
    """The middles (k, 2) of the hollows above some points (k, 2), and their radii (k,)."""
    middles = begin.copy()
    radii = np.empty(len(begin))
    for k in range(len(begin)):
        radii[k] = climb(middles[k], segments, cells)
    return middles, radii


@compiled
def touched(
    x: float, y: float, far: float, segments: FloatArray, cells: Cells
) -> tuple[FloatArray, FloatArray, IntArray]:
    """What is hardly farther from a point than ``far``: the directions (m, 2), where on which
    segments (m,), (m,).
    """
    ways = np.empty((_MOST, 2))
    shares = np.empty(_MOST)
    which = np.empty(_MOST, np.int64)
    size = 0
    low, high, left, right = around(x, y, cells)
    for row in range(low, high):
        for k in in_row(cells, row, left, right):
            dx, dy, share = way_to(x, y, segments[k])
            apart = np.sqrt(dx * dx + dy * dy)
            if 0.0 < apart <= _TOUCHED * far and size < _MOST:
                ways[size, 0] = dx / apart
                ways[size, 1] = dy / apart
                shares[size] = share
                which[size] = k
                size += 1
    return ways[:size], shares[:size], which[:size]


@compiled
def half_wedge(ways: FloatArray, foot: int) -> float:
    """What lies ahead of one place that a hollow touches, seen from its middle: the cosine of half
    the angle between the next places to the left and to the right; 0 where one is missing.
    """
    left = np.pi
    right = np.pi
    for k in range(len(ways)):
        cosine = ways[foot, 0] * ways[k, 0] + ways[foot, 1] * ways[k, 1]
        if cosine > _SAME:
            continue
        cross = ways[foot, 0] * ways[k, 1] - ways[foot, 1] * ways[k, 0]
        angle = np.arctan2(-cross, -cosine)
        if angle >= 0.0:
            left = min(left, angle)
        if angle <= 0.0:
            right = min(right, -angle)
    if left == np.pi or right == np.pi:
        return 0.0
    return float(np.cos(min(left + right, np.pi) / 2.0))


@compiled
def is_strip(ways: FloatArray) -> bool:
    """Whether what a hollow touches lies on two sides of it only, opposite each other: there the
    line would reach out again and again, like a comb.
    """
    for k in range(len(ways)):
        fits = True
        for other in ways:
            cosine = ways[k, 0] * other[0] + ways[k, 1] * other[1]
            fits = fits and abs(cosine) > _SAME
        if fits:
            return True
    return False


@compiled
def feet(
    middles: FloatArray, radii: FloatArray, wished: float, segments: FloatArray, cells: Cells
) -> tuple[IntArray, FloatArray, FloatArray]:
    """From which place of the line a hollow is best reached into.

    In a wedge with half the angle a the disc that fits before a point at the distance d from the
    tip has the radius r = d sin a / (1 + sin a). So the point goes on by (1 + 1 / sin a) times
    what the radius is to lose.

    Returns
    -------
    tuple of array
        The segments (k,), where on them (k,), and how far the line is to go on from there towards
        the middle in mm (k,); 0 where nothing is to be gained.
    """
    which = np.zeros(len(middles), np.int64)
    shares = np.zeros(len(middles))
    lengths = np.zeros(len(middles))
    for k in range(len(middles)):
        x, y = middles[k]
        ways, where, near = touched(x, y, radii[k], segments, cells)
        least = np.inf
        if is_strip(ways):
            continue
        for foot in range(len(ways)):
            wedge = half_wedge(ways, foot)
            length = (radii[k] - wished) * (1.0 + 1.0 / max(wedge, _WEDGE))
            if wedge > _WEDGE and length < least:
                least = length
                which[k] = near[foot]
                shares[k] = where[foot]
                lengths[k] = length
    return which, shares, lengths
