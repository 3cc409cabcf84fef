"""Fills of circles that touch: into every gap the largest that fits, down to a smallest radius."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks, shapes
from plotlib.arrays.flatten import TOLERANCE
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.room import room
from plotlib.fills.segments import feet
from plotlib.pen import Pen, as_pen
from plotlib.progress import Progress, Stage, asked
from plotlib.regions import inset as inset_of

if TYPE_CHECKING:
    from plotlib.fills.circles_kernel import Plate

_FINE = 4.0  # pixels across the smallest radius
_MOST = 4_000_000  # pixels: some ten seconds
_AT_ONCE = 20_000_000  # pixels looked at between two looks at the clock
_PIXELS_AT_ONCE = 100_000  # whose nearest piece is looked for
_EXACT = 4.0  # pixels from the outline within which its pieces are told from each other
_BEFORE = 0.5  # the share of the work that this is
_SHAVED = 1e-9  # mm that rounding may leave over


def circles(
    region: RegionLike,
    *,
    smallest: float,
    gap: float = 0.0,
    tolerance: float = TOLERANCE,
    inset: bool | float | None = None,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """Fill an area with circles that touch each other and its edge, as Apollonian gaskets do.

    The largest circle that fits comes first, then again and again the largest that fits beside
    those before. In a gap between three that touch it is the one of Descartes' theorem. A round
    area is filled by one circle; :func:`plotlib.fields.apollonian` begins with two in it.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    smallest : float
        Least radius in mm, > 0.
    gap : float, default 0
        Distance in mm that circles keep from each other and from the edge, >= 0: with one pen width
        their ink just touches.
    tolerance : float, default 0.02
        Greatest distance in mm between a circle and its chords, > 0.
    inset : bool or float, optional
        The distance from the edge in mm; True for half the pen's width, False for none. Without it
        half the pen's width if a pen is given.
    pen : Pen, optional
        The pen; the default one otherwise, and then nothing is kept from the edge for its width.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        A closed stroke for each circle, about in the order of their size. None overlap, and all lie
        in the area.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the bounds of the area have more than 4 million squares of a
        quarter of the smallest radius.

    References
    ----------
    F. Soddy, *The Kiss Precise*, Nature 137 (1936), 1021.

    Examples
    --------
    >>> from shapely import box
    >>> bubbles = circles(box(0, 0, 20, 20), smallest=1)
    >>> [round(float(np.ptp(one[:, 0])) / 2, 3) for one in bubbles[:3]]
    [10.0, 1.716, 1.716]
    """
    least = checks.positive("smallest", smallest, unit="mm")
    apart = checks.not_negative("gap", gap, unit="mm")
    chord = checks.positive("tolerance", tolerance, unit="mm")
    free = inset_of(room(region, pen, inset), apart / 2)
    if not free.is_empty:
        _foresee(free.bounds, least, apart / 2)
    pen = as_pen(pen)
    found = packed(free, least + apart / 2, progress)
    return shapes.circles(found[:, :2], found[:, 2] - apart / 2, tolerance=chord, pen=pen)


def packed(area: Polygon | MultiPolygon, least: float, progress: Progress = None) -> FloatArray:
    """x, y and radius (n, 3) of circles that touch, none of them below ``least``."""
    if area.is_empty:
        return np.empty((0, 3))
    from plotlib.fills.circles_kernel import pack

    with asked("filling with circles", progress) as work:
        plate = _plate(area, least, work)
        first = float(plate.far.max())
        while (radius := pack(plate, least, _AT_ONCE)) > 0:
            _tell(work, first, radius, least)
    return _shaved(plate.found[: plate.counts[0]], area, least)


def _tell(work: Stage, first: float, radius: float, least: float) -> None:
    """Each halving of the radius takes about as long as the one before."""
    span = math.log(max(first / least, 1.001))
    share = _BEFORE + (1 - _BEFORE) * (1 - math.log(max(radius / least, 1.0)) / span)
    work.done(min(max(share, work.share or 0.0), 0.99))


def _plate(area: Polygon | MultiPolygon, least: float, work: Stage) -> Plate:
    """The pixels of an area, each with its nearest piece of the outline."""
    from plotlib.fills.circles_kernel import BLOCK, CONTACTS, Plate, refresh

    side = least / _FINE
    left, bottom, right, top = area.bounds
    x = left + side * np.arange(math.ceil((right - left) / side) + 1, dtype=np.float64)
    y = bottom + side * np.arange(math.ceil((top - bottom) / side) + 1, dtype=np.float64)
    pieces = _pieces(area)
    far, nearest = _nearest(area, pieces, x, y, work)
    capacity = int(area.area / (math.pi * least**2)) + 1
    blocks = np.zeros((-(-len(y) // BLOCK), -(-len(x) // BLOCK)))
    corner = np.array([left, bottom, side])
    plate = Plate(
        far,
        nearest,
        blocks,
        corner,
        pieces,
        np.zeros((capacity, 3)),
        np.zeros(2, np.int64),
        np.zeros((CONTACTS, 3)),
        np.zeros(CONTACTS, np.int64),
    )
    refresh(plate, 0, 0, len(y) - 1, len(x) - 1)
    return plate


def _foresee(bounds: tuple[float, float, float, float], least: float, more: float) -> None:
    """Refuse a radius that takes too many pixels; circles are ``more`` mm larger until the end."""
    width = bounds[2] - bounds[0]
    height = bounds[3] - bounds[1]
    side = (least + more) / _FINE
    pixels = (width / side + 2) * (height / side + 2)
    half = width + height
    spare = _MOST - 4  # (width / side + 2) (height / side + 2) = _MOST, for the side
    enough = _FINE * (half + math.sqrt(half**2 + width * height * spare)) / spare - more
    remedy = f"take {checks.two_digits(enough)} mm or more"
    checks.affordable("smallest", least, pixels, _MOST, "squares of a quarter of it", remedy)


def _pieces(area: Polygon | MultiPolygon) -> FloatArray:
    """The edges of the outline, (m, 4)."""
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(area))]
    pieces = np.concatenate([np.column_stack([ring[:-1], ring[1:]]) for ring in rings])
    kept: FloatArray = pieces[(pieces[:, :2] != pieces[:, 2:]).any(axis=1)]
    return kept


def _nearest(
    area: Polygon | MultiPolygon, pieces: FloatArray, x: FloatArray, y: FloatArray, work: Stage
) -> tuple[FloatArray, IntArray]:
    """How far each pixel is from the outline, -1 outside, and the number of its nearest piece: by
    the pixels that the outline runs through, and exactly within some pixels of it.
    """
    from scipy.ndimage import distance_transform_edt
    from scipy.spatial import cKDTree

    side = x[1] - x[0] if len(x) > 1 else 1.0
    samples, owner = _samples(pieces, side)
    column, row = np.rint((samples - (x[0], y[0])) / side).astype(np.int64).T
    there = np.full((len(y), len(x)), -1)
    there[np.clip(row, 0, len(y) - 1), np.clip(column, 0, len(x) - 1)] = owner
    near = distance_transform_edt(there < 0, return_distances=False, return_indices=True)
    work.done(0.5 * _BEFORE)
    shapely.prepare(area)
    tree = cKDTree(samples)
    far = np.full(there.shape, -1.0)
    nearest = np.full(there.shape, -1)
    some = max(1, _PIXELS_AT_ONCE // len(x))
    for begin in range(0, len(y), some):
        rows = slice(begin, begin + some)
        is_in = np.asarray(shapely.contains_xy(area, x[None, :], y[rows, None]), np.bool_)
        row, column = np.nonzero(is_in)
        points = np.column_stack([x[column], y[rows][row]])
        found = there[near[0][rows][is_in], near[1][rows][is_in]]
        reach = _away(points, pieces[found])
        is_near = reach < _EXACT * side
        found[is_near] = owner[tree.query(points[is_near])[1]]
        reach[is_near] = _away(points[is_near], pieces[found[is_near]])
        far[rows][is_in] = reach
        nearest[rows][is_in] = found
        work.done(_BEFORE * (0.5 + 0.5 * begin / len(y)))
    return far, nearest


def _samples(pieces: FloatArray, side: float) -> tuple[FloatArray, IntArray]:
    """Points on the outline, half a pixel apart or nearer, and the pieces that they are on."""
    length = np.hypot(*(pieces[:, 2:] - pieces[:, :2]).T)
    count = np.ceil(2 * length / side).astype(np.int64) + 1
    owner = np.repeat(np.arange(len(pieces)), count)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    share = (place / np.maximum(count - 1, 1)[owner])[:, None]
    samples = pieces[owner, :2] * (1 - share) + pieces[owner, 2:] * share
    return samples, owner


def _away(points: FloatArray, pieces: FloatArray) -> FloatArray:
    """From each point (n, 2) to its piece (n, 4)."""
    return np.asarray(np.hypot(*(points - feet(points, pieces[:, :2], pieces[:, 2:])).T))


def _shaved(found: FloatArray, area: Polygon | MultiPolygon, least: float) -> FloatArray:
    """The circles, smaller by what they would overlap with those before or with the edge: rounding,
    but for outlines with corners finer than a pixel.
    """
    found = found.copy()
    centres = shapely.points(found[:, :2])
    found[:, 2] = np.minimum(found[:, 2], shapely.distance(centres, area.boundary))
    boxes: Any = shapely.box(*(found[:, :2] - found[:, 2:]).T, *(found[:, :2] + found[:, 2:]).T)
    one, other = shapely.STRtree(boxes).query(boxes)
    later = one > other
    one = one[later]
    other = other[later]
    between = np.hypot(*(found[one, :2] - found[other, :2]).T)
    np.minimum.at(found[:, 2], one, between - found[other, 2])
    kept: FloatArray = found[found[:, 2] >= least - _SHAVED]
    return kept
