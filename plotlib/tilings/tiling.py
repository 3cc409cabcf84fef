"""A tiling as a value: polygons in mm that cover an area once, each of a kind."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen

LEAST_SIDE = 1e-3  # mm, what a maker takes
MOST_SIDE = 1e6
_SAME = 1e-6  # of a side: corners nearer than this are one


class Tiling:
    """Tiles that cover an area once, edge to edge.

    Made by the makers of this room; immutable.

    Attributes
    ----------
    points : float array (N, 2)
        The corners of all tiles, one tile after another, counter-clockwise, in mm; read-only.
    offsets : int array (T + 1,)
        Tile ``k`` has the corners ``points[offsets[k]:offsets[k + 1]]``.
    kinds : int array (T,)
        What sort of tile each is, from 0 on, as its maker says.
    side : float
        The edge in mm from which corners are told apart.
    """

    __slots__ = ("kinds", "offsets", "points", "side")

    def __init__(self, points: FloatArray, offsets: IntArray, kinds: IntArray, side: float) -> None:
        for name, array in (("points", points), ("offsets", offsets), ("kinds", kinds)):
            kept = np.ascontiguousarray(array)
            kept.flags.writeable = False
            object.__setattr__(self, name, kept)
        object.__setattr__(self, "side", float(side))

    points: FloatArray
    offsets: IntArray
    kinds: IntArray
    side: float

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"a Tiling does not change; {name} cannot be set")

    def __len__(self) -> int:
        return len(self.kinds)

    def __repr__(self) -> str:
        tiles = checks.counted(len(self), "tile")
        kinds = checks.counted(len(set(self.kinds.tolist())), "kind")
        return f"<Tiling: {tiles} of {kinds}>"

    def areas(self, kind: int | None = None) -> list[Polygon]:
        """The tiles as polygons, for fills.

        Parameters
        ----------
        kind : int, optional
            Only the tiles of this kind.

        Returns
        -------
        list of Polygon
            In the order of the tiles.

        Raises
        ------
        InvalidValue
            If ``kind`` is no whole number, or no tile is of it.
        """
        wanted = of_kind(self.kinds, kind)
        return [
            Polygon(self.points[self.offsets[k] : self.offsets[k + 1]]) for k in wanted.tolist()
        ]

    def outlines(self, kind: int | None = None, *, pen: Pen | None = None) -> Drawing:
        """The tiles as closed strokes; shared edges come twice, see :meth:`edges`.

        Parameters
        ----------
        kind : int, optional
            Only the tiles of this kind.
        pen : Pen, optional
            The pen; without it the default one.

        Returns
        -------
        Drawing
            One closed stroke a tile.

        Raises
        ------
        InvalidValue
            If an argument is invalid, or no tile is of that kind.
        """
        wanted = of_kind(self.kinds, kind)
        counts = np.diff(self.offsets)[wanted]
        rows = ragged.offsets_of(counts + 1)
        places = np.repeat(self.offsets[:-1][wanted], counts + 1)
        step = np.arange(rows[-1]) - np.repeat(rows[:-1], counts + 1)
        step[rows[1:] - 1] = 0
        return Drawing.from_arrays(self.points[places + step], rows, pen=as_pen(pen))

    def edges(self, *, pen: Pen | None = None) -> Drawing:
        """Every edge once.

        Parameters
        ----------
        pen : Pen, optional
            The pen; without it the default one.

        Returns
        -------
        Drawing
            One stroke an edge; the planner joins them.

        Raises
        ------
        InvalidValue
            If the pen is none.
        """
        corners, places = self.corners()
        ahead = self._ahead()
        ends = np.sort(np.column_stack([places, places[ahead]]), axis=1)
        pairs = np.unique(ends, axis=0)
        return Drawing.from_arrays(
            corners[pairs].reshape(-1, 2), 2 * np.arange(len(pairs) + 1), pen=as_pen(pen)
        )

    def corners(self) -> tuple[FloatArray, IntArray]:
        """The corners of the tiling, each once, and which of them each point of a tile is.

        Returns
        -------
        corners : float array (C, 2)
            In mm.
        places : int array (N,)
            The corner at each of ``points``.
        """
        first = np.arange(len(self.points))
        pairs = near_pairs(self.points, _SAME * self.side)
        np.minimum.at(first, pairs[:, 1], pairs[:, 0])
        kept, places = np.unique(first, return_inverse=True)
        return self.points[kept], places.astype(np.int64)

    def dual(self) -> Tiling:
        """The tiling whose corners are the middles of the tiles: one tile round each corner that
        tiles surround.

        Returns
        -------
        Tiling
            Its kinds count the corners of each tile, less three. The dual of an Archimedean tiling
            is a Laves tiling.
        """
        corners, places = self.corners()
        counts = np.diff(self.offsets)
        owner = np.repeat(np.arange(len(self)), counts)
        middles = np.add.reduceat(self.points, self.offsets[:-1], axis=0) / counts[:, None]
        away = middles[owner] - corners[places]
        order = np.lexsort((np.arctan2(away[:, 1], away[:, 0]), places))
        degree = np.bincount(places, minlength=len(corners))
        turned = np.bincount(places, weights=self._angles(), minlength=len(corners))
        whole = np.abs(turned - 2 * math.pi) < 1e-6
        keep = whole[places[order]]
        points = middles[owner[order][keep]]
        return Tiling(points, ragged.offsets_of(degree[whole]), degree[whole] - 3, float(self.side))

    def carrying(self, motif: Drawing, kind: int | None = None) -> Drawing:
        """A motif in every tile: placed on its middle, turned and scaled with its first edge.

        Parameters
        ----------
        motif : Drawing
            Drawn round (0, 0) for a tile whose first edge, of length 1, runs to the right.
        kind : int, optional
            Only in tiles of this kind.

        Returns
        -------
        Drawing
            The images, tile by tile, in the pens of the motif.

        Raises
        ------
        InvalidValue
            If an argument is invalid, or no tile is of that kind.
        """
        if not isinstance(motif, Drawing):
            raise InvalidValue(f"motif must be a Drawing; got {type(motif).__name__}", name="motif")
        parts = Drawing()
        images = []
        for k in of_kind(self.kinds, kind).tolist():
            corners = self.points[self.offsets[k] : self.offsets[k + 1]]
            along = corners[1] - corners[0]
            x, y = corners.mean(axis=0)
            images.append(motif.transformed([[along[0], -along[1], x], [along[1], along[0], y]]))
        return sum(images, parts)

    def _ahead(self) -> IntArray:
        """For each point of a tile the place of the next one."""
        ahead = np.arange(1, len(self.points) + 1)
        ahead[self.offsets[1:] - 1] = self.offsets[:-1]
        return ahead

    def _angles(self) -> FloatArray:
        """The inner angle at each point of each tile."""
        ahead = self._ahead()
        behind = np.empty_like(ahead)
        behind[ahead] = np.arange(len(ahead))
        out = self.points[ahead] - self.points
        back = self.points[behind] - self.points
        cross = out[:, 0] * back[:, 1] - out[:, 1] * back[:, 0]
        angles: FloatArray = np.arctan2(cross, (out * back).sum(axis=1)) % (2 * math.pi)
        return angles


def of_kind(kinds: IntArray, kind: int | None) -> IntArray:
    """The places of the tiles of a kind, of all without one; refused if there are tiles, but none
    of that kind.
    """
    if kind is None:
        return np.arange(len(kinds))
    wanted = checks.whole("kind", kind, low=0)
    found = np.flatnonzero(kinds == wanted)
    if len(kinds) and not len(found):
        present = np.unique(kinds).tolist()
        listed = ", ".join(map(str, present))
        raise InvalidValue(
            f"no tile is of kind {wanted}; this tiling has the kinds {listed}",
            name="kind",
            value=wanted,
            kinds=present,
        )
    return found


def affordable(
    value: float,
    count: Callable[[float], float],
    most: float,
    *,
    name: str = "side",
    what: str = "tiles",
    remedy: str = "take a longer side, {} mm or more",
) -> None:
    """Refuse a length that makes more than ``most`` tiles, and say which one does not.

    ``count`` foresees how many there are for a length, no more for a longer one.
    """
    if count(value) <= most:
        return
    fits = value
    while count(fits) > most and fits < MOST_SIDE:
        fits *= 1.01
    told = remedy.format(checks.two_digits(fits))
    checks.affordable(name, value, count(value), most, what, told)


def no_tiles(side: float) -> Tiling:
    """What covers an area that is empty."""
    return Tiling(np.empty((0, 2)), np.zeros(1, np.int64), np.empty(0, np.int64), side)


def near_pairs(points: FloatArray, distance: float) -> IntArray:
    """The pairs (n, 2) of points that are no farther apart, the lower number first."""
    from scipy.spatial import cKDTree

    if not len(points):
        return np.empty((0, 2), np.int64)
    found = cKDTree(points).query_pairs(distance, output_type="ndarray")
    return np.sort(np.asarray(found, np.int64).reshape(-1, 2), axis=1)


def within(tiling: Tiling, area: Any) -> Tiling:
    """The tiles that meet an area in more than an edge."""
    shapely.prepare(area)
    polygons = np.array(tiling.areas(), dtype=object)
    met = shapely.intersects(area, polygons) & ~shapely.touches(area, polygons)
    return chosen(tiling, np.flatnonzero(met))


def chosen(tiling: Tiling, wanted: IntArray) -> Tiling:
    """Some of the tiles."""
    counts = np.diff(tiling.offsets)[wanted]
    offsets = ragged.offsets_of(counts)
    places = np.repeat(tiling.offsets[:-1][wanted] - offsets[:-1], counts)
    return Tiling(
        tiling.points[places + np.arange(offsets[-1])],
        offsets,
        tiling.kinds[wanted],
        tiling.side,
    )
