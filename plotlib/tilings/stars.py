"""Star patterns in a tiling: from the middle of every edge two rays, until they meet."""

from __future__ import annotations

import math
from itertools import permutations
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.tilings.tiling import Tiling

ComplexArray = NDArray[np.complex128]

_FLAT = 1e-9  # of the sharpest turn: a straight corner is no inner one
_SLACK = 1e-10  # of an edge: how far a stroke may leave its tile by rounding
_NEAR = 1e-9  # of the first edge: rays that meet nearer to where one begins have no bend
_ALIKE = 1e-8  # of the first edge: tiles whose corners differ by less have one shape
_FLATTER = (0.75, 0.5, 0.25, 0.1)  # of the contact angle, tried in turn at inner corners


def stars(tiling: Tiling, contact: float, *, pen: Pen | None = None) -> Drawing:
    """Star patterns by E. H. Hankin's method: polygons in contact.

    Parameters
    ----------
    tiling : Tiling
        The tiles; the pattern runs through the middles of their edges.
    contact : float
        The angle between a ray and the edge it starts from, degrees, 1 … 89: 72 gives the star
        {10/4} in a decagon, 60 gives {6/2} in a hexagon.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke from edge to edge for each corner of a tile, bent where the rays meet, or
        straight where they do not meet in the tile. Rays at inner corners, as bow-ties and darts
        have them, meet those of another inner corner where they can; where not, flatter rays go
        round the corner. Strokes of neighbouring tiles meet on their edges, and rays go straight
        on there.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    E. H. Hankin, *The Drawing of Geometric Patterns in Saracenic Art*, 1925; C. S. Kaplan,
    *Islamic Star Patterns from Polygons in Contact*, Graphics Interface 2005 (both from memory).

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.tilings import archimedean
    >>> floor = archimedean(box(0, 0, 60, 40), "4.8.8", side=8)
    >>> len(stars(floor, 60)) == len(floor.points)
    True
    """
    if not isinstance(tiling, Tiling):
        raise InvalidValue(f"tiling must be a Tiling; got {type(tiling).__name__}", name="tiling")
    angle = math.radians(checks.between("contact", contact, 1, 89, unit="degrees"))
    held = as_pen(pen)
    bent = _bent(tiling, angle)
    if not len(bent):
        return Drawing(pen=held)
    points = np.where(np.isnan(bent[:, 1, 0]), 2, 3)
    flat = bent.reshape(-1, 2)
    return Drawing.from_arrays(flat[~np.isnan(flat[:, 0])], ragged.offsets_of(points), pen=held)


def _bent(tiling: Tiling, angle: float) -> FloatArray:
    """The stroke (3, 2) round each point of the tiles, as ``_star`` has it."""
    counts = np.diff(tiling.offsets)
    bent = np.empty((len(tiling.points), 3, 2))
    for count in np.unique(counts).tolist():
        tiles = np.flatnonzero(counts == count)
        places = tiling.offsets[tiles][:, None] + np.arange(count)
        bent[places] = _by_shape(tiling.points[places], angle)
    return bent


def _by_shape(corners: FloatArray, angle: float) -> FloatArray:
    """The strokes (T, n, 3, 2) of some tiles (T, n, 2): bends are found once for each shape, as
    many tiles have few shapes, and moved, turned and scaled to where tiles are.
    """
    shapes, shape = _shapes(corners)
    star = _star(shapes, angle)
    ends = np.tile(np.arange(corners.shape[1]), (len(shapes), 1))
    inner = np.flatnonzero(~_is_convex(shapes))
    star[inner], ends[inner] = _kept_inside(star[inner], shapes[inner], angle)
    start = 0.5 * (np.roll(corners, 1, axis=1) + corners)
    after = np.roll(start, -1, axis=1)
    end = np.take_along_axis(after, ends[shape][..., None], axis=1)
    base = _complex(corners[:, :1])
    bend = base + _complex(star[shape, :, 1]) * (_complex(corners[:, 1:2]) - base)
    return np.stack([start, np.stack([bend.real, bend.imag], axis=-1), end], axis=2)


def _shapes(corners: FloatArray) -> tuple[FloatArray, IntArray]:
    """The shapes (S, n, 2) that tiles (T, n, 2) have, with their first edge from (0, 0) to (1, 0),
    and which of them each tile has (T,).
    """
    spots = _complex(corners)
    spots = (spots - spots[:, :1]) / (spots[:, 1:2] - spots[:, :1])
    placed = np.stack([spots.real, spots.imag], axis=-1)
    keys = np.round(placed / _ALIKE).reshape(len(corners), -1)
    _, first, shape = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    return placed[first], shape.ravel()


def _complex(points: FloatArray) -> ComplexArray:
    return np.asarray(points[..., 0] + 1j * points[..., 1])


def _star(corners: FloatArray, angle: float) -> FloatArray:
    """For each corner of some tiles (T, n, 2) the stroke (T, n, 3, 2) round it: the middle of the
    edge before it, where the rays meet, the middle of the edge after it.

    Where rays do not meet in the tile, the stroke runs straight from middle to middle: its bend is
    not a number.
    """
    start, leave, end, arrive = _rays(corners, angle)
    bend, _ = _meeting(start, leave, end, arrive)
    tiles = np.asarray(shapely.polygons(corners))[:, None]
    bend[~shapely.contains_xy(tiles, bend[..., 0], bend[..., 1])] = np.nan
    return np.stack([start, bend, end], axis=2)


