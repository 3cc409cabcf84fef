"""Dashes: SVG 2, chapter Painting, "Computing the shape of the stroke": the pattern starts anew
with each subpath, and its lengths are measured along the outline in user units.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.arrays.ragged import offsets_of, segment_lengths
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue

_NOTHING = 1e-12  # of the pattern's length: an end of a dash that only rounding puts there


class Pattern(NamedTuple):
    """Dashes and gaps in turn (an even number of lengths), and where in them a subpath begins."""

    lengths: tuple[float, ...]
    offset: float


def pattern_of(lengths: tuple[float, ...], offset: float, scale: float) -> Pattern | None:
    """The pattern of ``stroke-dasharray`` and ``stroke-dashoffset``, both times ``scale``; None
    where the line is not broken: a pattern of no length, or one without gaps.
    """
    if len(lengths) % 2:
        lengths *= 2
    scaled = tuple(length * scale for length in lengths)
    whole = sum(scaled)
    if not (0 < whole < math.inf and math.isfinite(offset * scale)) or not sum(scaled[1::2]):
        return None
    return Pattern(scaled, offset * scale)


def dashed(
    points: FloatArray,
    offsets: IntArray,
    along: FloatArray,
    pattern: Pattern,
    most: int,
) -> tuple[FloatArray, IntArray]:
    """Strokes cut into dashes.

    Parameters
    ----------
    points, offsets : ndarray
        Strokes in mm.
    along : float array (N, 2)
        The same points where lengths are measured: in user units.
    pattern : Pattern
        In the units of ``along``.
    most : int
        More dashes than these are refused.

    Returns
    -------
    points, offsets : ndarray
        One stroke for each dash; dashes of no length are dots. On a closed stroke the last dash and
        the first are one where they meet.

    Raises
    ------
    InvalidValue
        If there are too many dashes.
    """
    steps = segment_lengths(along, offsets)
    whole = sum(pattern.lengths)
    count = float(steps.sum()) / whole * len(pattern.lengths)
    if not count <= most:
        raise InvalidValue(f"more than {most:,} dashes", count=count)
    strokes: list[FloatArray] = []
    for k in range(len(offsets) - 1):
        part = slice(offsets[k], offsets[k + 1])
        strokes += _broken(points[part], steps[part][:-1], pattern)
    if not strokes:
        return np.empty((0, 2)), np.zeros(1, np.int64)
    return np.concatenate(strokes), offsets_of(np.array([len(stroke) for stroke in strokes]))


def _broken(points: FloatArray, steps: FloatArray, pattern: Pattern) -> list[FloatArray]:
    """The dashes of one stroke."""
    place = np.concatenate([[0.0], np.cumsum(steps)])
    total = float(place[-1])
    if total == 0:
        return [points[:1]] if _is_on(pattern) else []
    begins, ends = _spans(pattern, total)
    pieces = [_portion(points, place, begin, end) for begin, end in zip(begins, ends, strict=True)]
    is_ring = len(points) > 2 and bool((points[0] == points[-1]).all())
    if is_ring and len(pieces) > 1 and begins[0] == 0 and ends[-1] == total:
        last = pieces.pop()
        pieces[0] = np.concatenate([last, pieces[0][1:]])
    return pieces


def _is_on(pattern: Pattern) -> bool:
    begins, _ = _spans(pattern, 0.0)
    return bool(len(begins))


def _spans(pattern: Pattern, total: float) -> tuple[FloatArray, FloatArray]:
    """Where dashes begin and end on a stroke of some length."""
    whole = sum(pattern.lengths)
    edges = np.concatenate([[0.0], np.cumsum(pattern.lengths)])[:-1]
    phase = pattern.offset % whole
    rounds = np.arange(math.floor((total + phase) / whole) + 1) * whole - phase
    begin = (rounds[:, None] + edges[None, ::2]).ravel()
    end = begin + np.tile(pattern.lengths[::2], len(rounds))
    slack = _NOTHING * whole
    dot = np.array(pattern.lengths[::2]) == 0
    is_dot = np.tile(dot, len(rounds))
    kept = np.where(is_dot, begin >= -slack, end > slack)
    # A dash begins before the end of its stroke; a stroke of no length has one place.
    kept &= begin <= 0 if total == 0 else begin < total - slack
    return np.clip(begin[kept], 0.0, total), np.clip(end[kept], 0.0, total)


def _portion(points: FloatArray, place: FloatArray, begin: float, end: float) -> FloatArray:
    """A stroke from one place along it to another."""
    low = int(np.searchsorted(place, begin, side="right"))
    high = int(np.searchsorted(place, end, side="left"))
    ends = np.column_stack(
        [np.interp([begin, end], place, points[:, 0]), np.interp([begin, end], place, points[:, 1])]
    )
    if begin >= end:
        return ends[:1]
    return np.concatenate([ends[:1], points[low:high], ends[1:]])
