"""A closed line that reaches into the hollows it leaves: where its passes turn, where three fronts
meet, in the corners of its area.

Passes side by side keep the spacing, but in a corner of the angle 2 a they are 1 / sin a spacings
apart, and a disc of 2 / (1 + sin a) spacings has room between them. There the line goes on a little
by a smooth nose, as far as a disc of ``_WISHED`` spacings still has room.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.fills.closed import crossings, is_simple
from plotlib.fills.rings import Ring

_WISHED = 1.11  # spacings, the diameter of a disc that may stay bare
_LEAST = 0.01  # spacings, the shortest nose
_ROUNDS = 5
_MENDS = 4
_BESIDE = 0.07  # spacings from one look for a hollow to the next
_EDGE = 0.2  # the same along the edge
_AROUND = 1.5  # spacings around a corner of the edge, where most of it has a pass beside it
_MISSING = 0.8  # spacings from the edge to the line: a whole pass is missing there
_FARTHEST = 3.2  # spacings from the edge to the line that are measured
_REACH = 1.1  # spacings; what is farther from the line is not measured
_ALIKE = 0.2  # spacings between the middles of two hollows that are one
_HALF = 0.4  # spacings of the line to each side of a nose that move with it
_SPACED = 2.2 * _HALF  # of the line between two noses of one round
_SIZES = ((_HALF, 1.0), (_HALF / 2, 1.0), (_HALF, 0.5))  # and shares of its length, one must do
_FREE = 0.3  # spacings that a nose keeps from the edge, so that hardly any ink leaves the area
_PLACES = np.linspace(-1.0, 1.0, 9)  # of the points of a nose, in shares of that
_SHAPE = np.cos(np.pi * _PLACES / 2) ** 2


class _Hollows(NamedTuple):
    """Discs that the line does not enter: their middles (k, 2), their radii (k,), and from where
    along the line (k,) it would go on how far (k,) towards the middle.
    """

    middles: FloatArray
    radii: FloatArray
    feet: FloatArray
    lengths: FloatArray

    def only(self, kept: Any) -> _Hollows:
        return _Hollows(*(column[kept] for column in self))


def reaching(line: FloatArray, area: Polygon | MultiPolygon, gap: float) -> FloatArray:
    """A closed simple line (n, 2) in an area, reaching into the hollows that it left; it stays
    simple and in the area.
    """
    edge: Any = shapely.boundary(area)
    shapely.prepare([area, edge])
    places = shapely.get_coordinates(shapely.segmentize(edge, _EDGE * gap))
    refused = np.empty((0, 2))
    for _ in range(_ROUNDS):
        ring = Ring(line, area)
        found = _but(_hollows(ring, area, places, gap), refused, gap)
        hollows = _chosen(found, ring.length, gap)
        if not len(hollows.feet):
            break
        line, kept = _with_noses(ring, hollows, edge, gap)
        refused = np.concatenate([refused, hollows.middles[~kept]])
    return line


def _hollows(ring: Ring, area: Polygon | MultiPolygon, edge: FloatArray, gap: float) -> _Hollows:
    """The hollows of a line between its passes and at places (n, 2) of the edge of its area."""
    from plotlib.fills.evening_cells import laid_out
    from plotlib.fills.hollows_kernel import beside, climbed, feet, nearest

    wished = _WISHED * gap / 2
    none = np.empty((0, 4))
    segments, cells = laid_out(ring.points[:-1], none, _REACH * gap)
    begin = beside(wished, _BESIDE * gap, *laid_out(ring.points[:-1], none, wished))
    begin = begin[shapely.contains_xy(area, begin)]
    middles, radii = climbed(begin, segments, cells)
    sound = shapely.contains_xy(area, middles) & _firsts(middles, radii, gap)
    middles = middles[sound]
    radii = radii[sound]
    which, shares, lengths = feet(middles, radii, wished, segments, cells)
    within = _Hollows(middles, radii, _along(ring, which, shares), lengths)

    far, which, shares = nearest(edge, *laid_out(ring.points[:-1], none, _FARTHEST * gap))
    taken = _are_lonely(edge, far > wished, gap) | (far > _MISSING * gap)
    far = np.where(taken, far, 0.0)
    along = _Hollows(edge, far, _along(ring, which, shares), far - wished)
    both = _Hollows(*(np.concatenate(pair) for pair in zip(within, along, strict=True)))
    return both.only(both.lengths > _LEAST * gap)


def _are_lonely(edge: FloatArray, bare: BoolArray, gap: float) -> BoolArray:
    """Which places of an edge (n, 2) lie in a corner: by most of the edge around them the line runs
    as near as it should. To where it does not it would reach out again and again, like a comb.
    """
    if not bare.any():
        return bare
    around = cKDTree(edge).query_ball_point(edge, _AROUND * gap, return_length=True)
    alike = cKDTree(edge[bare]).query_ball_point(edge, _AROUND * gap, return_length=True)
    return np.asarray(alike <= around / 2)


def _firsts(middles: FloatArray, radii: FloatArray, gap: float) -> BoolArray:
    """Which hollows are no copies of a larger one, or of one as large that comes first."""
    order = np.lexsort([np.arange(len(radii)), -radii])
    pairs = cKDTree(middles[order]).query_pairs(_ALIKE * gap, output_type="ndarray")
    kept = np.ones(len(radii), dtype=bool)
    kept[order[pairs.max(axis=1, initial=0)]] = False
    return kept


def _along(ring: Ring, which: IntArray, shares: FloatArray) -> FloatArray:
    steps = np.diff(ring.far)
    return np.asarray(ring.far[which] + shares * steps[which])


def _but(hollows: _Hollows, refused: FloatArray, gap: float) -> _Hollows:
    """The hollows but those where no nose could be laid, so that those beside them have a turn."""
    if not len(refused):
        return hollows
    apart, _ = cKDTree(refused).query(hollows.middles)
    return hollows.only(apart > _ALIKE * gap)


def _chosen(hollows: _Hollows, around: float, gap: float) -> _Hollows:
    """The hollows that are larger than all those that overlap them and than all those that are
    reached into from nearly the same place.
    """
    order = np.argsort(-hollows.radii, kind="stable")
    hollows = hollows.only(order)
    kept = np.ones(len(order), dtype=bool)
    if len(order) > 1:
        over = cKDTree(hollows.middles).query_pairs(_REACH * gap, output_type="ndarray")
        apart = np.hypot(*(hollows.middles[over[:, 0]] - hollows.middles[over[:, 1]]).T)
        over = over[apart < hollows.radii[over].max(axis=1)]
        places = (hollows.feet % around)[:, None]
        near = cKDTree(places, boxsize=np.array([around])).query_pairs(
            _SPACED * gap, output_type="ndarray"
        )
        kept[over.max(axis=1, initial=0)] = False
        kept[near.max(axis=1, initial=0)] = False
    return hollows.only(kept)


def _with_noses(
    ring: Ring, hollows: _Hollows, edge: Any, gap: float
) -> tuple[FloatArray, BoolArray]:
    """The line with a nose into each hollow, but those that would come near to the edge of the area
    or cross another pass, and which those are that it has (k,).
    """
    shape = (len(hollows.feet), len(_PLACES))
    places = np.zeros(shape)
    noses = np.zeros((*shape, 2))
    kept = np.zeros(len(places), dtype=bool)
    for half, share in _SIZES:
        left = ~kept
        places[left], noses[left] = _noses(ring, hollows.only(left), half * gap, share)
        kept[left] = _are_sound(noses[left], edge, _FREE * gap)
    for _ in range(_MENDS):
        line, owner = _laid(ring, places[kept], noses[kept])
        if is_simple(line):
            return line, kept
        met = np.unique(owner[crossings(line)])
        kept[np.flatnonzero(kept)[met[met >= 0]]] = False
    return ring.points, np.zeros_like(kept)


def _noses(
    ring: Ring, hollows: _Hollows, half: float, share: float
) -> tuple[FloatArray, FloatArray]:
    """Where along the line the points of noses are (k, m), and the points (k, m, 2)."""
    places = hollows.feet[:, None] + half * _PLACES
    way = hollows.middles - ring.along(hollows.feet)
    size = share * np.minimum(hollows.lengths, hollows.radii) / np.hypot(*way.T)
    return places, ring.along(places) + _SHAPE[:, None] * (size[:, None] * way)[:, None]


def _are_sound(noses: FloatArray, edge: Any, free: float) -> BoolArray:
    """Which noses (k, m, 2) do not cross themselves and keep away from the edge."""
    lines: Any = shapely.linestrings(noses)
    return np.asarray(shapely.is_simple(lines) & ~shapely.dwithin(edge, lines, free))


def _laid(ring: Ring, places: FloatArray, noses: FloatArray) -> tuple[FloatArray, IntArray]:
    """The closed line (n, 2) through noses (k, m, 2) at their places (k, m) along it, and the nose
    that each point belongs to (n,), or -1.
    """
    around = ring.length
    middle = places[:, places.shape[1] // 2]
    half = places[:, -1] - middle
    old = ring.far[:-1]
    kept = np.ones(len(old), dtype=bool)
    if len(middle):
        tree = cKDTree((middle % around)[:, None], boxsize=np.array([around]))
        apart, near = tree.query(old[:, None])
        kept = apart > half[near]
    far = np.concatenate([old[kept], places.ravel() % around])
    points = np.concatenate([ring.points[:-1][kept], noses.reshape(-1, 2)])
    owners = np.repeat(np.arange(len(places)), places.shape[1])
    owner = np.concatenate([np.full(kept.sum(), -1), owners])
    order = np.argsort(far, kind="stable")
    closed = np.append(order, order[0])
    return points[closed], owner[closed]