def _rays(
    corners: FloatArray, angle: float
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """For each corner the ray towards it from the edge before it, and from the edge after it: where
    they begin and their directions, four times (T, n, 2).
    """
    before = np.roll(corners, 1, axis=1)
    after = np.roll(corners, -1, axis=1)
    leave = _turned(_unit(corners - before), angle)
    arrive = _turned(_unit(corners - after), -angle)
    return 0.5 * (before + corners), leave, 0.5 * (corners + after), arrive


def _meeting(
    start: FloatArray, leave: FloatArray, end: FloatArray, arrive: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Where pairs of rays meet, not a number where they do not, and the length of both to there."""
    across = _cross(leave, arrive)
    with np.errstate(all="ignore"):
        far = _cross(end - start, arrive) / across
        rest = _cross(end - start, leave) / across
        length = far + rest
    meets = (np.abs(across) > 1e-12) & (far > _NEAR) & (rest > _NEAR)
    bend = start + np.where(meets, far, np.nan)[..., None] * leave
    return bend, np.where(meets, length, np.inf)


def _is_convex(corners: FloatArray) -> BoolArray:
    """Which tiles (T, n, 2) have no inner corner."""
    ahead = np.roll(corners, -1, axis=1) - corners
    turn = _cross(ahead, np.roll(ahead, -1, axis=1))
    flat = _FLAT * np.abs(turn).max(axis=1, keepdims=True)
    return np.asarray((turn > -flat).all(axis=1))


def _kept_inside(
    star: FloatArray, corners: FloatArray, angle: float
) -> tuple[FloatArray, IntArray]:
    """The strokes of tiles with inner corners, and the corners (T, n) after which they end: those
    that leave their tile are drawn with flatter rays, and where no rays meet, along the edges.
    """
    edges = np.hypot(*np.moveaxis(corners - np.roll(corners, 1, axis=1), -1, 0))
    tiles = np.asarray(shapely.polygons(corners))
    rooms = shapely.buffer(tiles, _SLACK * edges.min(axis=1), quad_segs=2)
    kept = star.copy()
    leaves = ~_covered(rooms, kept)
    ends = _met_across(kept, leaves, corners, rooms, angle)
    for share in _FLATTER:
        if not leaves.any():
            return kept, ends
        flatter = _star(corners, share * angle)
        mends = leaves & _covered(rooms, flatter) & ~np.isnan(flatter[:, :, 1, 0])
        kept[mends] = flatter[mends]
        leaves &= ~mends
    kept[leaves, 1] = corners[leaves]
    return kept, ends


def _met_across(
    star: FloatArray, leaves: BoolArray, corners: FloatArray, rooms: Any, angle: float
) -> IntArray:
    """Let rays of one inner corner meet those of another, the nearest first; in place, and such
    strokes leave their tile no more. The result says after which corner each stroke ends.
    """
    start, leave, end, arrive = _rays(corners, angle)
    count = corners.shape[1]
    length = np.full((len(corners), count, count), np.inf)
    bends = np.full((len(corners), count, count, 2), np.nan)
    for i, k in permutations(range(count), 2):
        both = np.flatnonzero(leaves[:, i] & leaves[:, k])
        if len(both):
            bend, far = _meeting(start[both, i], leave[both, i], end[both, k], arrive[both, k])
            stroke = np.stack([start[both, i], bend, end[both, k]], axis=1)[:, None]
            far[~_covered(rooms[both], stroke)[:, 0]] = np.inf
            length[both, i, k] = far
            bends[both, i, k] = bend
    # the two rays of a corner go to the same other corner, so that corners are exchanged in pairs
    pairs = length + np.swapaxes(length, 1, 2)
    ends = np.tile(np.arange(count), (len(corners), 1))
    while np.isfinite(pairs).any():
        tiles = np.flatnonzero(np.isfinite(pairs).any(axis=(1, 2)))
        nearest = pairs[tiles].reshape(len(tiles), -1).argmin(axis=1)
        for i, k in (np.divmod(nearest, count), np.divmod(nearest, count)[::-1]):
            across = (start[tiles, i], bends[tiles, i, k], end[tiles, k])
            star[tiles, i] = np.stack(across, axis=1)
            leaves[tiles, i] = False
            ends[tiles, i] = k
            pairs[tiles, i] = np.inf
            pairs[tiles, :, i] = np.inf
    return ends


def _covered(rooms: Any, strokes: FloatArray) -> BoolArray:
    """Which strokes (T, n, 3, 2) lie in their tile as a whole."""
    whole = strokes.copy()
    middle = 0.5 * (strokes[:, :, 0] + strokes[:, :, 2])
    whole[:, :, 1] = np.where(np.isnan(strokes[:, :, 1]), middle, strokes[:, :, 1])
    lines = np.asarray(shapely.linestrings(whole))
    shapely.prepare(rooms)
    return np.asarray(shapely.covers(rooms[:, None], lines), np.bool_)


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _unit(steps: FloatArray) -> FloatArray:
    return np.asarray(steps / np.hypot(steps[..., 0], steps[..., 1])[..., None])


def _turned(directions: FloatArray, angle: float) -> FloatArray:
    cosine = math.cos(angle)
    sine = math.sin(angle)
    turned: FloatArray = directions @ np.array([[cosine, sine], [-sine, cosine]])
    return turned
