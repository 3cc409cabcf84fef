"""The eleven Archimedean tilings: regular polygons, every corner like every other.

All corners are the images of one under a wallpaper group, and the edges are the pairs of corners
one side apart; so each tiling is a group, a cell and a point.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import UnknownName
from plotlib.interrupt import interruptible
from plotlib.progress import stage
from plotlib.symmetry import wallpaper
from plotlib.tilings.tiling import (
    LEAST_SIDE,
    MOST_SIDE,
    Tiling,
    affordable,
    near_pairs,
    no_tiles,
    within,
)

_MOST = 1_000_000  # tiles
_SLACK = 1e-6  # of a side


class _Corner(NamedTuple):
    group: str
    cell: tuple[float, ...]  # sides
    x: float  # sides, from the corner of the cell
    y: float


def _polar(group: str, cell: float, distance: float, degrees: float) -> _Corner:
    angle = math.radians(degrees)
    return _Corner(group, (cell,), distance * math.cos(angle), distance * math.sin(angle))


_SNUB = math.sqrt(2 + math.sqrt(3))
_SNUB_X = (-1 + math.sqrt(8 / (2 + math.sqrt(3)) / 2 - 1)) / 4
_DODECAGON = 0.5 / math.sin(math.radians(15))  # circumradius of a twelve-gon of side 1
_STAR = 2 + math.sqrt(3)
_TABLE = {
    "3.3.3.3.3.3": _Corner("p6mm", (1.0,), 0.0, 0.0),
    "4.4.4.4": _Corner("p4mm", (1.0,), 0.0, 0.0),
    "6.6.6": _polar("p6mm", math.sqrt(3), 1.0, 30),
    "3.3.3.3.6": _polar("p6", math.sqrt(7), 1.0, -math.degrees(math.atan(math.sqrt(3) / 5))),
    "3.3.3.4.4": _Corner("c2mm", (1.0, _STAR), 0.0, 0.5),
    "3.3.4.3.4": _Corner("p4gm", (_SNUB,), _SNUB * _SNUB_X, _SNUB * (_SNUB_X + 0.5)),
    "3.4.6.4": _polar("p6mm", 1 + math.sqrt(3), 1.0, 30),
    "3.6.3.6": _Corner("p6mm", (2.0,), 1.0, 0.0),
    "3.12.12": _polar("p6mm", _STAR, _DODECAGON, 15),
    "4.6.12": _polar("p6mm", 3 + math.sqrt(3), _DODECAGON, 15),
    "4.8.8": _Corner("p4mm", (1 + math.sqrt(2),), math.sqrt(0.5), 0.0),
}


def archimedean(
    region: RegionLike,
    name: str,
    *,
    side: float,
    origin: tuple[float, float] = (0.0, 0.0),
    angle: float = 0.0,
) -> Tiling:
    """One of the eleven Archimedean tilings, named by the polygons round a corner.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to cover; tiles that meet it are whole.
    name : str
        ``3.3.3.3.3.3  4.4.4.4  6.6.6  3.3.3.3.6  3.3.3.4.4  3.3.4.3.4  3.4.6.4  3.6.3.6  3.12.12
        4.6.12  4.8.8``.
    side : float
        The length of the edges, mm, 0.001 or more.
    origin : (float, float), default (0, 0)
        A centre of its symmetry, mm.
    angle : float, default 0
        Its turn, degrees.

    Returns
    -------
    Tiling
        A tile's kind is the number of its corners less three. Its ``dual()`` is a Laves tiling.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than a million tiles would be made.
    UnknownName
        If there is no such tiling.

    References
    ----------
    B. Grünbaum, G. C. Shephard, *Tilings and Patterns*, 1987, section 2.1 (from memory).

    Examples
    --------
    >>> from shapely import box
    >>> floor = archimedean(box(0, 0, 60, 40), "4.8.8", side=5)
    >>> sorted({int(kind) + 3 for kind in floor.kinds})
    [4, 8]
    """
    if not isinstance(name, str) or name not in _TABLE:
        raise UnknownName(
            f"there is no Archimedean tiling of the name {name!r:.60}; there are "
            f"{', '.join(_TABLE)}"
        )
    area = as_area(region)
    length = checks.between("side", side, LEAST_SIDE, MOST_SIDE, unit="mm")
    middle = checks.point("origin", origin)
    turn = checks.finite("angle", angle, unit="degrees") % 360
    affordable(length, lambda side: area.area / side**2, _MOST)
    corner = _TABLE[name]
    if area.is_empty:
        return no_tiles(length)
    with stage("laying the tiles"):
        points = _corners(area, corner, length, middle, turn)
        return interruptible(lambda _: within(_faces(points, length), area))


def _corners(
    area: Polygon | MultiPolygon,
    corner: _Corner,
    side: float,
    origin: tuple[float, float],
    turn: float,
) -> FloatArray:
    """All corners in the area and a twelve-gon round it, each once."""
    dot = Drawing([[(side * corner.x, side * corner.y)]]).turned(turn).moved(*origin)
    cell = tuple(side * length for length in corner.cell)
    images = wallpaper(
        dot,
        corner.group,
        shapely.box(*area.bounds).buffer(5 * side),
        cell=cell if len(cell) > 1 else cell[0],
        origin=origin,
        angle=turn,
    ).points
    pairs = near_pairs(images, 1e-3 * side)
    return np.delete(images, np.unique(pairs[:, 1]), axis=0)


def _faces(points: FloatArray, side: float) -> Tiling:
    """The regular polygons whose edges are the pairs of points one side apart."""
    pairs = near_pairs(points, (1 + _SLACK) * side)
    far = np.hypot(*(points[pairs[:, 0]] - points[pairs[:, 1]]).T)
    lines: Any = shapely.linestrings(points[pairs[far > (1 - _SLACK) * side]])
    faces = shapely.get_parts(shapely.polygonize(lines))
    faces = faces[_is_regular(faces, side)]
    rings = shapely.orient_polygons(faces)
    coordinates, owner = shapely.get_coordinates(rings, return_index=True)
    last = np.flatnonzero(np.diff(owner, append=len(rings)))
    counts = np.bincount(owner, minlength=len(rings)) - 1
    return Tiling(np.delete(coordinates, last, axis=0), ragged.offsets_of(counts), counts - 3, side)


def _is_regular(faces: Any, side: float) -> BoolArray:
    """Faces whose area is that of the regular polygon; at the rim polygons run together."""
    corners = shapely.get_num_coordinates(faces) - 1
    wanted = 0.25 * corners * side**2 / np.tan(math.pi / corners)
    return np.asarray(np.abs(shapely.area(faces) - wanted) < 1e-3 * side**2)
