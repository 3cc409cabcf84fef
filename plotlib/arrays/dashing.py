"""Strokes cut into dashes, by a pattern of lengths that may grow and shrink from place to place."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.arrays.asking import PlaneFunction, numbers_at
from plotlib.arrays.ragged import closed, offsets_of, segment_lengths, stroke_of
from plotlib.checks import BoolArray, FloatArray, IntArray, affordable

_MOST = 5_000_000  # dashes, or samples of a field; more are a mistake in the pattern
_NOTHING = 1e-9  # mm; what is left of a dash by rounding at the end of its stroke


class Way(NamedTuple):
    """How far the pattern has run at each node of the strokes.

    Attributes
    ----------
    nodes : ndarray, shape (K, 2)
        The points of the strokes, and places between them at which a field was asked.
    offsets : ndarray of int, shape (M + 1,)
    given : ndarray of bool, shape (K,)
        Whether the node is a point of the stroke.
    run : ndarray, shape (K,)
        Lengths of the pattern up to the node, from stroke to stroke without a jump.
    """

    nodes: FloatArray
    offsets: IntArray
    given: BoolArray
    run: FloatArray


class Dashes(NamedTuple):
    """Parts of strokes: ``start`` and ``end`` (n,) are lengths of the pattern from the beginning of
    ``stroke`` (n,).
    """

    stroke: IntArray
    start: FloatArray
    end: FloatArray


def dash(
    points: FloatArray,
    offsets: IntArray,
    pattern: FloatArray,
    *,
    named: str,
    offset: float,
    scale: PlaneFunction | None,
    step: float,
    whole: bool,
) -> tuple[FloatArray, IntArray, IntArray]:
    """The inked parts as points and offsets, and the stroke of each; dots stay.

    ``pattern`` has an even number of lengths, ink and gap in turn; a dash of length 0 is a dot.
    """
    if not len(points):
        return points, offsets, np.zeros(0, np.int64)
    way = _way(points, offsets, scale, step)
    totals = way.run[way.offsets[1:] - 1] - way.run[way.offsets[:-1]]
    rings = closed(points, offsets)
    stretch = np.ones(len(totals))
    if whole:
        stretch = _stretch(totals, rings, pattern)
    start = offset % float(pattern.sum())
    _refuse_too_many(totals * stretch + start, pattern, named)
    dashes = _dashes(totals * stretch, rings, pattern, start)
    back = np.where(stretch > 0, 1.0 / np.where(stretch > 0, stretch, 1.0), 0.0)[dashes.stroke]
    return _cut(way, Dashes(dashes.stroke, dashes.start * back, dashes.end * back), totals)


def _way(points: FloatArray, offsets: IntArray, scale: PlaneFunction | None, step: float) -> Way:
    long = segment_lengths(points, offsets)
    if scale is None:
        run = np.concatenate([[0.0], np.cumsum(long)[:-1]])
        return Way(points, offsets, np.ones(len(points), np.bool_), run)
    with np.errstate(over="ignore"):
        wanted = np.maximum(np.ceil(long / step), 1.0)
    affordable("step", step, float(wanted.sum()), _MOST, "samples", "take a longer one")
    parts = wanted.astype(np.int64)
    bounds = offsets_of(parts)
    owner = np.repeat(np.arange(len(points)), parts)
    nth = np.arange(bounds[-1]) - bounds[owner]
    reach = np.zeros_like(points)
    reach[:-1] = np.diff(points, axis=0)
    reach[offsets[1:] - 1] = 0.0
    each = reach[owner] / parts[owner][:, None]
    nodes = points[owner] + nth[:, None] * each
    size = numbers_at("scale", scale, nodes + each / 2)
    run = np.concatenate([[0.0], np.cumsum(long[owner] / parts[owner] / size)[:-1]])
    return Way(nodes, bounds[offsets], nth == 0, run)


def _stretch(totals: FloatArray, rings: BoolArray, pattern: FloatArray) -> FloatArray:
    """Factors (M,) that make whole periods fit: round a ring, and up to the last dash elsewhere."""
    period = float(pattern.sum())
    spare = np.where(rings, 0.0, pattern[-1])
    periods = np.maximum(np.round((totals + spare) / period), 1.0)
    wanted = periods * period - spare
    return np.divide(wanted, totals, out=np.ones(len(totals)), where=totals > 0)


def _refuse_too_many(totals: FloatArray, pattern: FloatArray, named: str) -> None:
    with np.errstate(over="ignore"):
        periods = np.floor(totals / pattern.sum()) + 1.0
    count = float(periods.sum()) * (len(pattern) // 2)
    affordable(named, float(pattern.sum()), count, _MOST, "dashes", "take a longer one")


def _dashes(totals: FloatArray, rings: BoolArray, pattern: FloatArray, before: float) -> Dashes:
    """The inked parts of strokes in which the pattern runs over ``totals`` (M,) and has run
    ``before``.
    """
    period = float(pattern.sum())
    edges = np.concatenate([[0.0], np.cumsum(pattern)])[:-1]
    each = np.floor((totals + before) / period).astype(np.int64) + 1
    stroke = np.repeat(np.arange(len(totals)), each)
    nth = np.arange(len(stroke)) - np.repeat(offsets_of(each)[:-1], each)
    start = ((nth * period - before)[:, None] + edges[::2]).ravel()
    end = start + np.tile(pattern[::2], len(nth))
    stroke = np.repeat(stroke, len(pattern) // 2)
    total = totals[stroke]
    last = np.where(rings[stroke], total - _NOTHING, total + _NOTHING)
    is_dot = (end == start) & (start >= -_NOTHING) & (start < last)
    start = np.clip(start, 0.0, total)
    end = np.clip(end, 0.0, total)
    kept = (end - start > _NOTHING) | is_dot | (total == 0)
    kept &= (total > 0) | np.append(True, stroke[1:] != stroke[:-1])  # dots: once
    return Dashes(stroke[kept], start[kept], end[kept])


def _cut(way: Way, dashes: Dashes, totals: FloatArray) -> tuple[FloatArray, IntArray, IntArray]:
    """Points and offsets of the dashes, and the stroke of each."""
    stroke = dashes.stroke
    base = way.run[way.offsets[:-1]][stroke]
    heads = _at(way, stroke, base + dashes.start)
    tails = _at(way, stroke, base + dashes.end)
    ends_with = dashes.end >= totals[stroke]
    tails[ends_with] = way.nodes[way.offsets[1:] - 1][stroke[ends_with]]
    vertex = np.flatnonzero(way.given)
    first = np.searchsorted(way.run[vertex], base + dashes.start, side="right")
    after = np.searchsorted(way.run[vertex], base + dashes.end, side="left")
    low = np.searchsorted(vertex, way.offsets[:-1])[stroke]
    high = np.searchsorted(vertex, way.offsets[1:])[stroke]
    first = np.clip(first, low, high)
    inner = np.maximum(np.clip(after, low, high) - first, 0)
    is_dot = dashes.end <= dashes.start
    inner[is_dot] = 0
    offsets = offsets_of(inner + np.where(is_dot, 1, 2))
    owner = stroke_of(offsets)
    nth = np.arange(len(owner)) - offsets[owner]
    source = vertex[np.clip(first[owner] + nth - 1, 0, len(vertex) - 1)]
    result = way.nodes[source]
    result[offsets[:-1]] = heads
    result[offsets[1:][~is_dot] - 1] = tails[~is_dot]
    return result, offsets, stroke


def _at(way: Way, stroke: IntArray, target: FloatArray) -> FloatArray:
    """Points at which the pattern has run ``target`` (n,), on strokes (n,)."""
    low = way.offsets[stroke]
    high = way.offsets[stroke + 1] - 1
    at = np.searchsorted(way.run, target, side="right") - 1
    at = np.clip(at, low, np.maximum(high - 1, low))
    after = np.minimum(at + 1, high)
    span = way.run[after] - way.run[at]
    share = np.divide(target - way.run[at], span, out=np.zeros(len(at)), where=span > 0)
    return np.asarray(
        way.nodes[at] + np.clip(share, 0.0, 1.0)[:, None] * (way.nodes[after] - way.nodes[at])
    )
