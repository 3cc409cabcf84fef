"""Open ends shortened at random, so that a front of line ends becomes soft."""

from __future__ import annotations

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import BoolArray, FloatArray, IntArray

_MOST = 1 / 3  # of a line, at each end


def tapered(
    points: FloatArray,
    offsets: IntArray,
    most: float,
    generator: np.random.Generator,
    *,
    spared: BoolArray | None = None,
) -> tuple[FloatArray, IntArray]:
    """Both ends of every open stroke drawn back by up to ``most`` mm, and by no more than a third
    of the stroke; ends that are ``spared`` (2, M) stay where they are.
    """
    lengths = ragged.lengths(points, offsets)
    back = generator.uniform(0.0, 1.0, (2, len(lengths))) * np.minimum(most, _MOST * lengths)
    back[:, ragged.closed(points, offsets) | (lengths == 0)] = 0.0
    if spared is not None:
        back[spared] = 0.0
    return shortened(points, offsets, back[0], back[1])


def shortened(
    points: FloatArray, offsets: IntArray, front: FloatArray, rear: FloatArray
) -> tuple[FloatArray, IntArray]:
    """Strokes without their first ``front`` and last ``rear`` mm (M,), together less than each
    stroke's length.
    """
    steps = ragged.segment_lengths(points, offsets)
    owner = ragged.stroke_of(offsets)
    total = np.concatenate([[0.0], np.cumsum(steps)])[:-1]
    along = total - total[offsets[:-1]][owner]
    # where each segment ends, in the same sums, so that nothing falls between two roundings
    after = np.append(along[1:], 0.0)
    after[offsets[1:] - 1] = along[offsets[1:] - 1]
    low = front[owner]
    high = (along[offsets[1:] - 1] - rear)[owner]
    result = points.copy()
    keep = (along >= low) & (along <= high)
    following = np.minimum(np.arange(len(points)) + 1, len(points) - 1)
    length = np.where(after > along, after - along, 1.0)
    # the segment in which the front ends: its first point moves up
    starts = (along < low) & (after > low)
    result[starts] += ((low - along) / length)[starts, None] * (points[following] - points)[starts]
    # the segment in which the rear begins: its last point moves back
    ends = np.flatnonzero((along < high) & (after > high))
    result[following[ends]] = (
        points[ends] + ((high - along) / length)[ends, None] * (points[following] - points)[ends]
    )
    keep |= starts
    keep[following[ends]] = True
    return result[keep], ragged.offsets_of(
        np.add.reduceat(keep.astype(np.int64), offsets[:-1])
        if len(offsets) > 1
        else np.zeros(0, np.int64)
    )
