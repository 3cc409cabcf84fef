"""Girih tiles: five polygons of one edge whose angles are multiples of 36 degrees."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import IntArray
from plotlib.drawing import RegionLike
from plotlib.errors import UnknownName
from plotlib.progress import stage
from plotlib.tilings.kites import KITE, kites_and_darts
from plotlib.tilings.tiling import (
    LEAST_SIDE,
    MOST_SIDE,
    Tiling,
    affordable,
    near_pairs,
    no_tiles,
    within,
)

ComplexArray = NDArray[np.complex128]

DECAGON = 0
PENTAGON = 1
HEXAGON = 2
BOW_TIE = 3
RHOMB = 4

_MOST = 1_000_000  # tiles
_MEAN = 1.3  # the area of a tile of edge 1, or more, in every pattern
_GOLDEN = (1 + math.sqrt(5)) / 2
_TURN = np.exp(1j * math.pi / 5)
# the angles of each tile at the beginning of its edges, in 36 degrees
_ANGLES = ((4,) * 10, (3,) * 5, (2, 4, 4) * 2, (2, 2, 6) * 2, (2, 3) * 2)
_APART = 1 / math.tan(math.pi / 10)  # of decagons that share an edge, in edges
_TO_HEXAGON = _GOLDEN + math.cos(math.pi / 5) + 0.5  # from the tip of a half kite
APERIODIC = "aperiodic"


class _Patch(NamedTuple):
    """What repeats: places are sums of the steps 1, ζ, ζ², ζ³ of a tenth of a turn each."""

    cell: tuple[tuple[int, ...], tuple[int, ...]]
    # kind, edge that begins at the place, place, direction of that edge in 36 degrees
    tiles: tuple[tuple[int, int, tuple[int, ...], int], ...]


_PATCHES = {
    "bow-ties": _Patch(
        ((-1, 2, 0, 2), (-2, 0, -1, 2)),
        (
            (0, 0, (0, 0, 0, 0), 0),
            (3, 1, (0, 0, 0, 0), 4),
        ),
    ),
    "rhombs": _Patch(
        ((2, 1, 2, -1), (3, -1, 2, -3)),
        (
            (0, 0, (0, 0, 0, 0), 0),
            (4, 0, (4, 0, 3, -3), 1),
            (4, 0, (0, 0, 0, 0), 4),
            (4, 0, (1, 0, 0, 0), 9),
            (4, 1, (1, 1, 0, 0), 9),
        ),
    ),
    "pentagons": _Patch(
        ((4, 0, 2, -2), (0, 2, 2, 2)),
        (
            (0, 0, (0, 0, 0, 0), 0),
            (0, 0, (1, 0, 0, 0), 7),
            (1, 0, (1, 1, 1, 0), 0),
            (1, 0, (1, 1, 1, 1), 1),
            (1, 0, (3, 1, 1, -1), 3),
            (1, 0, (0, 0, 0, 0), 4),
            (4, 0, (1, 1, 0, 0), 0),
            (4, 0, (3, 2, 2, 0), 0),
            (4, 1, (3, 1, 1, 0), 2),
            (4, 1, (0, 0, 0, 0), 7),
        ),
    ),
    "hexagons": _Patch(
        ((4, 0, 2, -2), (0, 2, 2, 2)),
        (
            (0, 0, (0, 0, 0, 0), 0),
            (1, 0, (0, 2, 0, 2), 2),
            (1, 0, (3, 2, 2, 0), 3),
            (1, 0, (3, 1, 2, 0), 4),
            (1, 0, (0, 0, 0, 0), 7),
            (1, 0, (1, 0, 0, 0), 8),
            (1, 0, (1, 1, 0, 0), 9),
            (2, 0, (1, 1, 1, 1), 0),
            (2, 0, (2, 2, 2, 1), 0),
            (4, 1, (1, 1, 1, 0), 0),
            (4, 0, (1, 1, 1, 1), 2),
            (4, 0, (3, 1, 1, -1), 3),
            (4, 1, (0, 0, 0, 0), 4),
        ),
    ),
    "all five": _Patch(
        ((4, 0, 2, -2), (0, 2, 2, 2)),
        (
            (0, 0, (0, 0, 0, 0), 0),
            (1, 0, (1, 1, 1, 0), 0),
            (1, 0, (1, 1, 1, 1), 1),
            (1, 0, (3, 1, 1, -1), 3),
            (1, 0, (0, 0, 0, 0), 4),
            (2, 0, (3, 0, 1, -1), 6),
            (2, 0, (1, 0, 0, 0), 7),
            (2, 0, (1, 0, 0, 0), 9),
            (3, 1, (3, 1, 2, 0), 3),
            (4, 0, (1, 1, 0, 0), 0),
            (4, 0, (3, 2, 2, 0), 0),
            (4, 1, (3, 1, 1, 0), 2),
            (4, 1, (0, 0, 0, 0), 7),
        ),
    ),
}


def girih(
    region: RegionLike,
    pattern: str = APERIODIC,
    *,
    side: float,
    origin: tuple[float, float] = (0.0, 0.0),
    angle: float = 0.0,
) -> Tiling:
    """Girih tiles: decagons, pentagons, elongated hexagons, bow-ties and rhombs of one edge.

    ``stars(tiling, 54)`` draws the straps, which cross the middles of the edges at 54 degrees, and
    ``interlaced`` weaves them.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to cover; tiles that meet it are whole.
    pattern : str, default "aperiodic"
        "aperiodic" has decagons, hexagons and bow-ties on Penrose's kites and darts and never
        repeats. Others repeat: "bow-ties", "rhombs", "pentagons" and "hexagons" are named for what
        they have beside decagons and rhombs, and "all five" has every tile.
    side : float
        The edge of the tiles, mm, 0.001 or more.
    origin : (float, float), default (0, 0)
        The middle of a decagon, mm; of the "aperiodic" one that it is five-fold about.
    angle : float, default 0
        The direction of an edge, degrees.

    Returns
    -------
    Tiling
        Its kinds are 0 for decagons, 1 pentagons, 2 hexagons, 3 bow-ties, 4 rhombs.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than a million tiles would be made.
    UnknownName
        If there is no such pattern.

    References
    ----------
    P. J. Lu, P. J. Steinhardt, *Decagonal and Quasi-Crystalline Tilings in Medieval Islamic
    Architecture*, Science 315, 2007: the tiles and the angle of the straps (from memory). The
    patterns are worked out here: the aperiodic one puts a decagon on each corner of the kites and
    darts; the repeating ones were searched for by whole numbers.

    Examples
    --------
    >>> from shapely import box
    >>> floor = girih(box(0, 0, 60, 40), "all five", side=4)
    >>> sorted(set(floor.kinds.tolist()))
    [0, 1, 2, 3, 4]
    """
    if not isinstance(pattern, str) or pattern not in (APERIODIC, *_PATCHES):
        raise UnknownName(
            f"there is no girih pattern of the name {pattern!r:.60}; there are "
            f"{', '.join((APERIODIC, *_PATCHES))}"
        )
    area = as_area(region)
    length = checks.between("side", side, LEAST_SIDE, MOST_SIDE, unit="mm")
    middle = complex(*checks.point("origin", origin))
    turn = checks.finite("angle", angle, unit="degrees") % 360
    affordable(length, lambda side: area.area / (_MEAN * side**2), _MOST)
    if area.is_empty:
        return no_tiles(length)
    with stage("laying the tiles"):
        if pattern == APERIODIC:
            rows = _on_kites(area, length, middle, turn)
        else:
            rows = _repeated(_PATCHES[pattern], area, length, middle, turn)
        return within(_tiles(rows, length), area)


def _outline(kind: int, first: int) -> ComplexArray:
    """The corners of a tile of edge 1: edge ``first`` begins at 0 and runs to the right."""
    angles = np.roll(_ANGLES[kind], -first)
    ways = np.concatenate([[0], np.cumsum(5 - angles[1:])])
    return np.concatenate([[0], np.cumsum(_TURN**ways)[:-1]])


def _tiles(rows: list[tuple[int, ComplexArray]], side: float) -> Tiling:
    """Tiles of kinds, each by its corners (K, n)."""
    corners = np.concatenate([corners.ravel() for _, corners in rows])
    counts = np.concatenate([np.full(len(part), part.shape[1]) for _, part in rows])
    kinds = np.concatenate([np.full(len(part), kind) for kind, part in rows])
    points = np.column_stack([corners.real, corners.imag])
    return Tiling(points, ragged.offsets_of(counts), kinds, side)


def _on_kites(
    area: Polygon | MultiPolygon, side: float, middle: complex, turn: float
) -> list[tuple[int, ComplexArray]]:
    """On Penrose's kites and darts.

    A decagon stands on every corner. Where corners are as far apart as the short edge, decagons
    share an edge; across the long edges and the axes of kites, 1.618 times as long, lies a bow-tie;
    and a hexagon fills what is left of each half of a kite. By its area, half a kite (36, 72, 72
    degrees) is half a decagon, two halves of bow-ties, one across each long side, and a hexagon;
    half a dart (108, 36, 36) is half a decagon and half a bow-tie.
    """
    long = _APART * _GOLDEN * side
    # edges of decagons are square to the edges of kites
    kites = kites_and_darts(area, side=long, centre=(middle.real, middle.imag), angle=turn + 90)
    spots, _ = kites.corners()
    corner = spots[:, 0] + 1j * spots[:, 1]
    whole = (kites.points[:, 0] + 1j * kites.points[:, 1]).reshape(-1, 4)
    kite = whole[kites.kinds == KITE]
    edges = np.stack([whole, np.roll(whole, -1, axis=1)], axis=-1).reshape(-1, 2)
    edges = edges[np.abs(edges[:, 1] - edges[:, 0]) > 0.5 * (1 + 1 / _GOLDEN) * long]
    ties = np.concatenate([edges, kite[:, [0, 2]]])
    ties = ties[_first_of_each(ties.mean(axis=1), side)]
    axis = kite[:, 2] - kite[:, 0]
    ways = np.concatenate([axis * _TURN**0.5, axis * _TURN**-0.5])
    tips = np.concatenate([kite[:, 0], kite[:, 0]])
    north = np.full(len(corner), np.exp(1j * math.radians(turn)))
    return [
        (DECAGON, _placed(DECAGON, corner, north, side)),
        (BOW_TIE, _placed(BOW_TIE, ties.mean(axis=1), 1j * _unit(ties[:, 1] - ties[:, 0]), side)),
        (HEXAGON, _placed(HEXAGON, tips + _TO_HEXAGON * side * _unit(ways), _unit(ways), side)),
    ]


def _placed(kind: int, middles: ComplexArray, ways: ComplexArray, side: float) -> ComplexArray:
    """Tiles round their middles, turned by ``ways``."""
    outline = _outline(kind, 0)
    centred = outline - outline.mean()
    if kind == HEXAGON:  # its tips, not an edge, lie along the way
        centred = centred * _TURN**-1
    return np.asarray(middles[:, None] + side * ways[:, None] * centred)


def _unit(ways: ComplexArray) -> ComplexArray:
    return np.asarray(ways / np.abs(ways))


def _first_of_each(spots: ComplexArray, side: float) -> IntArray:
    """The first of those that are one."""
    pairs = near_pairs(np.column_stack([spots.real, spots.imag]), 1e-3 * side)
    return np.setdiff1d(np.arange(len(spots)), pairs[:, 1])


def _repeated(
    patch: _Patch, area: Polygon | MultiPolygon, side: float, middle: complex, turn: float
) -> list[tuple[int, ComplexArray]]:
    """The tiles of a patch in all cells near an area."""
    way = side * np.exp(1j * math.radians(turn))
    steps = [_place(step) for step in patch.cell]
    outlines = [
        _place(place) + _TURN**heading * _outline(kind, first)
        for kind, first, place, heading in patch.tiles
    ]
    centre = _outline(DECAGON, 0).mean()
    rim = (np.array(shapely.box(*area.bounds).exterior.coords) @ np.array([1, 1j]) - middle) / way
    reach = max(float(np.abs(outline - centre).max()) for outline in outlines)
    cells = _cells_near(rim, steps, reach)
    return [
        (kind, middle + way * (cells[:, None] + outline - centre))
        for (kind, *_), outline in zip(patch.tiles, outlines, strict=True)
    ]


def _place(steps: tuple[int, ...]) -> complex:
    """A sum of so many steps 1, ζ, ζ², ζ³."""
    return complex(np.array(steps) @ _TURN ** np.arange(4))


def _cells_near(rim: ComplexArray, steps: list[complex], reach: float) -> ComplexArray:
    """Where the cells begin whose tiles may meet the box with a rim."""
    low = complex(rim.real.min() - reach, rim.imag.min() - reach)
    high = complex(rim.real.max() + reach, rim.imag.max() + reach)
    box = np.array([low, complex(high.real, low.imag), high, complex(low.real, high.imag)])
    across = (steps[0].conjugate() * steps[1]).imag
    one = (box * np.conj(steps[1])).imag / -across
    other = (box * np.conj(steps[0])).imag / across
    i = np.arange(math.floor(one.min()), math.ceil(one.max()) + 1)
    k = np.arange(math.floor(other.min()), math.ceil(other.max()) + 1)
    spots = (i[:, None] * steps[0] + k * steps[1]).ravel()
    near = (spots.real >= low.real) & (spots.real <= high.real)
    near &= (spots.imag >= low.imag) & (spots.imag <= high.imag)
    return np.asarray(spots[near])
