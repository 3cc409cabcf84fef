"""Strokes bent towards thin bare places beside them, as far as their overlap allows.

A detour there and back inks its way twice. Where a bare place is thinner than what its neighbours
can give up of their overlap they lean to its middle instead, which adds next to no ink. Where that
opens other ground they stay as they were.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely

from plotlib.arrays import overlay
from plotlib.arrays.pieces import Shapes
from plotlib.arrays.ragged import pack, without_repeats
from plotlib.arrays.reshape import simplify
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.fills.bare import SOUGHT, bare_middles
from plotlib.fills.segments import Segments, segments_of

_STEP = 0.1  # pen widths between places that move
_EASE = 3  # such steps on which a stroke goes over to where it leans
_GIVEN = 0.75  # of the overlap that a stroke may give up: a quarter stays
_LAPPED = 0.03  # pen widths by which a stroke laps over the middle of a bare place
_EDGE = 0.3  # pen widths from the edge: the outermost strokes stay, as nothing lies behind them
_AROUND = 1.3  # pen widths around a bare place in which leaning may open other ground
_WORTH = 0.5  # of the ground that leaning is to ink: if less of it is, the strokes go back
_LITTLE = 0.002  # of all ink: bare places with less edge are not worth the look
_FINE = 0.004  # pen widths: corners that can go
_SAME = 1.02  # distances that count as equal but for the chords of arcs
_QUARTER = 16  # chords in a quarter of a round corner


class Ground(NamedTuple):
    """What is bare of an area."""

    bare: Shapes  # (B,) where the middles of bare discs can lie
    home: IntArray  # (B,) the part of the area that each belongs to
    tracks: Shapes  # (parts,) where the middle of the pen may be
    inner: Shapes  # (parts,) where the middles of discs in reach can be


class _Moves(NamedTuple):
    """Places of strokes that move."""

    segment: IntArray  # (n,)
    foot: FloatArray  # (n, 2) the place
    way: FloatArray  # (n, 2) how it moves
    cause: IntArray  # (n,) the bare place for which it does

    def of(self, causes: IntArray) -> _Moves:
        """Those for some bare places."""
        kept = np.isin(self.cause, causes)
        return _Moves(self.segment[kept], self.foot[kept], self.way[kept], self.cause[kept])


def leaned(
    drawing: Drawing, owner: IntArray, ground: Ground, width: float, overlap: float
) -> tuple[Drawing, Ground]:
    """A drawing whose strokes lean towards thin bare places beside them, and what stays bare.

    ``owner`` (M,) says whose a stroke is, ``width`` is the pen's, ``overlap`` that of neighbouring
    strokes, both in mm.
    """
    most = _GIVEN * overlap
    little = shapely.length(ground.bare).sum() < _LITTLE * drawing.length
    if little or most <= _LAPPED * width:
        return drawing, ground
    found = segments_of(drawing, width)
    moves = _moves(found, ground, width, most)
    asked = np.unique(moves.cause)
    if not len(asked):
        return drawing, ground
    result = _bent(drawing, found, moves, width)
    after = bare_middles(result, owner, ground.inner, width)
    zones = shapely.buffer(ground.bare[asked], _AROUND * width, quad_segs=4)
    gain = _within(zones, ground.bare) - _within(zones, after[0])
    good = asked[gain > _WORTH * shapely.area(ground.bare[asked])]
    if len(good) < len(asked):
        result = _bent(drawing, found, moves.of(good), width)
        after = bare_middles(result, owner, ground.inner, width)
    return result, ground._replace(bare=after[0], home=after[1])


def _within(zones: Shapes, bare: Shapes) -> FloatArray:
    """The bare ground in mm² within each of some zones (n,)."""
    zone, hit = shapely.STRtree(bare).query(zones, predicate="intersects")
    areas = shapely.area(overlay.intersection(zones[zone], bare[hit]))
    return np.bincount(zone, weights=areas, minlength=len(zones)).astype(np.float64)


def _moves(found: Segments, ground: Ground, width: float, most: float) -> _Moves:
    """Where strokes beside thin bare places are to lean, by ``most`` mm."""
    half = most - _LAPPED * width  # of the thickness of what two strokes can ink
    edges = shapely.segmentize(shapely.boundary(ground.bare), _STEP * width)
    points, cause = shapely.get_coordinates(edges, return_index=True)
    thick = shapely.buffer(ground.bare, -half, quad_segs=_QUARTER)
    thin = ~shapely.dwithin(thick[cause], shapely.points(points), _SAME * half)
    points = points[thin]
    cause = cause[thin]
    segment, foot = found.nearest(points)
    away = np.maximum(np.hypot(*(points - foot).T), 1e-9 * width)
    way = (points - foot) / away[:, None]
    across = _across(points, way, ground.bare[cause], 2 * half)
    _, opposite = found.nearest(points + across[:, None] * way)
    fixed = _is_fixed(foot, points, ground, cause, width)
    alone = _is_fixed(opposite, points + across[:, None] * way, ground, cause, width)
    far = np.where(alone, across, across / 2) + _LAPPED * width
    can = ~fixed & (far <= most)
    return _Moves(segment[can], foot[can], (far[:, None] * way)[can], cause[can])


def _across(points: FloatArray, way: FloatArray, bare: Shapes, most: float) -> FloatArray:
    """How far (n,) a bare place goes on from points on its edge: a little more than ``most`` mm if
    it is more.
    """
    rays = shapely.linestrings(np.stack([points, points + 1.1 * most * way], axis=1))
    return np.asarray(shapely.length(overlay.intersection(bare, rays)))


def _is_fixed(
    foot: FloatArray, points: FloatArray, ground: Ground, cause: IntArray, width: float
) -> BoolArray:
    """Whether a place (n, 2) of a stroke stays where it is: on the outermost strokes, and where
    what ends a bare place at a point is the edge of the area and no stroke.
    """
    wide = _SAME * (1.0 + SOUGHT) * width / 2
    edge = shapely.boundary(ground.tracks)[ground.home[cause]]
    outermost = shapely.dwithin(edge, shapely.points(foot), _EDGE * width)
    return np.asarray(outermost | (np.hypot(*(points - foot).T) > wide))


def _bent(drawing: Drawing, found: Segments, moves: _Moves, width: float) -> Drawing:
    """A drawing with some places of its strokes moved, and what lies between them."""
    stroke = found.stroke[moves.segment]
    strokes = list(drawing)
    for k in np.unique(stroke):
        mine = stroke == k
        points = strokes[k]
        far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        begin = found.number[moves.segment[mine]]
        place = far[begin] + np.hypot(*(moves.foot[mine] - points[begin]).T)
        strokes[k] = _pulled(points, far, place, moves.way[mine], width)
    made = without_repeats(*pack(strokes))
    return Drawing.from_arrays(*made, pen=drawing.pens[0])


def _pulled(
    points: FloatArray, far: FloatArray, place: FloatArray, way: FloatArray, width: float
) -> FloatArray:
    """A stroke (n, 2), its corners ``far`` mm from its begin, moved by ``way`` (m, 2) at each
    ``place`` (m,) mm from there; in each step by the longest, and not where a few steps have none.
    """
    step = _STEP * width
    order = np.lexsort((-np.hypot(*way.T), np.floor(place / step)))
    _, first = np.unique(np.floor(place[order] / step), return_index=True)
    place = place[order[first]]
    way = way[order[first]]
    order = np.argsort(place, kind="stable")
    place = place[order]
    way = way[order]
    gap = np.flatnonzero(np.diff(place) > 2 * _EASE * step)
    rest = np.concatenate(
        [
            place[np.append(0, gap + 1)] - _EASE * step,
            place[np.append(gap, len(place) - 1)] + _EASE * step,
        ]
    )
    rest = rest[(rest > 0.0) & (rest < far[-1])]
    rest = np.concatenate([rest, [0.0] if place[0] > 0.0 else [], [far[-1]]])
    rest = rest[~np.isin(rest, place)]
    at = np.concatenate([place, rest])
    moved = np.concatenate([way, np.zeros((len(rest), 2))])
    order = np.argsort(at, kind="stable")
    at = at[order]
    moved = moved[order]
    every = np.union1d(at, far)
    shift = np.column_stack([np.interp(every, at, moved[:, k]) for k in range(2)])
    line = np.column_stack([np.interp(every, far, points[:, k]) for k in range(2)]) + shift
    return _with_fewer_corners(line, np.flatnonzero(~shift.any(axis=1)), _FINE * width)


def _with_fewer_corners(line: FloatArray, kept: IntArray, tolerance: float) -> FloatArray:
    """A line (n, 2) without corners that can go; those whose numbers are ``kept`` stay: what did
    not move may run along the edge.
    """
    ends = np.union1d(kept, [0, len(line) - 1])
    parts = [line[:1]]
    for begin, end in pairwise(ends):
        part = line[begin : end + 1]
        if len(part) > 2:
            part, _ = simplify(part, np.array([0, len(part)]), tolerance)
        parts.append(part[1:])
    return np.concatenate(parts)
