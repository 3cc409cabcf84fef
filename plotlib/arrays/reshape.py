"""Strokes with other points: fewer (simplify) or evenly spaced (resample)."""

from __future__ import annotations

import numpy as np
import shapely

from plotlib.arrays.ragged import (
    Ragged,
    closed,
    lengths,
    offsets_of,
    segment_lengths,
    stroke_of,
    take,
)
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue

_MOST = 100_000_000  # points that resampling makes; they take 1.6 GB


def simplify(points: FloatArray, offsets: IntArray, tolerance: float) -> Ragged:
    """Douglas-Peucker by distance to the segment: every point dropped is within ``tolerance`` of
    the segment that replaces it.

    End points stay. A stroke that lies within the tolerance of its first point and is closed
    becomes a dot. D. H. Douglas, T. K. Peucker, Cartographica 10, 1973.
    """
    counts = np.diff(offsets)
    long = np.flatnonzero(counts >= 3)
    if not len(long) or tolerance == 0.0:
        return points, offsets
    rows, fresh = take(offsets, long)
    lines = shapely.linestrings(points[rows], indices=stroke_of(fresh))
    kept, owner = shapely.get_coordinates(
        shapely.simplify(lines, tolerance, preserve_topology=False), return_index=True
    )
    return _replace(points, offsets, long, kept, owner)


def _replace(
    points: FloatArray, offsets: IntArray, strokes: IntArray, fresh: FloatArray, owner: IntArray
) -> Ragged:
    """Put the points ``fresh`` of ``strokes[owner]`` in the place of the old ones."""
    counts = np.diff(offsets)
    mine = np.bincount(owner, minlength=len(strokes))
    counts[strokes] = mine
    result_offsets = offsets_of(counts)
    result = np.empty((result_offsets[-1], 2))
    rows, _ = take(result_offsets, strokes)
    result[rows] = fresh
    others = np.setdiff1d(np.arange(len(counts)), strokes, assume_unique=True)
    if len(others):
        result[take(result_offsets, others)[0]] = points[take(offsets, others)[0]]
    return _collapsed(result, result_offsets)


def _collapsed(points: FloatArray, offsets: IntArray) -> Ragged:
    """Strokes of two equal points as dots."""
    twice = (np.diff(offsets) == 2) & (points[offsets[:-1]] == points[offsets[1:] - 1]).all(axis=1)
    if not twice.any():
        return points, offsets
    keep = np.ones(len(points), np.bool_)
    keep[offsets[1:][twice] - 1] = False
    return points[keep], offsets_of(np.diff(offsets) - twice)


def resample(points: FloatArray, offsets: IntArray, spacing: float) -> Ragged:
    """Points at equal distances along each stroke, at most ``spacing`` apart; the ends stay, dots
    stay, closed strokes stay closed.
    """
    if len(offsets) == 1:
        return points, offsets
    totals = lengths(points, offsets)
    with np.errstate(over="ignore"):
        wanted = np.ceil(totals / spacing * (1 - 1e-12))
    if wanted.sum() > _MOST:
        raise InvalidValue(
            f"a spacing of {spacing:g} mm makes {wanted.sum():,.0f} points, more than {_MOST:,}; "
            f"use a wider spacing"
        )
    pieces = wanted.astype(np.int64)
    pieces = np.where(totals > 0, np.maximum(pieces, np.where(closed(points, offsets), 3, 1)), 0)
    fresh = offsets_of(pieces + 1)
    owner = stroke_of(fresh)
    share = (np.arange(fresh[-1]) - fresh[owner]) / np.maximum(pieces, 1)[owner]
    result = _along(points, offsets, owner, share * totals[owner])
    result[fresh[1:] - 1] = points[offsets[1:] - 1]
    result[fresh[:-1]] = points[offsets[:-1]]
    return result, fresh


def _along(
    points: FloatArray, offsets: IntArray, owner: IntArray, distance: FloatArray
) -> FloatArray:
    """Points at ``distance`` along the strokes ``owner``."""
    steps = segment_lengths(points, offsets)
    run = np.concatenate(([0.0], np.cumsum(steps)))[:-1]
    target = run[offsets[owner]] + distance
    at = np.clip(
        np.searchsorted(run, target, side="right") - 1,
        offsets[owner],
        np.maximum(offsets[owner + 1] - 2, offsets[owner]),
    )
    after = np.minimum(at + 1, offsets[owner + 1] - 1)
    share = np.clip(
        np.divide(target - run[at], steps[at], out=np.zeros(len(at)), where=steps[at] > 0), 0.0, 1.0
    )
    return np.asarray(points[at] + share[:, None] * (points[after] - points[at]))
