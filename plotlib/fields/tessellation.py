"""Voronoi and Delaunay: cells around points, and the triangles between them."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.pen import Pen

_FAR = 100.0  # sizes of everything away: helpers out there make all the cells that count finite


def voronoi(points: ArrayLike, region: RegionLike, *, pen: Pen | None = None) -> Drawing:
    """The borders between the cells of points: where two points are equally near and no third is
    nearer; each border drawn once.

    Parameters
    ----------
    points : array-like, shape (n, 2)
        Points in mm, inside the region or not. Points that share a place are one.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in; its own edge is not drawn.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        A stroke for each border between two cells, once.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    G. Voronoï, *Nouvelles applications des paramètres continus à la théorie des formes
    quadratiques*, Journal für die reine und angewandte Mathematik 134, 1908 (from memory).

    Examples
    --------
    >>> from shapely import box
    >>> voronoi([(5, 5), (15, 5)], box(0, 0, 20, 10)).points.tolist()
    [[10.0, 0.0], [10.0, 10.0]]
    """
    area = as_area(region)
    spots = _distinct(points)
    if area.is_empty or len(spots) < 2:
        return Drawing(pen=pen)
    corners, borders, _ = _diagram(spots, area)
    block = np.sort(borders, axis=1)
    return Drawing(corners[block], pen=pen).clipped(area)


def voronoi_cells(points: ArrayLike, region: RegionLike) -> list[Polygon | MultiPolygon]:
    """The Voronoi cells of points within a region: what is nearer to each point than to all others.

    Parameters
    ----------
    points : array-like, shape (n, 2)
        Points in mm, inside the region or not.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area that cells are cut to.

    Returns
    -------
    list of Polygon or MultiPolygon
        n areas in the order of the points; empty ones where a cell has no part in the region, and
        for all but the first of several points that share a place.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    G. Voronoï, *Nouvelles applications des paramètres continus à la théorie des formes
    quadratiques*, Journal für die reine und angewandte Mathematik 134, 1908 (from memory).

    Examples
    --------
    >>> from shapely import box
    >>> [cell.area for cell in voronoi_cells([(5, 5), (15, 5)], box(0, 0, 20, 10))]
    [100.0, 100.0]
    """
    area = as_area(region)
    given = checks.points("points", points, least=0)
    cells: list[Polygon | MultiPolygon] = [Polygon()] * len(given)
    if area.is_empty or not len(given):
        return cells
    _, first = np.unique(given, axis=0, return_index=True)
    first = np.sort(first)
    corners, _, outlines = _diagram(given[first], area)
    shapely.prepare(area)
    whole = np.array([Polygon(corners[outline]) for outline in outlines])
    cut = np.where(shapely.contains(area, whole), whole, shapely.intersection(whole, area))
    for k, cell in zip(first, cut, strict=True):
        cells[k] = as_area(cell)
    return cells


def delaunay(points: ArrayLike, region: RegionLike, *, pen: Pen | None = None) -> Drawing:
    """The Delaunay triangulation of points: the sides of its triangles, each drawn once and cut by
    the region.

    Parameters
    ----------
    points : array-like, shape (n, 2)
        Points in mm. Those that share a place count as one; points on one line are joined in a row.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        A stroke for each side.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    B. Delaunay, *Sur la sphère vide*, Bulletin de l'Académie des Sciences de l'URSS, 1934 (from
    memory).

    Examples
    --------
    >>> from shapely import box
    >>> len(delaunay([(0, 0), (10, 0), (0, 10), (9, 9)], box(0, 0, 10, 10)))
    5
    """
    area = as_area(region)
    spots = _distinct(points)
    if area.is_empty or len(spots) < 2:
        return Drawing(pen=pen)
    return Drawing(spots[_sides(spots)], pen=pen).clipped(area)


def _sides(spots: FloatArray) -> IntArray:
    from scipy.spatial import Delaunay, QhullError

    in_row = np.stack([np.arange(len(spots) - 1), np.arange(1, len(spots))], axis=1)
    if len(spots) < 3:
        return in_row
    try:
        corners = Delaunay(spots - spots.mean(axis=0)).simplices
    except QhullError:  # all on one line
        return in_row
    pairs = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    return np.unique(np.sort(pairs, axis=1), axis=0)


def _distinct(points: ArrayLike) -> FloatArray:
    return np.unique(checks.points("points", points, least=0), axis=0)


def _diagram(
    spots: FloatArray, area: Polygon | MultiPolygon
) -> tuple[FloatArray, IntArray, list[list[int]]]:
    """Corners, borders between two of the points (m, 2), and the outline of each point's cell."""
    from scipy.spatial import Voronoi

    low = np.minimum(spots.min(axis=0), area.bounds[:2])
    high = np.maximum(spots.max(axis=0), area.bounds[2:])
    middle = (low + high) / 2
    size = float((high - low).max()) or 1.0
    turn = np.arange(8) * np.pi / 4 + 0.1
    helpers = _FAR * size * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    diagram = Voronoi(np.concatenate([spots - middle, helpers]))
    between = (diagram.ridge_points < len(spots)).all(axis=1)
    borders = np.array(diagram.ridge_vertices, dtype=np.int64)[between]
    outlines = [diagram.regions[k] for k in diagram.point_region[: len(spots)]]
    return diagram.vertices + middle, borders[(borders >= 0).all(axis=1)], outlines
