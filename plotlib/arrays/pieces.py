"""Pieces of strokes: open ones, for buffers that keep their holes; and cut ones without crumbs."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from plotlib.arrays.fromshapely import to_lines
from plotlib.arrays.ragged import lengths, pack, take
from plotlib.checks import FloatArray, IntArray

Shapes: TypeAlias = NDArray[np.object_]

_ROUNDING = 1e-9  # of its length: a stroke that a cut leaves whole
_CLOSED = 1e-6  # mm; ends nearer than this count as one


def open_pieces(
    points: FloatArray, offsets: IntArray, *, longest: int | None = None
) -> tuple[Shapes, IntArray]:
    """The strokes in open lines that share their ends, of at most ``longest`` segments each; and
    the stroke of each line.

    Of closed lines GEOS sometimes gives a buffer without its hole: a ring of radius 0.41 at a
    distance of 0.27 is one.
    """
    cuts = []
    source = []
    for k in range(len(offsets) - 1):
        for part in _split(points[offsets[k] : offsets[k + 1]], longest):
            cuts.append(part)
            source.append(k)
    if not cuts:
        return np.empty(0, dtype=object), np.empty(0, np.int64)
    return to_lines(*pack(cuts)), np.array(source, np.int64)


def _split(points: FloatArray, longest: int | None) -> list[FloatArray]:
    """One line in pieces, none of them closed."""
    last = max(len(points) - 1, 1)
    step = longest or last
    parts = [points[first : first + step + 1] for first in range(0, last, step)]
    opened = []
    for part in parts:
        if len(part) > 2 and np.abs(part[0] - part[-1]).max() < _CLOSED:
            half = len(part) // 2
            opened += [part[: half + 1], part[half:]]
        else:
            opened.append(part)
    return opened


def without_crumbs(
    points: FloatArray, offsets: IntArray, source: IntArray, before: FloatArray, shortest: float
) -> tuple[FloatArray, IntArray, IntArray]:
    """What a cut left of strokes that were ``before`` mm long: whole strokes, and pieces of at
    least ``shortest`` mm; and the stroke of each.
    """
    if not shortest:
        return points, offsets, source
    long = lengths(points, offsets)
    kept = np.flatnonzero((long >= shortest) | (long >= before[source] * (1.0 - _ROUNDING)))
    rows, fresh = take(offsets, kept)
    return points[rows], fresh, source[kept]
