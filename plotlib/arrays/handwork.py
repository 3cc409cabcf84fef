"""Strokes as a hand would draw them: a slow wobble along each, and corners run over a little.

The wobble is noise of limited band: random values at even places of the arc length, joined by the
cubic B-spline whose control values they are. The spline lies in the hull of its control values, so
no point leaves the stroke by more than the amplitude, and it changes no faster than they do.
Source: de Boor, A Practical Guide to Splines, 1978, chapter 11 (the convex hull property); lattice
noise in one dimension after Perlin, "An Image Synthesizer", SIGGRAPH 1985.
"""

from __future__ import annotations

import numpy as np

from plotlib.arrays.ragged import Ragged, closed, lengths, offsets_of
from plotlib.checks import FloatArray, IntArray, affordable

_MOST = 20_000_000  # points
_STEPS = 8  # points in a wavelength of the wobble
_CORNER = np.cos(np.radians(40.0))  # a hand does not stop where the line turns less


def wobbled(
    points: FloatArray,
    offsets: IntArray,
    rng: np.random.Generator,
    *,
    amplitude: float,
    wavelength: float,
    overshoot: float,
) -> Ragged:
    """Strokes drawn by hand: points every eighth of a wavelength, each moved by at most the
    amplitude; ``overshoot`` mm on beyond the end of each open stroke and into each sharp corner.
    """
    total = float(lengths(points, offsets).sum())
    affordable(
        "wavelength",
        wavelength,
        total * _STEPS / wavelength,
        _MOST,
        "points",
        "use a longer one",
    )
    is_closed = closed(points, offsets)
    strokes = []
    for k in range(len(offsets) - 1):
        stroke = points[offsets[k] : offsets[k + 1]]
        strokes.append(
            _drawn(stroke, bool(is_closed[k]), rng, amplitude, wavelength, overshoot)
            if len(stroke) > 1
            else stroke
        )
    if not strokes:
        return points, offsets
    return np.concatenate(strokes), offsets_of(np.array([len(stroke) for stroke in strokes]))


def _drawn(
    stroke: FloatArray,
    is_closed: bool,
    rng: np.random.Generator,
    amplitude: float,
    wavelength: float,
    overshoot: float,
) -> FloatArray:
    """One stroke (n, 2) of two points or more."""
    longer = _run_over(stroke, is_closed, overshoot) if overshoot else stroke
    steps = np.hypot(*np.diff(longer, axis=0).T)
    far = np.concatenate([[0.0], np.cumsum(steps)])
    if not far[-1] > 0:
        return stroke
    even = np.linspace(0.0, far[-1], int(np.ceil(far[-1] * _STEPS / wavelength)) + 1)
    places = np.union1d(far, even)
    path = np.column_stack([np.interp(places, far, longer[:, axis]) for axis in (0, 1)])
    knots = max(round(far[-1] / (wavelength / 2)), 4)
    values = rng.uniform(-1.0, 1.0, (2, knots if is_closed else knots + 3))
    across = _spline(values, places / far[-1] * knots, is_closed)
    # Both components at once within the amplitude: a disc, not a square.
    moved = path + amplitude * np.sqrt(0.5) * across.T
    if is_closed:
        moved[-1] = moved[0]
    return np.asarray(moved)


def _spline(values: FloatArray, at: FloatArray, is_closed: bool) -> FloatArray:
    """The uniform cubic B-spline (2, n) of control values (2, k) at some places."""
    cell = np.floor(at).astype(int)
    if not is_closed:
        cell = np.minimum(cell, values.shape[1] - 4)
    t = at - cell
    weights = (
        (1 - t) ** 3 / 6,
        (3 * t**3 - 6 * t**2 + 4) / 6,
        (-3 * t**3 + 3 * t**2 + 3 * t + 1) / 6,
        t**3 / 6,
    )
    count = values.shape[1]
    return np.asarray(
        sum(weight * values[:, (cell + k) % count] for k, weight in enumerate(weights))
    )


def _run_over(stroke: FloatArray, is_closed: bool, overshoot: float) -> FloatArray:
    """A stroke that goes on a little where the hand turns: to beyond each sharp corner and back,
    and beyond both ends of an open one.
    """
    ways = np.diff(stroke, axis=0)
    size = np.hypot(*ways.T)
    kept = size > 0
    ways = ways[kept] / size[kept][:, None]
    size = size[kept]
    corners = np.concatenate([stroke[:1], stroke[1:][kept]])
    if not len(ways):
        return stroke
    parts = [corners[:1]]
    if not is_closed:
        parts.insert(0, corners[:1] - ways[:1] * min(overshoot, size[0] / 2))
    for k in range(len(ways) - 1):
        parts.append(corners[k + 1 : k + 2])
        if (ways[k] * ways[k + 1]).sum() < _CORNER:
            reach = min(overshoot, size[k] / 2, size[k + 1] / 2)
            parts += [corners[k + 1 : k + 2] + reach * ways[k], corners[k + 1 : k + 2]]
    parts.append(corners[-1:])
    if not is_closed:
        parts.append(corners[-1:] + ways[-1:] * min(overshoot, size[-1] / 2))
    return np.concatenate(parts)
