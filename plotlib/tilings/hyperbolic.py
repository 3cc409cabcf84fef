"""Regular tilings of the hyperbolic plane, in Poincaré's disc."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from plotlib import checks
from plotlib.arrays import flatten, ragged
from plotlib.checks import IntArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.progress import stage
from plotlib.tilings.tiling import Tiling, affordable, of_kind

ComplexArray = NDArray[np.complex128]

_MOST = 200_000  # tiles
_MOST_CORNERS = 100
_SAME = 1e-3  # of the least edge: middles of tiles nearer than this are one
_STRAIGHT = 1e-9  # of the disc squared: an edge that passes its middle at no more


class DiscTiling:
    """Tiles in a disc that are all of one size in the hyperbolic plane.

    Made by ``hyperbolic``; immutable.

    Attributes
    ----------
    straight : Tiling
        The same corners with straight edges, for what takes a Tiling: ``stars``, motifs, knots. The
        kind of a tile is how many edges lie between it and the middle one.
    """

    __slots__ = ("_arcs", "_sides", "straight")

    straight: Tiling
    _arcs: Drawing  # every edge once
    _sides: tuple[IntArray, IntArray]  # for each side of each tile its arc, and 1 if backwards

    def __init__(self, straight: Tiling, arcs: Drawing, sides: tuple[IntArray, IntArray]) -> None:
        object.__setattr__(self, "straight", straight)
        object.__setattr__(self, "_arcs", arcs)
        object.__setattr__(self, "_sides", sides)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"a DiscTiling does not change; {name} cannot be set")

    def __len__(self) -> int:
        return len(self.straight)

    def __repr__(self) -> str:
        return f"<DiscTiling: {len(self)} tiles in {self.kinds.max(initial=-1) + 1} layers>"

    @property
    def kinds(self) -> IntArray:
        """How many edges lie between each tile (T,) and the middle one."""
        return self.straight.kinds

    def edges(self, *, pen: Pen | None = None) -> Drawing:
        """Every edge once, each a stroke along its arc.

        Parameters
        ----------
        pen : Pen, optional
            The pen; without it the default one.

        Returns
        -------
        Drawing
            One stroke an edge.

        Raises
        ------
        InvalidValue
            If the pen is none.
        """
        return self._arcs.inked(as_pen(pen))

    def outlines(self, kind: int | None = None, *, pen: Pen | None = None) -> Drawing:
        """The tiles as closed strokes; shared edges come twice, see :meth:`edges`.

        Parameters
        ----------
        kind : int, optional
            Only the tiles of this layer.
        pen : Pen, optional
            The pen; without it the default one.

        Returns
        -------
        Drawing
            One closed stroke a tile.

        Raises
        ------
        InvalidValue
            If an argument is invalid, or no tile is of that layer.
        """
        held = as_pen(pen)
        wanted = of_kind(self.kinds, kind)
        if not len(wanted):
            return Drawing(pen=held)
        count = len(self._sides[0]) // len(self)
        places = (count * wanted[:, None] + np.arange(count)).ravel()
        arcs = self._sides[0][places]
        rows, offsets = ragged.take(self._arcs.offsets, arcs, self._sides[1][places] > 0)
        tiles = offsets[::count]
        points = self._arcs.points[rows]
        # arcs of a tile begin where the one before them ends
        points, tiles = ragged.without_repeats(points, tiles)
        return Drawing.from_arrays(points, tiles, pen=held)

    def areas(self, kind: int | None = None) -> list[Polygon]:
        """The tiles as polygons, for fills.

        Parameters
        ----------
        kind : int, optional
            Only the tiles of this layer.

        Returns
        -------
        list of Polygon
            In the order of the tiles.

        Raises
        ------
        InvalidValue
            If ``kind`` is no whole number, or no tile is of that layer.
        """
        return [Polygon(outline) for outline in self.outlines(kind)]


def hyperbolic(
    corners: int,
    around: int,
    *,
    radius: float,
    centre: tuple[float, float] = (0.0, 0.0),
    angle: float = 90.0,
    least: float = 1.0,
    depth: int | None = None,
    tolerance: float = flatten.TOLERANCE,
) -> DiscTiling:
    """The tiling {p, q}: regular polygons of p ``corners``, q ``around`` each corner, in a disc.

    Parameters
    ----------
    corners : int
        The corners of a tile, 3 … 100.
    around : int
        The tiles round a corner, 3 … 100; (p - 2) (q - 2) must be more than 4.
    radius : float
        The radius of the disc, which is the whole hyperbolic plane, mm.
    centre : (float, float), default (0, 0)
        The middle of the disc and of a tile, mm.
    angle : float, default 90
        The direction of a corner of the middle tile, degrees.
    least : float, default 1
        Tiles whose longest edge is drawn shorter than this are left out, mm.
    depth : int, optional
        Only tiles with at most so many edges between them and the middle one.
    tolerance : float, default 0.02
        Greatest distance in mm between an edge, an arc of a circle, and its chords.

    Returns
    -------
    DiscTiling
        The tiles, from the middle outwards.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than 200,000 tiles would be made.

    References
    ----------
    H. S. M. Coxeter, *Regular honeycombs in hyperbolic space*, 1954: cosh (edge / 2) = cos (π / p)
    / sin (π / q), and so on (from memory; closed forms are tested).

    Examples
    --------
    >>> disc = hyperbolic(7, 3, radius=50, least=2)
    >>> [int((disc.kinds == layer).sum()) for layer in range(3)]
    [1, 7, 21]
    """
    p = checks.whole("corners", corners, low=3, high=_MOST_CORNERS)
    q = checks.whole("around", around, low=3, high=_MOST_CORNERS)
    size = checks.positive("radius", radius, unit="mm")
    middle = complex(*checks.point("centre", centre))
    turn = math.radians(checks.finite("angle", angle, unit="degrees") % 360)
    smallest = checks.positive("least", least, unit="mm")
    most = _MOST if depth is None else checks.whole("depth", depth, low=0)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    if (p - 2) * (q - 2) <= 4:
        raise InvalidValue(
            f"{{{p}, {q}}} is no tiling of the hyperbolic plane: (corners - 2) (around - 2) must "
            f"be more than 4; take more corners or more tiles around each",
            name="around",
            value=q,
        )
    affordable(
        smallest,
        lambda least: _foreseen(p, q, least / size),
        _MOST,
        name="least",
        remedy="take a larger one, {} mm or more",
    )
    with stage("laying the tiles"):
        tiles, kinds = _laid(p, q, smallest / size, most)
        spots = size * np.exp(1j * turn) * tiles + middle
        return _in_disc(spots, kinds, middle, size, limit)


def _foreseen(p: int, q: int, least: float) -> float:
    """About how many tiles are drawn: the area of the disc in which edges are long enough, by that
    of a tile.
    """
    edge = 2 * math.acosh(math.cos(math.pi / p) / math.sin(math.pi / q))
    tile = math.pi * (p - 2 - 2 * p / q)
    stretch = max(1.0, 0.5 * edge / least)  # cosh² of half the distance
    return 4 * math.pi * stretch / tile


def _laid(p: int, q: int, least: float, depth: int) -> tuple[ComplexArray, IntArray]:
    """Corners (T, p) in the unit disc and layers (T,): the neighbours of every tile, again and
    again. Motions of the plane are z -> (a z + b) / (b* z + a*).
    """
    out = math.tanh(0.5 * math.acosh(1 / (math.tan(math.pi / p) * math.tan(math.pi / q))))
    inner = math.acosh(math.cos(math.pi / q) / math.sin(math.pi / p))
    tile = out * np.exp(2j * math.pi / p * np.arange(p))
    # to the neighbour beyond each edge, whose middle is 2 ``inner`` away
    beyond = np.exp(1j * math.pi / p * (2 * np.arange(p) + 1))
    a = np.array([1 + 0j])
    b = np.array([0j])
    kept: list[ComplexArray] = []
    known = np.array([0j])
    while len(a) and len(kept) <= depth:
        corners = _moved(tile, a[:, None], b[:, None])
        long = np.abs(np.roll(corners, -1, axis=1) - corners).max(axis=1) >= least
        kept.append(corners[long])
        before = known
        known = (b / a.conj())[long]
        a, b = _next(a[long], b[long], beyond, inner)
        fresh = _first_of_each(b / a.conj(), np.concatenate([known, before]), _SAME * least)
        a = a[fresh]
        b = b[fresh]
    kinds = np.repeat(np.arange(len(kept)), [len(part) for part in kept])
    return np.concatenate(kept), kinds


def _moved(points: ComplexArray, a: ComplexArray, b: ComplexArray) -> ComplexArray:
    return np.asarray((a * points + b) / (b.conj() * points + a.conj()))


def _next(
    a: ComplexArray, b: ComplexArray, beyond: ComplexArray, inner: float
) -> tuple[ComplexArray, ComplexArray]:
    """The motions to all neighbours of some tiles: half a turn round the middle of an edge."""
    # the half turn is z -> (s - z) / (1 - s* z) with s the neighbour's middle; times i for det 1
    stretch = math.cosh(inner)
    across = 1j * math.sinh(inner) * beyond
    own = np.full(len(beyond), -1j * stretch)
    new_a = a[:, None] * own + b[:, None] * across.conj()
    new_b = a[:, None] * across + b[:, None] * own.conj()
    return new_a.ravel(), new_b.ravel()


def _first_of_each(spots: ComplexArray, known: ComplexArray, distance: float) -> IntArray:
    """The first of those that are one, without those that are known."""
    from scipy.spatial import cKDTree

    if not len(spots):
        return np.empty(0, np.int64)
    places = np.column_stack([spots.real, spots.imag])
    old = cKDTree(np.column_stack([known.real, known.imag]))
    is_new = ~np.isfinite(old.query(places, distance_upper_bound=distance)[0])
    pairs = cKDTree(places).query_pairs(distance, output_type="ndarray")
    is_new[pairs.max(axis=1, initial=-1)[: len(pairs)]] = False
    return np.flatnonzero(is_new)


def _in_disc(
    spots: ComplexArray, kinds: IntArray, middle: complex, size: float, tolerance: float
) -> DiscTiling:
    """The tiles with their edges as arcs."""
    count = spots.shape[1]
    points = np.stack([spots.real, spots.imag], axis=-1).reshape(-1, 2)
    least = float(np.abs(np.roll(spots, -1, axis=1) - spots).min(initial=size))
    straight = Tiling(points, count * np.arange(len(spots) + 1), kinds, least)
    corners, places = straight.corners()
    begin = places
    end = np.roll(places.reshape(-1, count), -1, axis=1).ravel()
    pairs, sides = np.unique(
        np.sort(np.column_stack([begin, end]), axis=1), axis=0, return_inverse=True
    )
    disc = ((corners[:, 0] + 1j * corners[:, 1]) - middle) / size
    arcs = _geodesics(disc[pairs], size, tolerance)
    placed = size * arcs.points + np.array([middle.real, middle.imag])
    placed[arcs.offsets[:-1]] = corners[pairs[:, 0]]
    placed[arcs.offsets[1:] - 1] = corners[pairs[:, 1]]
    drawn = Drawing.from_arrays(placed, arcs.offsets)
    return DiscTiling(straight, drawn, (sides.ravel(), (begin > end).astype(np.int64)))


def _geodesics(ends: ComplexArray, size: float, tolerance: float) -> Drawing:
    """Arcs (E,) between points (E, 2) of the unit disc, of circles square to its rim."""
    u = ends[:, 0]
    v = ends[:, 1]
    cross = u.real * v.imag - u.imag * v.real
    is_straight = np.abs(cross) < _STRAIGHT
    # the middle c of the circle has c . u = (1 + |u|²) / 2, and so for v
    lift = 0.5 * (1 + np.abs(ends) ** 2)
    safe = np.where(is_straight, 1.0, cross)
    middle = 1j * (lift[:, 1] * u - lift[:, 0] * v) / safe
    start = u - middle
    sweep = np.where(is_straight, 0.0, np.angle((v - middle) / start))
    radius = np.where(is_straight, 1.0, np.abs(start))
    counts = flatten.chords(size * radius, sweep, tolerance) + 1
    offsets = ragged.offsets_of(counts)
    owner = ragged.stroke_of(offsets)
    share = (np.arange(len(owner)) - offsets[owner]) / (counts[owner] - 1)
    round_it = middle[owner] + start[owner] * np.exp(1j * sweep[owner] * share)
    along = u[owner] + share * (v - u)[owner]
    spots = np.where(is_straight[owner], along, round_it)
    return Drawing.from_arrays(np.column_stack([spots.real, spots.imag]), offsets)
