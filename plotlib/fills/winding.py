"""Fills by one winding line: space-filling curves, and a scribble."""

from __future__ import annotations

import math

import numpy as np
from shapely import MultiPolygon, Polygon

from plotlib.arrays.ragged import pack
from plotlib.checks import (
    FloatArray,
    IntArray,
    Seed,
    between,
    finite,
    flag,
    generator,
    not_negative,
    one_of,
    point,
    positive,
)
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.laying import affordable, box_in, clipped, edge_joined, without_crumbs
from plotlib.fills.room import room
from plotlib.fills.scanlines import Frame
from plotlib.pen import Pen

_LONGEST_JOIN = 4.0  # spacings
# An edge on the border of two squares is rounded when the area is turned: without this one more
# column could make the curve one order deeper, and lie the other way.
_HAIR = 1e-9  # spacings
_CURVES = ("hilbert", "gosper")
# l -> l+r++r-l--ll-r+, r -> -l+rr++r+l--l-r (Prusinkiewicz and Lindenmayer, 1990, fig. 1.11a): kind
# and heading of each part, in sixths
# of a turn.
_PARTS = np.array(
    [
        [(0, 0), (1, 1), (1, 3), (0, 2), (0, 0), (0, 0), (1, -1)],
        [(0, -1), (1, 0), (1, 0), (1, 2), (0, 3), (0, 1), (1, 0)],
    ]
)
_ISLAND = (
    0.36  # the least distance of the Gosper curve's coast from its middle, in distances of its ends
)
_BENDS = 6  # points on a bend of a scribble


