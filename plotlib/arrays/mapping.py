"""Strokes under any function of the plane: straight segments become curves, drawn to a tolerance.

Adaptive subdivision: each segment is asked at places at most a step apart; where three probes
between two neighbours show that the image bends away from its chord, they become points too, and
so on. What was asked in vain is dropped again (Douglas and Peucker), so that what stays straight
needs no points.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np

from plotlib.arrays.asking import PlaneFunction, points_at
from plotlib.arrays.ragged import Ragged, offsets_of, sealed, segment_lengths, stroke_of
from plotlib.arrays.reshape import simplify
from plotlib.checks import BoolArray, FloatArray, IntArray, affordable
from plotlib.errors import InvalidValue

_MOST = 20_000_000  # points; a drawing of more is a mistake in the tolerance
_PROBES = np.array([0.25, 0.5, 0.75])
_SUDDEN = 0.6  # of the way between two samples, in a quarter of it; smooth functions lose it soon
_BLOCK = 200_000  # spans asked in one go, between which Ctrl-C is heard
# Rounds after which the rest is foreseen: in each, bends go on in all parts of a span, but a corner
# in one of four, so that by then corners weigh little.
_FORESIGHT = 3
_FINEST = 1e-9  # mm between two places whose images still lie apart: the function jumps there


class Spans(NamedTuple):
    """Parts of segments between two samples.

    Attributes
    ----------
    segment : ndarray of int, shape (n,)
        The point of the drawing at which the segment begins.
    t : ndarray, shape (n, 2)
        Where the span begins and ends on its segment, 0 to 1.
    image : ndarray, shape (n, 2, 2)
        The images of both.
    """

    segment: IntArray
    t: FloatArray
    image: FloatArray


def remap(
    points: FloatArray,
    offsets: IntArray,
    function: PlaneFunction,
    *,
    tolerance: float,
    step: float,
    told: Callable[[float], object] = lambda share: None,
) -> Ragged:
    """The strokes of the images; vertices keep their place, dots and closed strokes stay so.

    ``told`` hears the share done, once it can be foreseen.
    """
    if not len(points):
        return points, offsets
    points = sealed(points, offsets)
    image = points_at("function", function, points)
    last = offsets[1:] - 1
    long = segment_lengths(points, offsets)
    segment = np.setdiff1d(np.arange(len(points)), last, assume_unique=True)
    if not len(segment):
        return image, offsets
    samples = _samples(points, image, long, segment, function, step)
    added = _bent(points, long, samples, function, tolerance / 2, told)
    where = np.concatenate([part[0] for part in added])
    order = np.lexsort((np.concatenate([part[1] for part in added]), where))
    found = np.concatenate([part[2] for part in added])
    lean, ends = simplify(
        found[order], offsets_of(np.bincount(where, minlength=len(points))[segment]), tolerance / 2
    )
    return _assembled(lean, ends, segment, image, offsets)


def _samples(
    points: FloatArray,
    image: FloatArray,
    long: FloatArray,
    segment: IntArray,
    function: PlaneFunction,
    step: float,
) -> Spans:
    """The segments in parts no longer than ``step``."""
    with np.errstate(over="ignore"):
        wanted = np.maximum(np.ceil(long[segment] / step), 1.0)
    affordable("step", step, float(wanted.sum()), _MOST, "samples", "take a longer one")
    count = wanted.astype(np.int64)
    bounds = offsets_of(count + 1)
    owner = segment[stroke_of(bounds)]
    nth = np.arange(bounds[-1]) - np.repeat(bounds[:-1], count + 1)
    t = nth / np.repeat(count, count + 1)
    found = np.where((t == 0)[:, None], image[owner], image[owner + 1])
    inner = (t > 0) & (t < 1)
    if inner.any():
        found[inner] = points_at("function", function, _places(points, owner[inner], t[inner]))
    left = np.setdiff1d(np.arange(len(t)), bounds[1:] - 1, assume_unique=True)
    return Spans(
        owner[left],
        np.column_stack([t[left], t[left + 1]]),
        np.stack([found[left], found[left + 1]], axis=1),
    )


def _bent(
    points: FloatArray,
    long: FloatArray,
    spans: Spans,
    function: PlaneFunction,
    limit: float,
    told: Callable[[float], object],
) -> list[tuple[IntArray, FloatArray, FloatArray]]:
    """Samples (segment, t, image) that keep every probe within ``limit`` of its chord: the ends of
    the spans, and what has to come between.
    """
    final = spans.t[:, 1] == 1.0
    added = [
        (spans.segment, spans.t[:, 0], spans.image[:, 0]),
        (spans.segment[final], spans.t[final, 1], spans.image[final, 1]),
    ]
    total = len(spans.segment)
    foreseen = 0.0
    rounds = 0
    while len(spans.segment):
        parted = []
        rest = 0.0
        for block in _blocks(spans):
            bent, t, probes, wanted = _probed(points, block, function, limit)
            total += t.size
            rest += wanted
            affordable("tolerance", 2 * limit, total, _MOST, "points", "take a greater one")
            _refuse_jumps(points, long, bent)
            added.append((np.repeat(bent.segment, len(_PROBES)), t.ravel(), probes.reshape(-1, 2)))
            parted.append(_parted(bent, t, probes))
            if foreseen:
                told(min(total / foreseen, 1.0))
        rounds += 1
        if rounds == _FORESIGHT:
            foreseen = total + rest
            affordable("tolerance", 2 * limit, foreseen, _MOST, "points", "take a greater one")
        spans = _together(parted)
    return added


def _blocks(spans: Spans) -> Iterator[Spans]:
    for begin in range(0, len(spans.segment), _BLOCK):
        cut = slice(begin, begin + _BLOCK)
        yield Spans(spans.segment[cut], spans.t[cut], spans.image[cut])


def _together(parts: list[Spans]) -> Spans:
    return Spans(
        np.concatenate([part.segment for part in parts]),
        np.concatenate([part.t for part in parts]),
        np.concatenate([part.image for part in parts]),
    )


def _probed(
    points: FloatArray, spans: Spans, function: PlaneFunction, limit: float
) -> tuple[Spans, FloatArray, FloatArray, float]:
    """The spans that bend, where each was probed (n, 3) and the images (n, 3, 2), and about how
    many points they will need: a chord over an nth of an arc stands off by an n²th.
    """
    t = spans.t[:, :1] + np.diff(spans.t, axis=1) * _PROBES
    owner = np.repeat(spans.segment, len(_PROBES))
    probes = points_at("function", function, _places(points, owner, t.ravel()))
    probes = probes.reshape(-1, len(_PROBES), 2)
    off = _farthest(probes, spans.image)
    bends = (off > limit) | _uneven(probes, spans.image, 2 * limit)
    wanted = float(np.sqrt(off[bends] / limit).sum())
    bent = Spans(spans.segment[bends], spans.t[bends], spans.image[bends])
    return bent, t[bends], probes[bends], wanted


def _farthest(probes: FloatArray, ends: FloatArray) -> FloatArray:
    """Greatest distance (n,) of probes (n, 3, 2) from the chord between ``ends`` (n, 2, 2)."""
    way = (ends[:, 1] - ends[:, 0])[:, None, :]
    rest = probes - ends[:, :1]
    square = (way * way).sum(axis=2)
    share = np.divide(
        (rest * way).sum(axis=2), square, out=np.zeros(rest.shape[:2]), where=square > 0
    )
    off = rest - np.clip(share, 0.0, 1.0)[:, :, None] * way
    return np.asarray(np.hypot(off[:, :, 0], off[:, :, 1]).max(axis=1))


def _uneven(probes: FloatArray, ends: FloatArray, limit: float) -> BoolArray:
    """Where most of the way between ``ends`` lies between two probes: a jump need not bend."""
    path = np.concatenate([ends[:, :1], probes, ends[:, 1:]], axis=1)
    steps = np.hypot(*np.moveaxis(np.diff(path, axis=1), 2, 0))
    total = steps.sum(axis=1)
    return np.asarray((total > limit) & (steps.max(axis=1) > _SUDDEN * total))


def _parted(spans: Spans, t: FloatArray, probes: FloatArray) -> Spans:
    """Each span in four, at its probes."""
    parts = len(_PROBES) + 1
    times = np.concatenate([spans.t[:, :1], t, spans.t[:, 1:]], axis=1)
    images = np.concatenate([spans.image[:, :1], probes, spans.image[:, 1:]], axis=1)
    return Spans(
        np.repeat(spans.segment, parts),
        np.stack([times[:, :-1], times[:, 1:]], axis=2).reshape(-1, 2),
        np.stack([images[:, :-1], images[:, 1:]], axis=2).reshape(-1, 2, 2),
    )


def _refuse_jumps(points: FloatArray, long: FloatArray, spans: Spans) -> None:
    """A function that jumps would be asked for ever."""
    short = np.diff(spans.t, axis=1)[:, 0] * long[spans.segment] < _FINEST
    if not short.any():
        return
    at = int(np.argmax(short))
    x, y = _places(points, spans.segment[at : at + 1], spans.t[at : at + 1, 0])[0]
    first, second = spans.image[at]
    gap = float(np.hypot(*(second - first)))
    raise InvalidValue(
        f"function jumps by {gap:.3g} mm at ({x:g}, {y:g}); cut the drawing there first, with "
        f".erased(area)",
        name="function",
        point=(float(x), float(y)),
        by=gap,
    )


def _places(points: FloatArray, segment: IntArray, t: FloatArray) -> FloatArray:
    start = points[segment]
    return np.asarray(start + t[:, None] * (points[segment + 1] - start))


def _assembled(
    lean: FloatArray, ends: IntArray, segment: IntArray, image: FloatArray, offsets: IntArray
) -> Ragged:
    """Segments that share their ends put together to strokes."""
    inner = np.ones(len(lean), np.bool_)
    inner[ends[1:] - 1] = False
    last = offsets[1:] - 1
    owner = np.concatenate([np.repeat(segment, np.diff(ends))[inner], last])
    order = np.argsort(owner, kind="stable")
    counts = np.bincount(owner, minlength=len(image))
    return (
        np.concatenate([lean[inner], image[last]])[order],
        offsets_of(np.add.reduceat(counts, offsets[:-1])),
    )
