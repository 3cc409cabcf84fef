"""Strokes without what runs nearer than a distance to strokes before them."""

from __future__ import annotations

import numpy as np

from plotlib.arrays.ragged import bounds, offsets_of, segment_lengths, stroke_of
from plotlib.checks import BoolArray, FloatArray, IntArray, affordable

_STEP = 0.25  # distances between nodes: a line is then felt to one part in a hundred
_MOST = 20_000_000  # nodes, and cells


def thin(
    points: FloatArray, offsets: IntArray, distance: float
) -> tuple[FloatArray, IntArray, IntArray]:
    """Points and offsets of what stays, and the stroke of each piece."""
    if not len(points):
        return points, offsets, np.zeros(0, np.int64)
    nodes, ends, given = _nodes(points, offsets, distance)
    free = _free(nodes, ends, distance)
    return _pieces(nodes, ends, given, free)


def _nodes(
    points: FloatArray, offsets: IntArray, distance: float
) -> tuple[FloatArray, IntArray, BoolArray]:
    """The strokes with nodes close enough to feel by: nodes, offsets, and which were given."""
    long = segment_lengths(points, offsets)
    with np.errstate(over="ignore"):
        wanted = np.maximum(np.ceil(long / (_STEP * distance)), 1.0)
    affordable("spacing", distance, float(wanted.sum()), _MOST, "nodes", "take a wider one")
    parts = wanted.astype(np.int64)
    bounds_of = offsets_of(parts)
    owner = np.repeat(np.arange(len(points)), parts)
    nth = np.arange(bounds_of[-1]) - bounds_of[owner]
    reach = np.zeros_like(points)
    reach[:-1] = np.diff(points, axis=0)
    reach[offsets[1:] - 1] = 0.0
    nodes = points[owner] + (nth / parts[owner])[:, None] * reach[owner]
    return nodes, bounds_of[offsets], nth == 0


def _free(nodes: FloatArray, offsets: IntArray, distance: float) -> BoolArray:
    from plotlib.arrays import thinning_kernel as kernel

    left, bottom, right, top = bounds(nodes) or (0.0, 0.0, 0.0, 0.0)
    across = np.floor((right - left) / distance) + 3.0
    up = np.floor((top - bottom) / distance) + 3.0
    affordable("spacing", distance, float(across * up), _MOST, "cells", "take a wider one")
    columns = int(across)
    place = np.floor((nodes - (left, bottom)) / distance).astype(np.int64) + 1
    cells = place[:, 1] * columns + place[:, 0]
    head = np.full(columns * int(up), -1, np.int64)
    return np.asarray(kernel.free_nodes(nodes, offsets, cells, columns, head, distance))


def _pieces(
    nodes: FloatArray, offsets: IntArray, given: BoolArray, free: BoolArray
) -> tuple[FloatArray, IntArray, IntArray]:
    """Runs of free nodes, without those between points that are not their ends; single nodes only
    where the stroke was one.
    """
    owner = stroke_of(offsets)
    same = owner[1:] == owner[:-1]
    goes_on = same & free[1:] & free[:-1]
    begins = free & np.append(True, ~goes_on)
    ends = free & np.append(~goes_on, True)
    alone = begins & ends & (np.diff(offsets) > 1)[owner]
    kept = free & (given | begins | ends) & ~alone
    starts = np.flatnonzero(begins & ~alone)
    counts = np.diff(np.append(np.cumsum(kept)[starts] - 1, int(kept.sum())))
    return nodes[kept], offsets_of(counts.astype(np.int64)), owner[starts]
