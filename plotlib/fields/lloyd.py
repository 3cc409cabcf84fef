"""Lloyd relaxation: points moved to the middles of their Voronoi cells."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray
from plotlib.drawing import RegionLike
from plotlib.fields.tessellation import voronoi_cells

_MOST = 5_000_000  # cells of all rounds: some minutes


def lloyd(points: ArrayLike, region: RegionLike, *, rounds: int = 5) -> FloatArray:
    """Lloyd relaxation: points moved to the centroids of their Voronoi cells, again and again, so
    that they spread evenly.

    Parameters
    ----------
    points : array-like, shape (n, 2)
        Points in mm, inside the region or not.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area that cells are cut to.
    rounds : int, default 5
        How often they are moved, 0 … 10,000.

    Returns
    -------
    ndarray, shape (m, 2)
        The points after the last round. From the first round on, points that share a place count
        as one, and those whose cell has no part in the region are dropped.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or all rounds together have more than 5 million cells.

    References
    ----------
    S. P. Lloyd, *Least Squares Quantization in PCM*, IEEE Transactions on Information Theory 28,
    129-137, 1982.

    Examples
    --------
    >>> from shapely import box
    >>> lloyd([(1, 5), (9, 5)], box(0, 0, 20, 10), rounds=1).tolist()
    [[2.5, 5.0], [12.5, 5.0]]
    """
    area = as_area(region)
    spots = checks.points("points", points, least=0)
    turns = checks.whole("rounds", rounds, low=0, high=10_000)
    remedy = f"take {_MOST // max(1, len(spots)):,} at most"
    checks.affordable("rounds", turns, float(turns) * len(spots), _MOST, "cells", remedy)
    for _ in range(turns):
        cells = [cell for cell in voronoi_cells(spots, area) if not cell.is_empty]
        spots = shapely.get_coordinates(shapely.centroid(cells)) if cells else np.empty((0, 2))
    return spots
