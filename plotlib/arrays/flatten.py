"""Curves as polylines by chord error: no point of the curve is farther than the tolerance from the
polyline.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from plotlib.arrays.ragged import offsets_of
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue

Curve: TypeAlias = Callable[[FloatArray], FloatArray]

TOLERANCE = 0.02  # mm; a twentieth of a common pen's line
MOST_POINTS = 5_000_000  # a drawing of more is a mistake in the tolerance

# Where an interval of a curve is looked at between its ends: uneven, so that no regular wave hides
# between the probes, and the same
# from both ends, so that symmetric curves stay symmetric. The widest gap is 0.13, so a corner may
# stand out at most 1 / 0.85 times as
# far as the nearest probe shows: hence the MARGIN.
PROBES = np.array([0.045, 0.13, 0.24, 0.37, 0.5, 0.63, 0.76, 0.87, 0.955])
MARGIN = 0.85
# Of curves that nobody knows, more is left for what their probes miss: of 1,501 hostile curves as
# in tests/properties/test_makers.py 4 left their tolerance with 0.85, 2 with 0.75, 1 with 0.7.
UNKNOWN_MARGIN = 0.7
# A second look at curves that nobody knows. They may go back on themselves at a corner close to an
# interval's end, beyond its chord:
# the probes come nearer to the ends by a factor of 1.35, which again shows at least 2 / (1 + 1.35)
# = 0.85 of how far.
_EDGE = 0.065 * 1.35 ** -np.arange(21.0)
_INNER = np.array([0.12, 0.17, 0.23, 0.285, 0.345, 0.395, 0.45])
CLOSE_PROBES = np.sort(np.concatenate([_EDGE, _INNER, [0.5], 1 - _INNER, 1 - _EDGE]))
_SUDDEN = 0.9  # of an interval's way, in one step between probes
_OFTEN = 2_048  # corners of the circles that are kept for the next time
_AT_ONCE = 8  # parts; fewer make even curves dearer, more make uneven ones dearer
_BLOCK = 1 << 13  # intervals looked at together, so that their probes stay in the processor's cache
_FINEST = (
    2.0**-46
)  # a piece of the parameter's range that is still not flat at this share of it holds a jump


def chords(radius: ArrayLike, sweep: ArrayLike, tolerance: float) -> IntArray:
    """Fewest equal chords that stay within ``tolerance`` of arcs of ``sweep`` radians: ceil(sweep /
    (2 acos(1 - tolerance / radius))).
    """
    share = np.minimum(tolerance, radius) / np.asarray(radius, np.float64)
    # acos(1 - share) without the loss of digits where share is small
    half = 2.0 * np.arcsin(np.sqrt(share / 2.0))
    count = np.ceil(np.abs(sweep) / (2.0 * half))
    enough(float(count.sum()), tolerance)
    return np.maximum(count, 1.0).astype(np.int64)


def circle_chords(radius: ArrayLike, tolerance: float) -> IntArray:
    """Chords for whole circles: the fewest multiple of four, so that the bounds are exact and the
    quarters mirror each other.
    """
    return -4 * (-chords(radius, 2.0 * np.pi, tolerance) // 4)


def unit_circle(count: int) -> FloatArray:
    """A closed polygon (count + 1, 2) on the unit circle, read-only; ``count`` is a multiple of
    four, the symmetry bit for bit.
    """
    return _known_circle(count) if count <= _OFTEN else _circle(count)


def _circle(count: int) -> FloatArray:
    k = count // 4
    c = np.cos(np.arange(k + 1) * (0.5 * np.pi / k))
    c[k] = 0.0
    first = np.column_stack([c, c[::-1]])[:k]
    ring = np.empty((count + 1, 2))
    ring[:k] = first
    ring[2 * k : 3 * k] = -first
    ring[k : 2 * k, 0] = -first[:, 1]
    ring[k : 2 * k, 1] = first[:, 0]
    ring[3 * k : count] = -ring[k : 2 * k]
    ring[count] = ring[0]
    ring.flags.writeable = False
    return ring


_known_circle = lru_cache(maxsize=256)(_circle)


def unit_arc(start: float, sweep: float, count: int) -> FloatArray:
    """The points (count + 1, 2) of ``count`` equal chords on the unit circle, from ``start``
    radians over ``sweep``.
    """
    angles = start + sweep * (np.arange(count + 1) / count)
    return np.column_stack([np.cos(angles), np.sin(angles)])


def enough(count: float, tolerance: float) -> None:
    """Refuse more points than any machine would draw."""
    if not count <= MOST_POINTS:
        raise InvalidValue(
            f"a tolerance of {tolerance:g} mm needs {count:,.0f} points here, more than "
            f"{MOST_POINTS:,}; use a larger tolerance",
            tolerance=tolerance,
            count=count,
        )


def cubics(controls: FloatArray, tolerance: float) -> tuple[FloatArray, IntArray]:
    """Cubic Bézier curves as polylines.

    Parameters
    ----------
    controls : float array (M, 4, 2)
        The four control points of each curve.
    tolerance : float
        Greatest distance of a curve from its polyline.

    Returns
    -------
    points : float array (N, 2)
        The points of each polyline without its first; the last is the curve's last control point,
        bit for bit.
    counts : int array (M,)
        How many points each curve has.
    """
    piece = controls
    owner = np.arange(len(controls))
    begin = np.zeros(len(controls))
    width = np.ones(len(controls))
    ends = [np.empty((0, 2))]
    owners = [np.empty(0, np.int64)]
    begins = [np.empty(0)]
    done = 0
    while len(piece):
        error = _cubic_error(piece)
        flat = ~(error > tolerance) | (width < _FINEST)
        ends.append(piece[flat, 3])
        owners.append(owner[flat])
        begins.append(begin[flat])
        done += int(flat.sum())
        parts = _parts(error[~flat], tolerance, done)
        piece, step = _split(piece[~flat], parts)
        begin = np.repeat(begin[~flat], parts) + step * np.repeat(width[~flat] / parts, parts)
        width = np.repeat(width[~flat] / parts, parts)
        owner = np.repeat(owner[~flat], parts)
    joined = np.concatenate(owners)
    order = np.lexsort((np.concatenate(begins), joined))
    counts = np.bincount(joined, minlength=len(controls)).astype(np.int64)
    points = np.concatenate(ends)[order]
    if len(counts):
        points[np.cumsum(counts) - 1] = controls[:, 3]
    return points, counts


def even_bezier(control: FloatArray, tolerance: float) -> FloatArray:
    """One Bézier curve of any degree in equal steps of its parameter: for the short curves of a
    font, which turn little; ``cubics`` splits only where a curve bends.

    Parameters
    ----------
    control : float array (degree + 1, 2)
        Its control points; two are a straight line.
    tolerance : float
        Greatest distance of the curve from its polyline.

    Returns
    -------
    float array (n, 2)
        The points without the first, by de Casteljau's rule.
    """
    t = np.linspace(0.0, 1.0, _steps(control, tolerance) + 1)[1:, None]
    rows = [np.broadcast_to(point, (len(t), 2)) for point in control]
    while len(rows) > 1:
        rows = [a + (b - a) * t for a, b in pairwise(rows)]
    return np.asarray(rows[0])


def _steps(control: FloatArray, tolerance: float) -> int:
    """How many chords: the error of one is at most an eighth of the greatest second derivative
    times its parameter squared.
    """
    if len(control) == 2:
        return 1
    bend = float(np.hypot(*np.diff(control, 2, axis=0).T).max())
    degree = len(control) - 1
    return max(1, math.ceil(math.sqrt(degree * (degree - 1) * bend / (8.0 * tolerance))))


def _cubic_error(piece: FloatArray) -> FloatArray:
    """A bound (M,) on the distance of cubic curves from their chords, taken as segments.

    Across the chord a curve reaches 3(1-t)²t d1 + 3(1-t)t² d2, where d1, d2 are the distances of
    the inner control points. The maximum is convex in (d1, d2), 4/9 d for (d, 0) and 3/4 d for (d,
    d), so it is at most what lies between. Along the chord the hull tells how far it sticks out.
    """
    chord = piece[:, 3] - piece[:, 0]
    length = np.hypot(chord[:, 0], chord[:, 1])
    unit = chord / np.where(length > 0, length, 1.0)[:, None]
    inner = piece[:, 1:3] - piece[:, :1]
    along = inner[:, :, 0] * unit[:, None, 0] + inner[:, :, 1] * unit[:, None, 1]
    across = inner[:, :, 1] * unit[:, None, 0] - inner[:, :, 0] * unit[:, None, 1]
    size = np.abs(across)
    low = size.min(axis=1)
    high = size.max(axis=1)
    bulge = 4 / 9 * high + np.where(across[:, 0] * across[:, 1] > 0, (3 / 4 - 4 / 9) * low, 0.0)
    beyond = np.maximum(np.maximum(-along, along - length[:, None]).max(axis=1), 0.0)
    loop = 0.75 * np.hypot(inner[:, :, 0], inner[:, :, 1]).max(axis=1)
    return np.asarray(np.where(length > 0, np.hypot(bulge, beyond), loop))


def _parts(error: FloatArray, tolerance: float, done: int) -> IntArray:
    """Into how many parts to split: the error falls with the square of their number, and uneven
    curves are best split in rounds.

    Few parts are made at once; for more, the first split is the one of 2, 3 or 4 whose parts need
    the least rounding up.
    """
    wanted = np.sqrt(np.minimum(error / tolerance, 1e12))
    # a quarter, because far from flat the estimate may be too high
    enough(done + float(wanted.sum()) / 4, tolerance)
    choice = np.array([4, 3, 2])
    first = choice[np.argmin(choice * np.ceil(wanted[:, None] / choice), axis=1)]
    return np.where(wanted <= _AT_ONCE, np.maximum(np.ceil(wanted), 2), first).astype(np.int64)


def _split(piece: FloatArray, parts: IntArray) -> tuple[FloatArray, IntArray]:
    """Each cubic (M, 4, 2) cut into ``parts`` (M,) equal intervals of its parameter, in order, and
    the number of each part.
    """
    whole = np.repeat(piece, parts, axis=0)
    step = np.arange(len(whole)) - np.repeat(offsets_of(parts)[:-1], parts)
    count = np.repeat(parts, parts)
    u = step / count
    v = (step + 1) / count
    result = np.empty_like(whole)
    for k, (a, b, c) in enumerate([(u, u, u), (u, u, v), (u, v, v), (v, v, v)]):
        result[:, k] = _blossom(whole, a[:, None], b[:, None], c[:, None])
    result[step == 0, 0] = piece[:, 0]
    result[step + 1 == count, 3] = piece[:, 3]
    return result, step


def _blossom(piece: FloatArray, a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """The polar form of cubics: de Casteljau's steps with a different parameter in each; gives the
    control points of any part.
    """
    one = piece[:, :-1] + a[:, None] * (piece[:, 1:] - piece[:, :-1])
    two = one[:, :-1] + b[:, None] * (one[:, 1:] - one[:, :-1])
    return np.asarray(two[:, 0] + c * (two[:, 1] - two[:, 0]))


def adaptive(
    curve: Curve, breaks: FloatArray, tolerance: float, *, known: bool = True
) -> FloatArray:
    """A curve given by a function as a polyline.

    Parameters
    ----------
    curve : function
        From parameters (n,) to points (n, 2).
    breaks : float array (m + 1,)
        Increasing parameters that become points in any case: ends, corners and cusps; for a known
        curve so dense that it turns by little more than a right angle between them.
    tolerance : float
        Greatest distance of the curve from the polyline.
    known : bool, default True
        Whether the curve is known to be smooth between the breaks. If not, intervals that seem flat
        are looked at more closely, above all near their ends; and jumps are looked for: places
        where nearly all of an interval's way lies between two neighbouring probes, however short
        the interval.

    Returns
    -------
    float array (n, 2)
        Points on the curve.

    Notes
    -----
    Where one of an interval's probes is farther from the chord than 0.85 of the tolerance, the
    interval is split, all intervals of a generation at once.
    """
    a = breaks[:-1]
    b = breaks[1:]
    margin = MARGIN if known else UNKNOWN_MARGIN
    begins = []
    points = []
    done = 0
    finest = _FINEST * max(
        abs(float(breaks[-1] - breaks[0])), float(np.abs(breaks).max()) * 2.0**-6
    )
    while len(a):
        with np.errstate(all="ignore"):  # what is not finite is refused below
            error, start = _deviation(curve, a, b, PROBES, math.inf)
            flat = error <= MARGIN * tolerance
            if not known:
                error[flat] = _deviation(curve, a[flat], b[flat], CLOSE_PROBES, tolerance)[0]
                flat = error <= margin * tolerance
        begins.append(a[flat])
        points.append(start[flat])
        done += int(flat.sum())
        _no_jump(a[~flat], b[~flat], error[~flat], finest)
        parts = _parts(error[~flat], margin * tolerance, done)
        a, b = _divided(a[~flat], b[~flat], parts)
    order = np.argsort(np.concatenate(begins), kind="stable")
    return np.concatenate([np.concatenate(points)[order], curve(breaks[-1:])])


def _deviation(
    curve: Curve, a: FloatArray, b: FloatArray, probes: FloatArray, jump: float
) -> tuple[FloatArray, FloatArray]:
    """Greatest distance (m,) of the curve's probes on each interval from its chord, and the point
    (m, 2) where it begins.

    Where a step from probe to probe is longer than ``jump`` and nearly the whole way, its length
    counts as the distance.
    """
    error = np.empty(len(a))
    start = np.empty((len(a), 2))
    places = np.concatenate([[0.0], probes])
    for first in range(0, len(a), _BLOCK):
        part = slice(first, first + _BLOCK)
        t = a[part, None] + (b[part] - a[part])[:, None] * places
        seen = curve(np.concatenate([t.ravel(), b[part]]))
        q = seen[: t.size].reshape(len(t), len(places), 2)
        start[part] = q[:, 0]
        end = seen[t.size :]
        error[part] = _off_chord(q[:, 1:], q[:, 0], end).max(axis=1)
        if jump < math.inf:
            step = np.linalg.norm(
                np.diff(np.concatenate([q, end[:, None]], axis=1), axis=1), axis=2
            )
            gap = step.max(axis=1)
            error[part] = np.where(
                (gap > jump) & (gap > _SUDDEN * step.sum(axis=1)),
                np.maximum(gap, error[part]),
                error[part],
            )
    return error, start


def _off_chord(q: FloatArray, begin: FloatArray, end: FloatArray) -> FloatArray:
    """Distances (m, k) of points (m, k, 2) from the segments (m,) between ``begin`` and ``end``."""
    chord = end - begin
    square = (chord**2).sum(axis=1)
    rel = q - begin[:, None]
    along = (rel * chord[:, None]).sum(axis=2) / np.where(square > 0, square, 1.0)[:, None]
    off = rel - np.clip(along, 0.0, 1.0)[:, :, None] * chord[:, None]
    return np.asarray(np.hypot(off[:, :, 0], off[:, :, 1]))


def _divided(a: FloatArray, b: FloatArray, parts: IntArray) -> tuple[FloatArray, FloatArray]:
    """Intervals cut into ``parts`` equal ones; neighbours share their end bit for bit."""
    step = np.arange(parts.sum()) - np.repeat(offsets_of(parts)[:-1], parts)
    count = np.repeat(parts, parts)
    low = np.repeat(a, parts)
    high = np.repeat(b, parts)
    width = high - low
    return low + width * (step / count), np.where(
        step + 1 == count, high, low + width * ((step + 1) / count)
    )


def _no_jump(a: FloatArray, b: FloatArray, error: FloatArray, finest: float) -> None:
    """Refuse a curve that jumps, by the parameter where it does."""
    stuck = ~(b - a > finest) | ~np.isfinite(error)
    if stuck.any():
        at = int(np.argmax(stuck))
        where = float(a[at])
        raise InvalidValue(
            f"the curve jumps or is not finite at t = {where:.9g}; end it before and begin a new "
            f"one after",
            t=where,
        )
