"""Passes of a closed line evened out, so that neighbours keep the spacing where rings could not."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.reshape import simplify
from plotlib.checks import FloatArray
from plotlib.fills.closed import crossings, fits, is_simple
from plotlib.progress import Stage

_STEP = 0.6  # spacings from vertex to vertex at the most, to begin with
_FINE = 0.02  # spacings by which the line may be simpler, to begin with
_ROUNDS = 12
_MOVES = 10  # from one look to the next
_LOOP = 12  # segments of a loop that may go
_TRIES = 3
_LEAST = 8  # vertices
_ASLEEP = 0.001  # of the vertices still moving: it is even


def evened(line: FloatArray, area: Polygon | MultiPolygon, gap: float, work: Stage) -> FloatArray:
    """A closed simple line (n, 2) with its passes ``gap`` mm apart where there is room for it."""
    from plotlib.fills.evening_kernel import Line, pushed
    from plotlib.fills.evening_look import looked
    from plotlib.fills.evening_mesh import ironed, remeshed

    walls = _walls(area, gap)
    now = _in_steps(line, area, gap)
    state = Line(now, np.zeros_like(now), np.ones(len(now), dtype=bool))
    for step in range(_ROUNDS):
        state = ironed(state, walls, gap)
        home = state.points
        sights = looked(home, walls, gap, state.awake)
        for _ in range(_MOVES):
            state = pushed(state, home, walls, sights, gap)
        state = remeshed(state, sights.room, gap)
        work.done((step + 1) / _ROUNDS)
        if state.awake.mean() < _ASLEEP:
            break
    closed = np.concatenate([state.points, state.points[:1]])
    return closed if fits(closed, area) else line


def _in_steps(line: FloatArray, area: Polygon | MultiPolygon, gap: float) -> FloatArray:
    """A closed line as vertices (n, 2) in short steps, the first not said again."""
    plain = simplify(line, np.array([0, len(line)]), _FINE * gap)[0]
    ring = shapely.linestrings(plain if fits(plain, area) else line)
    return np.asarray(shapely.get_coordinates(shapely.segmentize(ring, _STEP * gap))[:-1])


def _walls(area: Polygon | MultiPolygon, gap: float) -> FloatArray:
    """The edge of an area as segments (m, 4) no longer than the gap."""
    rings = shapely.get_rings(shapely.segmentize(area, gap))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    return np.asarray(np.column_stack([points[:-1], points[1:]])[same])


def without_loops(closed: FloatArray) -> FloatArray | None:
    """A closed line (n, 2) without the small loops that chords across a tight turn can leave; None
    where it crosses itself elsewhere.
    """
    line = closed
    for _ in range(_TRIES):
        if is_simple(line):
            return line
        pairs = crossings(line)
        if np.diff(pairs).max(initial=0) > _LOOP:
            return None
        keep = np.ones(len(line), dtype=bool)
        for k, after in pairs:
            keep[k + 1 : after + 1] = False
        line = line[keep]
        if len(line) < _LEAST:
            return None
        line = np.concatenate([line[:-1], line[:1]]) if keep[0] else line
    return None
