"""What many fills share: rows over the box of an area, strokes cut to it, and pieces joined along
its edge.
"""

from __future__ import annotations

from bisect import bisect

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.cutting import cut
from plotlib.arrays.ragged import Ragged, empty, pack
from plotlib.checks import FloatArray, point
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.fills.rings import Ring
from plotlib.fills.scanlines import Frame
from plotlib.pen import Pen

MOST_POINTS = 5_000_000  # a fill of more is a mistake in the spacing
_READABLE = 1e15  # numbers beyond it are not written out
_CLOSE = 1e-6  # mm


def affordable(count: float, what: str, *, widen: str = "spacing") -> int:
    """``count`` as a whole number, or a refusal of more points than any machine would draw.

    ``widen`` names the argument that would make them fewer.
    """
    if not count <= MOST_POINTS:
        number = f"{count:,.0f}" if count < _READABLE else f"{count:.3g}"
        raise InvalidValue(
            f"{what} would need {number} points, more than {MOST_POINTS:,}; use a wider {widen}",
            name=widen,
            count=count,
        )
    return int(np.ceil(count))


def box_in(area: Polygon | MultiPolygon, frame: Frame) -> tuple[float, float, float, float]:
    """Least u and v, most u and v of an area that is not empty, in a frame."""
    corners = frame.into(shapely.get_coordinates(area))
    (u0, v0) = corners.min(axis=0)
    (u1, v1) = corners.max(axis=0)
    return float(u0), float(v0), float(u1), float(v1)


def centre_of(
    area: Polygon | MultiPolygon, centre: tuple[float, float] | None
) -> tuple[float, float]:
    """The centre that was asked for, or the centroid of the area."""
    if centre is not None:
        return point("centre", centre)
    middle = shapely.get_coordinates(shapely.centroid(area))
    return (float(middle[0, 0]), float(middle[0, 1])) if len(middle) else (0.0, 0.0)


def farthest(area: Polygon | MultiPolygon, centre: tuple[float, float]) -> float:
    """Distance of the corner of the area that is farthest from a point."""
    away = shapely.get_coordinates(area) - centre
    return float(np.hypot(away[:, 0], away[:, 1]).max(initial=0.0))


def clipped(
    points: FloatArray, offsets: np.ndarray, area: Polygon | MultiPolygon, pen: Pen | None
) -> Drawing:
    """Strokes as a Drawing, as far as they lie in an area."""
    if area.is_empty or not len(points):
        return Drawing.from_arrays(*empty(), pen=pen)
    kept, bounds, _ = cut(points, np.asarray(offsets, np.int64), area, keep="inside")
    return Drawing.from_arrays(kept, bounds, pen=pen)


def edge_joined(
    drawing: Drawing, area: Polygon | MultiPolygon, limit: float, pen: Pen | None
) -> Drawing:
    """Pieces that follow each other as one, where the way along the edge from one to the next is no
    longer than ``limit`` and not inked by a way before it.
    """
    if len(drawing) < 2:
        return drawing
    rings = [
        Ring(shapely.get_coordinates(ring), Polygon())
        for ring in shapely.get_rings(shapely.get_parts(area))
    ]
    edges = [_Edge(ring, limit) for ring in rings]
    first = drawing.points[drawing.offsets[1:-1]]
    last = drawing.points[drawing.offsets[1:-1] - 1]
    home = _ring_of(first, last, rings)
    strokes = list(drawing)
    done: list[list[FloatArray]] = [[strokes[0]]]
    for k, stroke in enumerate(strokes[1:]):
        way = edges[home[k]].way(last[k], first[k]) if home[k] >= 0 else None
        if way is None:
            done.append([stroke])
        else:
            done[-1] += [way, stroke]
    return Drawing.from_arrays(*_packed(done), pen=pen)


class _Edge:
    """A ring whose pieces are walked once: ``begins`` and ``ends`` of what has been, in order, in
    mm along the ring.
    """

    def __init__(self, ring: Ring, limit: float) -> None:
        self.ring = ring
        self.limit = limit
        self.begins: list[float] = []
        self.ends: list[float] = []

    def way(self, begin: FloatArray, end: FloatArray) -> FloatArray | None:
        """The corners (n, 2) between two points, the shorter way round that is still free; or
        None.
        """
        one = self.ring.near(begin)
        ahead = (self.ring.near(end) - one) % self.ring.length
        for way in sorted((ahead, ahead - self.ring.length), key=abs):
            pieces = self._pieces(min(one, one + way), abs(way))
            if abs(way) <= self.limit and all(self._is_free(*piece) for piece in pieces):
                for low, high in pieces:
                    at = bisect(self.begins, low)
                    self.begins.insert(at, low)
                    self.ends.insert(at, high)
                return self.ring.stretch(one, way)[1:-1]
        return None

    def _pieces(self, begin: float, length: float) -> list[tuple[float, float]]:
        """A stretch as pieces that do not go past the ring's first point."""
        low = begin % self.ring.length
        high = low + length
        if high <= self.ring.length:
            return [(low, high)]
        return [(low, self.ring.length), (0.0, high - self.ring.length)]

    def _is_free(self, low: float, high: float) -> bool:
        after = bisect(self.begins, low)
        before_is_over = after == 0 or self.ends[after - 1] <= low + _CLOSE
        return before_is_over and (after == len(self.begins) or self.begins[after] >= high - _CLOSE)


def _ring_of(first: FloatArray, last: FloatArray, rings: list[Ring]) -> np.ndarray:
    """The ring that both of two points lie on, or -1."""
    tree = shapely.STRtree([ring.line for ring in rings])
    homes = []
    for points in (first, last):
        at, ring = tree.query(shapely.points(points), predicate="dwithin", distance=_CLOSE)
        home = np.full(len(points), -1)
        home[at] = ring
        homes.append(home)
    return np.where(homes[0] == homes[1], homes[0], -1)


def _packed(strokes: list[list[FloatArray]]) -> Ragged:
    return pack([np.concatenate(parts) for parts in strokes])


def without_crumbs(drawing: Drawing, shortest: float) -> Drawing:
    """The strokes of at least ``shortest`` mm; all of them for 0."""
    return drawing[drawing.lengths >= shortest] if shortest else drawing