def space_filling(
    region: RegionLike,
    *,
    spacing: float,
    curve: str = "hilbert",
    joined: bool = True,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with a space-filling curve, cut at its edge.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    spacing : float
        Length of a step of the curve in mm, > 0.
    curve : {"hilbert", "gosper"}
        On squares, or on a lattice of triangles.
    joined : bool, default True
        Whether pieces are joined along the edge where that takes no more than four spacings; each
        piece of the edge is inked once.
    angle, origin, shortest, inset, pen
        As for `hatch`; the squares of the Hilbert curve are counted from the origin, the Gosper
        curve lies around the area's middle.

    Returns
    -------
    Drawing
        Pieces of one curve in its order.

    Raises
    ------
    InvalidValue
        If ``spacing`` is not positive and finite, another argument is invalid, or the curve would
        have millions of points.
    UnknownName
        If ``curve`` is another word.

    References
    ----------
    H. Sagan, *Space-Filling Curves*, Springer 1994 (from memory).

    Examples
    --------
    >>> from shapely import box
    >>> drawing = space_filling(box(0, 0, 16, 16), spacing=1)
    >>> len(drawing), drawing.length
    (1, 255.0)
    """
    frame = Frame(
        positive("spacing", spacing, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    kind = one_of("curve", curve, _CURVES)
    in_one = flag("joined", joined)
    least = not_negative("shortest", shortest, unit="mm")
    area = room(region, pen, inset)
    points = (_hilbert if kind == "hilbert" else _gosper)(area, frame)
    pieces = clipped(frame.back(points), _unbroken(points, frame.spacing), area, pen)
    if in_one:
        pieces = edge_joined(pieces, area, _LONGEST_JOIN * frame.spacing, pen)
    return without_crumbs(pieces, least)


def scribble(
    region: RegionLike,
    *,
    spacing: float,
    wildness: float = 0.8,
    seed: Seed = 0,
    joined: bool = True,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with a smooth line that wanders at random, but comes everywhere equally often.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    spacing : float
        Mean distance in mm of the places that the line visits, > 0.
    wildness : float, default 0.8
        How far these are from an even lattice, 0 to 2.
    seed : int or numpy Generator, default 0
        Decides the wandering.
    joined : bool, default True
        Whether pieces are joined along the edge where that takes no more than four spacings; each
        piece of the edge is inked once.
    shortest, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        A uniform cubic B-spline over one random point of each square of a lattice, in the order of
        the Hilbert curve, cut at the edge.

    Raises
    ------
    InvalidValue
        If ``spacing`` is not positive and finite, ``wildness`` is out of range, another argument is
        invalid, or the line would have millions of points.

    Examples
    --------
    >>> from shapely import box
    >>> area = box(0, 0, 30, 20)
    >>> scribble(area, spacing=2, seed=3) == scribble(area, spacing=2, seed=3)
    True
    """
    frame = Frame(positive("spacing", spacing, unit="mm"))
    wild = between("wildness", wildness, 0.0, 2.0)
    random = generator(seed)
    in_one = flag("joined", joined)
    least = not_negative("shortest", shortest, unit="mm")
    area = room(region, pen, inset)
    lattice = _hilbert(area, frame)
    knots = lattice + random.uniform(-0.5, 0.5, lattice.shape) * wild * frame.spacing
    parts = np.split(knots, _unbroken(lattice, frame.spacing)[1:-1]) if len(knots) else []
    points, offsets = pack([_bent(part) if len(part) > 1 else part for part in parts])
    pieces = clipped(points, offsets, area, pen)
    if in_one:
        pieces = edge_joined(pieces, area, _LONGEST_JOIN * frame.spacing, pen)
    return without_crumbs(pieces, least)


def _hilbert(area: Polygon | MultiPolygon, frame: Frame) -> FloatArray:
    """Middles (u, v) of the squares over the box of an area, in the order of the curve."""
    from plotlib.fills.curves_kernel import hilbert_cells

    if area.is_empty:
        return np.empty((0, 2))
    u0, v0, u1, v1 = (value / frame.spacing for value in box_in(area, frame))
    first = np.floor([u0 + _HAIR, v0 + _HAIR])
    columns = math.ceil(u1 - _HAIR) - int(first[0])
    rows = math.ceil(v1 - _HAIR) - int(first[1])
    affordable(float(columns) * rows, "the curve")
    order = max(max(columns, rows) - 1, 1).bit_length()
    return np.asarray(
        (hilbert_cells(order, max(columns, 1), max(rows, 1)) + first + 0.5) * frame.spacing
    )


def _unbroken(points: FloatArray, step: float) -> IntArray:
    """Offsets of the stretches of a curve without jumps: it may leave the box of the area and come
    back elsewhere.
    """
    jumps = np.flatnonzero(np.hypot(*np.diff(points, axis=0).T) > 1.5 * step) + 1
    return np.concatenate([[0], jumps, [len(points)]])


def _gosper(area: Polygon | MultiPolygon, frame: Frame) -> FloatArray:
    """The points (u, v) of a curve whose island covers the area."""
    if area.is_empty:
        return np.empty((0, 2))
    u0, v0, u1, v1 = box_in(area, frame)
    reach = math.hypot(u1 - u0, v1 - v0) / 2 / frame.spacing
    depth = max(math.ceil(2 * math.log(max(reach / _ISLAND, 1.0)) / math.log(7)), 1)
    affordable(7.0**depth, "the curve")
    kind = np.zeros(1, np.int64)
    heading = np.zeros(1, np.int64)
    for _ in range(depth):
        heading = (heading[:, None] + _PARTS[kind, :, 1]).ravel() % 6
        kind = _PARTS[kind, :, 0].ravel()
    middle = np.array([(u0 + u1) / 2, (v0 + v1) / 2])
    return np.asarray(_walked(heading, frame.spacing) + middle)


def _walked(heading: IntArray, step: float) -> FloatArray:
    """Where steps in multiples of 60 degrees lead, around their middle."""
    ways = np.array(
        [
            (1.0, 0.0),
            (0.5, math.sqrt(0.75)),
            (-0.5, math.sqrt(0.75)),
            (-1.0, 0.0),
            (-0.5, -math.sqrt(0.75)),
            (0.5, -math.sqrt(0.75)),
        ]
    )
    points = np.concatenate([[(0.0, 0.0)], np.cumsum(ways[heading], axis=0)]) * step
    return np.asarray(points - points.mean(axis=0))


def _bent(knots: FloatArray) -> FloatArray:
    """A uniform cubic B-spline that begins and ends at the outer knots and swings past the
    others.
    """
    padded = np.concatenate([2 * knots[:1] - knots[1:2], knots, 2 * knots[-1:] - knots[-2:-1]])
    a = padded[:-3]
    b = padded[1:-2]
    c = padded[2:-1]
    d = padded[3:]
    t = (np.arange(_BENDS) / _BENDS)[:, None, None]
    spline = (
        (1 - t) ** 3 * a
        + (3 * t**3 - 6 * t**2 + 4) * b
        + (3 * t + 3 * t**2 - 3 * t**3 + 1) * c
        + t**3 * d
    ) / 6
    return np.concatenate([np.swapaxes(spline, 0, 1).reshape(-1, 2), knots[-1:]])
