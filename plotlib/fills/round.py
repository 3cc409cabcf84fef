"""Fills around a centre: a spiral, concentric circles, rays."""

from __future__ import annotations

import math

import numpy as np

from plotlib.arrays.flatten import circle_chords, unit_circle
from plotlib.arrays.ragged import pack
from plotlib.checks import finite, flag, not_negative, positive, whole
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.laying import (
    affordable,
    centre_of,
    clipped,
    edge_joined,
    farthest,
    without_crumbs,
)
from plotlib.fills.room import room
from plotlib.pen import Pen

_LONGEST_JOIN = 4.0  # spacings

_WIDEN = "spacing, or a larger tolerance"


def spiral(
    region: RegionLike,
    *,
    spacing: float,
    centre: tuple[float, float] | None = None,
    angle: float = 0.0,
    joined: bool = True,
    tolerance: float = 0.02,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with one spiral, cut at its edge.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    spacing : float
        Distance of the turns in mm, > 0.
    centre : (float, float), optional
        Where the spiral begins; the centroid of the area without it, so that the fill moves with
        the area.
    angle : float, default 0
        The direction in degrees in which it sets out.
    joined : bool, default True
        Whether pieces are joined along the edge where that takes no more than four spacings; each
        piece of the edge is inked once.
    tolerance : float, default 0.02
        Greatest distance in mm between the spiral and its chords.
    shortest, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        From the centre outward, counter-clockwise: one stroke where the area has no bays.

    Raises
    ------
    InvalidValue
        If ``spacing`` or ``tolerance`` is not positive and finite, another argument is invalid, or
        the spiral would have millions of points.

    Examples
    --------
    >>> from plotlib.shapes import circle
    >>> len(spiral(circle((50, 50), 20), spacing=1))
    1
    """
    step = positive("spacing", spacing, unit="mm")
    fine = positive("tolerance", tolerance, unit="mm")
    in_one = flag("joined", joined)
    least = not_negative("shortest", shortest, unit="mm")
    area = room(region, pen, inset)
    turn = math.radians(finite("angle", angle))
    at = centre_of(area, centre)
    end = 2 * math.pi * (farthest(area, at) / step + 1)
    # A chord over the angle a stands off by r a^2 / 8, so a^2 r is even along the spiral: the angle
    # grows with the number to the power 2/3.
    pace = 1.8 * math.sqrt(4 * math.pi * fine / step)
    count = affordable(end * math.sqrt(end) / (1.5 * pace) + 1, "the spiral", widen=_WIDEN)
    theta = np.union1d(
        (1.5 * pace * np.arange(count + 1)) ** (2 / 3), np.linspace(0, min(end, 4 * math.pi), 65)
    )
    far = step * theta / (2 * math.pi)
    points = np.column_stack([far * np.cos(theta + turn), far * np.sin(theta + turn)]) + at
    pieces = clipped(points, np.array([0, len(points)]), area, pen)
    if in_one:
        pieces = edge_joined(pieces, area, _LONGEST_JOIN * step, pen)
    return without_crumbs(pieces, least)


def concentric(
    region: RegionLike,
    *,
    spacing: float,
    centre: tuple[float, float] | None = None,
    tolerance: float = 0.02,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with circles around one centre, cut at its edge.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    spacing : float
        Distance of neighbouring circles in mm, > 0.
    centre : (float, float), optional
        Of the circles in mm; the centroid of the area without it.
    tolerance : float, default 0.02
        Greatest distance in mm between the circles and their chords.
    shortest, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        Circles with radii of odd multiples of ``spacing / 2``, from the centre outward; whole ones
        are closed.

    Raises
    ------
    InvalidValue
        If ``spacing`` or ``tolerance`` is not positive and finite, another argument is invalid, or
        the circles would have millions of points.

    Examples
    --------
    >>> from shapely import box
    >>> concentric(box(0, 0, 10, 10), spacing=2).is_closed.tolist()[:4]
    [True, True, True, False]
    """
    step = positive("spacing", spacing, unit="mm")
    fine = positive("tolerance", tolerance, unit="mm")
    least = not_negative("shortest", shortest, unit="mm")
    area = room(region, pen, inset)
    at = centre_of(area, centre)
    count = affordable(8 * (farthest(area, at) / step + 0.5), "the circles") // 8
    radii = (np.arange(count + 1) + 0.5) * step
    chords = circle_chords(radii, fine)
    affordable(float(chords.sum()), "the circles")
    rings = [radius * unit_circle(int(n)) + at for radius, n in zip(radii, chords, strict=True)]
    return without_crumbs(clipped(*pack(rings), area, pen), least)


def radial(
    region: RegionLike,
    *,
    count: int,
    centre: tuple[float, float] | None = None,
    inner: float = 0.0,
    closest: float = 0.0,
    angle: float = 0.0,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with rays from one centre.

    Parameters
    ----------
    count : int
        How many rays, from 1 to 1,000,000.
    centre : (float, float), optional
        Where they meet; the centroid of the area without it.
    inner : float, default 0
        Distance in mm from the centre at which rays begin.
    closest : float, default 0
        Neighbouring rays come no nearer than this, mm: towards the centre every second one ends,
        then every second one of the rest, so that ink does not pile up where rays meet.
    angle : float, default 0
        Direction of the first ray in degrees.
    region, shortest, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        Counter-clockwise; every second ray runs inward.

    Raises
    ------
    InvalidValue
        If ``count`` is no whole number from 1 to 1,000,000, ``inner`` or ``closest`` is negative,
        or another argument is invalid.

    Examples
    --------
    >>> from plotlib.shapes import circle
    >>> len(radial(circle((0, 0), 10), count=12, inner=1))
    12
    """
    number = whole("count", count, low=1, high=1_000_000)
    near = not_negative("inner", inner, unit="mm")
    apart = not_negative("closest", closest, unit="mm")
    least = not_negative("shortest", shortest, unit="mm")
    area = room(region, pen, inset)
    turn = math.radians(finite("angle", angle))
    at = centre_of(area, centre)
    ray = np.arange(number)
    # Rays whose number ends in z zeros (in binary) belong to a set with 2^z times the angle between
    # neighbours.
    set_of = np.where(ray > 0, ray & -ray, 1 << max(number.bit_length() - 1, 0))
    begin = np.maximum(near, apart * number / (2 * math.pi * set_of))
    end = farthest(area, at) + 1.0
    kept = begin < end
    theta = turn + ray[kept] * (2 * math.pi / number)
    begin = begin[kept]
    way = np.column_stack([np.cos(theta), np.sin(theta)])
    points = np.stack([begin[:, None] * way, end * way], axis=1) + at
    points[1::2] = points[1::2, ::-1]
    rays = clipped(points.reshape(-1, 2), np.arange(len(points) + 1) * 2, area, pen)
    return without_crumbs(rays, least)
