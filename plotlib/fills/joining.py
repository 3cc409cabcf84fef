"""Hatching in long strokes: neighbouring chords joined along the edge of the area."""

from __future__ import annotations

import numpy as np

from plotlib.arrays.ragged import Ragged, empty, offsets_of, without_repeats
from plotlib.checks import FloatArray, IntArray
from plotlib.fills.scanlines import NOTHING, Crossings, Frame, chords


def joined(found: Crossings, frame: Frame, limit: float) -> Ragged:
    """Strokes in mm: chords joined along the pieces of outline between neighbouring crossings,
    where those are no longer than ``limit``.

    Such a piece crosses no row, so it lies between two neighbouring ones, on the edge of the area.
    """
    from plotlib.fills.joining_kernel import laid, strung

    begin, end = chords(found)
    if not len(begin):
        return empty()
    real = found.along[end] - found.along[begin] > NOTHING
    begin = begin[real]
    end = end[real]
    mate = np.arange(len(found.row))
    mate[begin] = end
    mate[end] = begin
    after, before = _neighbours(found.ring[found.edge])
    height = frame.height(found.row)
    walk = strung(mate, after, before, found.row, _pieces(found, height, after), limit, begin)
    points = laid(walk, found.along, height, found.edge, found.corners, _following(found.ring))
    lifts = np.append(np.flatnonzero(np.isnan(points[:, 0])), len(points))
    pen_down = points[~np.isnan(points[:, 0])]
    return without_repeats(frame.back(pen_down), offsets_of(np.diff(lifts) - 1))


def _neighbours(ring: IntArray) -> tuple[IntArray, IntArray]:
    """The next and the last crossing along the ring of each crossing."""
    count = len(ring)
    first = np.flatnonzero(np.append(True, ring[1:] != ring[:-1]))
    last = np.append(first[1:], count) - 1
    after = np.arange(1, count + 1)
    before = np.arange(-1, count - 1)
    after[last] = first
    before[first] = last
    return after, before


def _following(ring: IntArray) -> IntArray:
    """The corner after each corner, around its ring; a ring's last corner is its first once
    more.
    """
    follow = np.arange(1, len(ring) + 1)
    first = np.flatnonzero(np.append(True, ring[1:] != ring[:-1]))
    last = np.append(first[1:], len(ring)) - 1
    follow[last - 1] = first
    follow[last] = first + 1
    return follow


def _pieces(found: Crossings, height: FloatArray, after: IntArray) -> FloatArray:
    """The length of outline from each crossing to the next one of its ring."""
    steps = np.hypot(*np.diff(found.corners, axis=0).T)
    steps[found.ring[1:] != found.ring[:-1]] = 0.0
    far = np.concatenate(([0.0], np.cumsum(steps)))
    place = far[found.edge] + np.hypot(
        found.along - found.corners[found.edge, 0], height - found.corners[found.edge, 1]
    )
    ring = found.ring[found.edge]
    first = np.flatnonzero(np.append(True, found.ring[1:] != found.ring[:-1]))
    around = far[np.append(first[1:], len(found.ring)) - 1] - far[first]
    length = place[after] - place
    return np.asarray(np.where(after <= np.arange(len(after)), length + around[ring], length))
