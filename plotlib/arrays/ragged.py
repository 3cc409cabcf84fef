"""Ragged strokes: M polylines as one (N, 2) array of points and M + 1 offsets, every stroke with at
least one point.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeAlias

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import InvalidValue, NoSuchStroke

Ragged: TypeAlias = tuple[FloatArray, IntArray]

LIMIT = 1e9  # mm; beyond it micrometres no longer fit the integers of the grid with room to spare
# mm; the ends of a stroke no farther apart are one point wherever closedness or an area is asked.
# The sine of a full turn misses its start by 1e-14 of the radius; machines' grids begin at 1e-6.
MEET = 1e-6


def empty() -> Ragged:
    """No strokes at all."""
    return np.empty((0, 2)), np.zeros(1, np.int64)


def offsets_of(counts: IntArray) -> IntArray:
    """Offsets (M + 1,) of strokes that have ``counts`` points each."""
    offsets = np.zeros(len(counts) + 1, np.int64)
    np.cumsum(counts, out=offsets[1:])
    return offsets


def stroke_of(offsets: IntArray) -> IntArray:
    """The stroke (N,) that each point belongs to."""
    return np.repeat(np.arange(len(offsets) - 1), np.diff(offsets))


def pack(strokes: Iterable[Any]) -> Ragged:
    """Any iterable of (n, 2) array-likes as ragged strokes; what does not fit is named by stroke
    and point.
    """
    if isinstance(strokes, np.ndarray) and strokes.ndim == 3 and strokes.shape[1] > 0:
        return _pack_block(strokes)
    given = _listed(strokes)
    if not given:
        return empty()
    try:
        arrays = [
            stroke if isinstance(stroke, np.ndarray) else np.asarray(stroke) for stroke in given
        ]
        points = np.concatenate(arrays)
    except ValueError as error:
        raise _offender(given) from error
    counts = np.fromiter(map(len, arrays), np.int64, len(arrays))
    if (
        points.ndim != 2
        or points.shape[1] != 2
        or points.dtype.kind not in "iuf"
        or not counts.all()
    ):
        raise _offender(given)
    return points.astype(np.float64, copy=False), offsets_of(counts)


def _pack_block(block: Any) -> Ragged:
    if block.shape[2] != 2 or block.dtype.kind not in "iuf":
        raise InvalidValue(
            f"strokes as one array must have shape (strokes, points, 2) and hold numbers, got "
            f"{block.shape} of {block.dtype}"
        )
    return block.reshape(-1, 2).astype(np.float64), np.arange(
        0, block.shape[0] * block.shape[1] + 1, block.shape[1], dtype=np.int64
    )


def _listed(strokes: Any) -> list[Any]:
    if isinstance(strokes, (str, bytes)) or not isinstance(strokes, Iterable):
        raise InvalidValue(
            f"a drawing is made from an iterable of strokes, each an array of points (n, 2); got "
            f"{strokes!r:.100}"
        )
    try:
        return list(strokes)
    except TypeError as error:  # an array without dimensions
        raise InvalidValue(
            f"a drawing is made from an iterable of strokes, each an array of points (n, 2); got "
            f"{strokes!r:.100}"
        ) from error


def _offender(strokes: list[Any]) -> InvalidValue:
    """The error for the first stroke that is not an (n, 2) array of numbers."""
    for index, stroke in enumerate(strokes):
        try:
            array = np.asarray(stroke)
        except ValueError:
            return InvalidValue(
                f"stroke {index} is ragged: every point needs exactly two numbers", stroke=index
            )
        if array.shape == (2,) and array.dtype.kind in "iuf":
            return InvalidValue(
                f"stroke {index} is one point, not a list of points; write Drawing([points]) for "
                f"one stroke, [[(x, y)]] for a dot",
                stroke=index,
            )
        if array.ndim == 2 and len(array) and array.shape[1] == 2 and array.dtype.kind not in "iuf":
            where = next(
                (k for k, row in enumerate(stroke) if np.asarray(row).dtype.kind not in "iuf"), 0
            )
            return InvalidValue(
                f"stroke {index}, point {where}: {array[where].tolist()} is not two numbers",
                stroke=index,
                point=where,
            )
        if array.ndim == 0:
            return InvalidValue(
                f"stroke {index} must be points (n, 2) with n >= 1, got {type(stroke).__name__} "
                f"{stroke!r:.80}",
                stroke=index,
            )
        if array.ndim != 2 or array.shape[1] != 2 or not len(array):
            return InvalidValue(
                f"stroke {index} must have shape (n, 2) with n >= 1, got {array.shape}",
                stroke=index,
            )
    return InvalidValue(
        "the strokes hold a mixture of kinds that do not fit into one array of numbers"
    )


def check(points: FloatArray, offsets: IntArray) -> None:
    """Refuse points that are not finite or beyond ``LIMIT``, by stroke and point."""
    if not len(points) or (points.min() >= -LIMIT and points.max() <= LIMIT):
        return
    at = int(np.argmax(~(np.abs(points) <= LIMIT).all(axis=1)))
    stroke = int(np.searchsorted(offsets, at, side="right")) - 1
    x, y = points[at]
    problem = f"is beyond {LIMIT:g} mm" if np.isfinite(points[at]).all() else "is not finite"
    raise InvalidValue(
        f"stroke {stroke}, point {at - offsets[stroke]} {problem}: ({x}, {y})",
        stroke=stroke,
        point=int(at - offsets[stroke]),
    )


def bounds(points: FloatArray) -> tuple[float, float, float, float] | None:
    """(x least, y least, x most, y most), or None where there are no points."""
    if not len(points):
        return None
    # column by column: several times as fast as along axis 0
    x = points[:, 0]
    y = points[:, 1]
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def segment_lengths(points: FloatArray, offsets: IntArray) -> FloatArray:
    """Length (N,) from each point to the next one of its stroke; 0 at the last point of a
    stroke.
    """
    steps = np.zeros(len(points))
    if len(points) > 1:
        steps[:-1] = np.hypot(np.diff(points[:, 0]), np.diff(points[:, 1]))
        steps[offsets[1:] - 1] = 0.0
    return steps


def lengths(points: FloatArray, offsets: IntArray) -> FloatArray:
    """Length (M,) of each stroke."""
    if len(offsets) == 1:
        return np.zeros(0)
    return np.add.reduceat(segment_lengths(points, offsets), offsets[:-1])


def gaps(points: FloatArray | IntArray, offsets: IntArray) -> FloatArray:
    """Distance (M,) in mm from the last point of each stroke to its first."""
    way = points[offsets[1:] - 1] - points[offsets[:-1]]
    return np.asarray(np.hypot(way[:, 0], way[:, 1]))


def meet(start: FloatArray, end: FloatArray) -> bool:
    """Whether two points (2,) are one by the tolerance `MEET`."""
    return bool(np.hypot(end[0] - start[0], end[1] - start[1]) <= MEET)


def closed(points: FloatArray | IntArray, offsets: IntArray) -> BoolArray:
    """Which strokes (M,) are closed: at least three points, the last within `MEET` of the first."""
    return (gaps(points, offsets) <= MEET) & (np.diff(offsets) >= 3)


def sealed(points: FloatArray, offsets: IntArray) -> FloatArray:
    """The points, with the last one of each closed stroke equal to its first."""
    begin = offsets[:-1]
    end = offsets[1:] - 1
    loose = closed(points, offsets) & (points[begin] != points[end]).any(axis=1)
    if not loose.any():
        return points
    tied = points.copy()
    tied[end[loose]] = points[begin[loose]]
    return tied


def take(
    offsets: IntArray, strokes: IntArray, reverse: BoolArray | None = None
) -> tuple[IntArray, IntArray]:
    """Rows of the points of ``strokes`` in that order, each backwards where ``reverse`` says so,
    and the new offsets.
    """
    counts = np.diff(offsets)[strokes]
    fresh = offsets_of(counts)
    step = np.arange(fresh[-1]) - np.repeat(fresh[:-1], counts)
    if reverse is not None:
        step = np.where(np.repeat(reverse, counts), np.repeat(counts - 1, counts) - step, step)
    return np.repeat(offsets[:-1][strokes], counts) + step, fresh


def rotated(points: Any, offsets: IntArray, start: IntArray) -> Any:
    """Closed strokes begun at vertex ``start`` (M,) instead; strokes with start 0 stay as they
    are.
    """
    if not start.any():
        return points
    counts = np.diff(offsets)
    owner = stroke_of(offsets)
    step = np.arange(len(points)) - offsets[:-1][owner]
    lap = np.where(start > 0, np.maximum(counts - 1, 1), counts)[owner]
    moved = np.where(start[owner] > 0, (step + start[owner]) % lap, step)
    return points[offsets[:-1][owner] + moved]


def without_repeats(points: Any, offsets: IntArray) -> tuple[Any, IntArray]:
    """Drop each point that equals the one before it in its stroke; a stroke of equal points becomes
    a dot.
    """
    if not len(points):
        return points, offsets
    keep = np.ones(len(points), np.bool_)
    keep[1:] = (points[1:, 0] != points[:-1, 0]) | (points[1:, 1] != points[:-1, 1])
    keep[offsets[:-1]] = True
    if keep.all():
        return points, offsets
    counts = np.add.reduceat(keep.astype(np.int64), offsets[:-1])
    return points[keep], offsets_of(counts)


def chosen(key: Any, count: int) -> IntArray:
    """The numbers of the strokes that a slice, a list of numbers or a mask names."""
    try:
        if isinstance(key, slice):
            return np.asarray(np.arange(count)[key])
        array = np.asarray(key)
        if array.ndim != 1 or (array.size and array.dtype.kind not in "iub"):
            raise InvalidValue(
                f"strokes are chosen by a number, a slice, a list of numbers or a mask "
                f"({count},); got {key!r:.100}"
            )
        return np.asarray(np.arange(count)[array.astype(np.int64) if array.size == 0 else array])
    except (IndexError, ValueError) as error:
        if isinstance(error, InvalidValue):
            raise
        raise NoSuchStroke(
            f"no such strokes in a drawing of {count} strokes: {key!r:.100}: {error}"
        ) from error


def copied(name: str, value: Any, kind: Any, letters: str) -> Any:
    """A new array of numbers, or InvalidValue."""
    try:
        array = np.asarray(value)
    except ValueError as error:
        raise InvalidValue(f"{name} must be one array of numbers: {error}", name=name) from error
    if array.size and array.dtype.kind not in letters:
        raise InvalidValue(
            f"{name} must hold {'whole ' if letters == 'iu' else ''}numbers only, "
            f"got {array.dtype}",
            name=name,
        )
    return np.array(array, kind)
