"""Iso-lines: where a scalar field takes given numbers; and the bands between them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged, reshape
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields import grid
from plotlib.fields.scalar import ScalarField, as_scalar
from plotlib.pen import Pen

_MOST_LEVELS = 10_000  # at a pen's width of 0.1 mm they fill a metre
_DISTINCT = 2.0**52  # multiples of a number up to which float64 tells neighbours apart
# of a cell: Newton's method squares the rest, so that another step would change nothing that counts
_CLOSE = 1e-3


def isolines(
    field: ScalarField,
    region: RegionLike,
    *,
    levels: ArrayLike | None = None,
    spacing: float | None = None,
    step: float = 0.5,
    tolerance: float = 0.02,
    pen: Pen | None = None,
) -> Drawing:
    """Lines along which a field keeps one number.

    Parameters
    ----------
    field : ScalarField
        What to draw.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in; lines end on its edge.
    levels : float or array-like of shape (n,), optional
        The numbers, one or many. Either these or ``spacing``.
    spacing : float, optional
        Instead of ``levels``, in the unit of the field: a line at every multiple of ``spacing``
        that the field takes in the area.
    step : float, default 0.5
        Size in mm of the cells in which lines are looked for; what is smaller than a cell is
        missed.
    tolerance : float, default 0.02
        Points may go as long as the line moves by no more than this, mm; 0 keeps all.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        Level after level; closed lines are closed exactly, higher ground lies on the left. Points
        found between cells are put on the level by Newton's method with the field's own slopes, so
        they are as exact as the field is.

    Raises
    ------
    InvalidValue
        If an argument is invalid, both or neither of ``levels`` and ``spacing`` are given,
        the field is not finite in or near the area, the grid has more than 50 million nodes,
        or ``spacing`` gives more than 10,000 levels.

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.fields.distance import distance_to_point
    >>> far = distance_to_point((50, 50))
    >>> rings = isolines(far, box(0, 0, 100, 100), levels=[10, 20], tolerance=0)
    >>> len(rings), rings.is_closed.tolist(), round(rings.length / (2 * np.pi * 30), 3)
    (2, [True, True], 1.0)
    """
    field = as_scalar("field", field)
    area = as_area(region)
    step = checks.positive("step", step, unit="mm")
    tolerance = checks.not_negative("tolerance", tolerance, unit="mm")
    if (levels is None) == (spacing is None):
        raise InvalidValue("isolines needs either levels or spacing", name="levels")
    if area.is_empty:
        return Drawing(pen=pen)
    nodes = grid.over(area.bounds, step, margin=1)
    numbers = grid.values(field, nodes)
    heights = _heights(levels) if levels is not None else _multiples(spacing, numbers)
    points, offsets, owner = _traced(nodes, numbers, heights)
    points = _on_level(field, points, heights[owner][ragged.stroke_of(offsets)], _reach(nodes))
    points, offsets = ragged.without_repeats(points, offsets)
    if tolerance:
        points, offsets = reshape.simplify(points, offsets, tolerance)
    return Drawing.from_arrays(points, offsets, pen=pen).clipped(area)


def bands(
    field: ScalarField, region: RegionLike, *, levels: ArrayLike, step: float = 0.5
) -> list[Polygon | MultiPolygon]:
    """The areas between neighbouring levels of a field: filled contours.

    Parameters
    ----------
    field : ScalarField
        What to draw.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to divide.
    levels : array-like, shape (n,)
        The numbers between the bands, in any order.
    step : float, default 0.5
        Size in mm of the cells, within which edges are straight.

    Returns
    -------
    list of Polygon or MultiPolygon
        n + 1 areas for n different levels, the lowest ground first. Together they are the region,
        and neighbours share their edge; bands that the field does not reach are empty.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the field is not finite in or near the area, or the grid has more
        than 50 million nodes.

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.fields.simple import ramp
    >>> [round(band.area, 9) for band in bands(ramp(), box(0, 0, 10, 2), levels=[3, 5])]
    [6.0, 4.0, 10.0]
    """
    field = as_scalar("field", field)
    area = as_area(region)
    heights = np.concatenate([[-math.inf], np.unique(_heights(levels)), [math.inf]])
    if area.is_empty:
        return [Polygon() for _ in heights[1:]]
    nodes = grid.over(area.bounds, checks.positive("step", step, unit="mm"), margin=1)
    maker = _maker(nodes, grid.values(field, nodes))
    return [_band(maker, low, high, area) for low, high in pairwise(heights)]


def _heights(levels: ArrayLike | None) -> FloatArray:
    row = levels if np.iterable(levels) else [levels]
    return checks.numbers("levels", row, ndim=1)


def _multiples(spacing: float | None, numbers: FloatArray) -> FloatArray:
    apart = checks.positive("spacing", spacing)
    low = float(numbers.min())
    high = float(numbers.max())
    count = (high - low) / apart + 1
    checks.affordable(
        "spacing",
        apart,
        count,
        _MOST_LEVELS,
        f"levels between {low:g} and {high:g}",
        f"take {checks.two_digits((high - low) / (_MOST_LEVELS - 1))} or more",
    )
    if max(-low, high) / apart > _DISTINCT:
        raise InvalidValue(
            f"a spacing of {apart:g} is lost beside the numbers of the field, {low:g} to {high:g}; "
            f"take {checks.two_digits(max(-low, high) / _DISTINCT)} or more, or levels",
            name="spacing",
            value=apart,
        )
    multiples = np.arange(math.ceil(low / apart), math.floor(high / apart) + 1)
    return multiples.astype(np.float64) * apart


def _maker(nodes: grid.Grid, numbers: FloatArray) -> Any:
    from contourpy import FillType, LineType, contour_generator

    return contour_generator(
        nodes.x,
        nodes.y,
        numbers,
        name="serial",
        line_type=LineType.ChunkCombinedOffset,
        fill_type=FillType.OuterOffset,
    )


def _traced(
    nodes: grid.Grid, numbers: FloatArray, heights: FloatArray
) -> tuple[FloatArray, IntArray, IntArray]:
    """Points, offsets and the level (M,) of every stroke."""
    maker = _maker(nodes, numbers)
    points = [np.empty((0, 2))]
    counts = [np.zeros(0, np.int64)]
    owner = [np.zeros(0, np.int64)]
    for k, height in enumerate(heights):
        found, ends = (part[0] for part in maker.lines(height))
        if found is not None:
            points.append(found)
            counts.append(np.diff(ends.astype(np.int64)))
            owner.append(np.full(len(ends) - 1, k))
    return np.concatenate(points), ragged.offsets_of(np.concatenate(counts)), np.concatenate(owner)


def _reach(nodes: grid.Grid) -> float:
    return 0.5 * max(float(nodes.x[1] - nodes.x[0]), float(nodes.y[1] - nodes.y[0]))


def _on_level(
    field: ScalarField, points: FloatArray, heights: FloatArray, reach: float
) -> FloatArray:
    """Newton's method along the slope, twice where once was far; a point that it would take farther
    than ``reach`` stays where it was.
    """
    moved = points.copy()
    todo = np.arange(len(points))
    for _ in range(2):
        numbers, along_x, along_y = field.jet(moved[todo, 0], moved[todo, 1])
        steep = along_x**2 + along_y**2
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            share = (heights[todo] - numbers) / steep
            way = np.abs(share) * np.sqrt(steep)
        near = np.isfinite(way) & (way <= reach)
        moved[todo[near]] += (share[:, None] * np.stack([along_x, along_y], axis=1))[near]
        todo = todo[near & (way > _CLOSE * reach)]
    return moved


def _band(
    maker: Any, low: float, high: float, area: Polygon | MultiPolygon
) -> Polygon | MultiPolygon:
    outlines: Sequence[FloatArray]
    outlines, starts = maker.filled(low, high)
    parts = [
        _polygon(points, ends.astype(np.int64))
        for points, ends in zip(outlines, starts, strict=True)
    ]
    cut = shapely.intersection(shapely.union_all([part for part in parts if part.area > 0]), area)
    # a band may touch the region in points and lines only
    polygons = [part for part in shapely.get_parts(cut) if isinstance(part, Polygon)]
    return as_area(polygons[0] if len(polygons) == 1 else MultiPolygon(polygons))


def _polygon(points: FloatArray, ends: IntArray) -> Any:
    rings = [points[a:b] for a, b in pairwise(ends)]
    shape = Polygon(rings[0], rings[1:])
    return shape if shape.is_valid else shapely.make_valid(shape)
