"""Strokes with other points: fewer (simplify) or evenly spaced (resample)."""

from __future__ import annotations

import numpy as np
import shapely

from plotlib.arrays.ragged import (
    Ragged,
    closed,
    gaps,
    lengths,
    offsets_of,
    segment_lengths,
    stroke_of,
    take,
)
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import InvalidValue

_MOST = 100_000_000  # points that resampling makes; they take 1.6 GB
# Points of a stroke that shapely simplifies. It calls itself once for each split, with about 130
# bytes of the stack: 8,000 points end a process whose stack has 1 MB.
_SHORT = 1_000


def simplify(points: FloatArray, offsets: IntArray, tolerance: float) -> Ragged:
    """Douglas-Peucker by distance to the segment: every point dropped is within ``tolerance`` of
    the segment that replaces it.

    End points stay. A stroke that lies within the tolerance of its first point and is closed
    becomes a dot. D. H. Douglas, T. K. Peucker, Cartographica 10, 1973.
    """
    counts = np.diff(offsets)
    if tolerance == 0.0 or not (counts >= 3).any():
        return points, offsets
    short = np.flatnonzero((counts >= 3) & (counts <= _SHORT))
    long = np.flatnonzero(counts > _SHORT)
    fresh = [_by_shapely(points, offsets, short, tolerance)] if len(short) else []
    if len(long):
        fresh.append(_by_kernel(points, offsets, long, tolerance))
    strokes = np.concatenate((short, long))
    return _replace(points, offsets, strokes, fresh)


def _by_shapely(
    points: FloatArray, offsets: IntArray, strokes: IntArray, tolerance: float
) -> Ragged:
    """The points that stay of some strokes: quick without compiled parts, but recursive."""
    rows, fresh = take(offsets, strokes)
    lines = shapely.linestrings(points[rows], indices=stroke_of(fresh))
    kept, owner = shapely.get_coordinates(
        shapely.simplify(lines, tolerance, preserve_topology=False), return_index=True
    )
    return kept, offsets_of(np.bincount(owner, minlength=len(strokes)))


def _by_kernel(
    points: FloatArray, offsets: IntArray, strokes: IntArray, tolerance: float
) -> Ragged:
    """The same of strokes of any length."""
    from plotlib.arrays import simplify_kernel as kernel

    rows, fresh = take(offsets, strokes)
    mine = points[rows]
    keep = kernel.kept(mine, fresh, tolerance)
    return mine[keep], offsets_of(np.add.reduceat(keep.astype(np.int64), fresh[:-1]))


def _replace(
    points: FloatArray, offsets: IntArray, strokes: IntArray, parts: list[Ragged]
) -> Ragged:
    """Put ``strokes``, which are now those of ``parts`` one after the other, where they were."""
    counts = np.diff(offsets)
    counts[strokes] = np.concatenate([np.diff(part[1]) for part in parts])
    result_offsets = offsets_of(counts)
    result = np.empty((result_offsets[-1], 2))
    rows, _ = take(result_offsets, strokes)
    result[rows] = np.concatenate([part[0] for part in parts])
    others = np.setdiff1d(np.arange(len(counts)), strokes, assume_unique=True)
    if len(others):
        result[take(result_offsets, others)[0]] = points[take(offsets, others)[0]]
    return _collapsed(result, result_offsets, closed(points, offsets))


def _collapsed(points: FloatArray, offsets: IntArray, rings: BoolArray) -> Ragged:
    """Strokes of two equal points as dots, and what is left of ``rings`` if no more than their
    ends.
    """
    twice = (np.diff(offsets) == 2) & (rings | (gaps(points, offsets) == 0))
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
