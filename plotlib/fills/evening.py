"""Passes of a closed line evened out, so that neighbours keep the spacing where rings could not."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.checks import BoolArray, FloatArray
from plotlib.progress import Stage

_STEP = 0.4  # spacings from vertex to vertex
_ROUNDS = 7
_LOOP = 12  # segments of a loop that may go
_TRIES = 3
_LEAST = 8  # vertices
_ASLEEP = 0.001  # of the vertices still moving: it is even
_MOVES = 8  # between two resamplings


def evened(line: FloatArray, area: Polygon | MultiPolygon, gap: float, work: Stage) -> FloatArray:
    """A closed simple line (n, 2) with its passes ``gap`` mm apart where there is room for it.

    What would cross itself or leave the area is not taken: then the last good line comes back.
    """
    from plotlib.fills.evening_kernel import moved

    walls = _walls(area, gap)
    good = line
    now = shapely.get_coordinates(shapely.segmentize(shapely.linestrings(line), _STEP * gap))[:-1]
    awake = np.ones(len(now), dtype=bool)
    for step in range(_ROUNDS):
        for _ in range(_MOVES):
            now, awake = moved(now, walls, gap, awake)
        now, awake = _resampled(now, awake, _STEP * gap)
        closed = without_loops(np.concatenate([now, now[:1]]))
        if closed is None or not shapely.covers(area, shapely.linestrings(closed)):
            break
        good = closed
        work.done((step + 1) / _ROUNDS)
        if awake.mean() < _ASLEEP:
            break
        if len(closed) != len(now) + 1:
            now = closed[:-1]
            awake = np.ones(len(now), dtype=bool)
    return good


def without_loops(closed: FloatArray) -> FloatArray | None:
    """A closed line (n, 2) without the small loops that chords across a tight turn can leave; None
    where it crosses itself elsewhere.
    """
    line = closed
    for _ in range(_TRIES):
        if shapely.is_simple(shapely.linestrings(line)):
            return line
        pieces: Any = shapely.linestrings(np.stack([line[:-1], line[1:]], axis=1))
        one, other = shapely.STRtree(pieces).query(pieces, predicate="intersects")
        crossing = (other > one + 1) & (other - one < len(pieces) - 1)
        if (other - one)[crossing].max(initial=0) > _LOOP:
            return None
        keep = np.ones(len(line), dtype=bool)
        for k, after in zip(one[crossing], other[crossing], strict=True):
            keep[k + 1 : after + 1] = False
        line = line[keep]
        if len(line) < _LEAST:
            return None
        line = np.concatenate([line[:-1], line[:1]]) if keep[0] else line
    return None


def _walls(area: Polygon | MultiPolygon, gap: float) -> FloatArray:
    """The edge of an area as segments (m, 4) no longer than the gap."""
    rings = shapely.get_rings(shapely.segmentize(area, gap))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    return np.asarray(np.column_stack([points[:-1], points[1:]])[same])


def _resampled(line: FloatArray, awake: BoolArray, step: float) -> tuple[FloatArray, BoolArray]:
    """A closed line (n, 2), its first point not said again, in even steps, and what of it is still
    moving.
    """
    line = np.concatenate([line, line[:1]])
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    count = max(round(far[-1] / step), _LEAST)
    places = np.arange(count) / count * far[-1]
    even = np.column_stack([np.interp(places, far, line[:, k]) for k in range(2)])
    return even, np.interp(places, far, np.append(awake, awake[0])) > 0
