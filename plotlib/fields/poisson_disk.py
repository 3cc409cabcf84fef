"""Poisson-disk sampling: points at random, no two of them too near each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, Seed
from plotlib.drawing import RegionLike
from plotlib.fields.walls import walls_of

if TYPE_CHECKING:
    from plotlib.fields.walls_kernel import Walls

_MOST = 50_000_000  # cells of the search grid: 400 MB, and as many points at 16 bytes each
_STARTS = 64  # random first points; those without room are skipped
_BUDGET = 20_000  # points grown from in one go: about a tenth of a second


def poisson_disk(region: RegionLike, *, spacing: float, seed: Seed = 0) -> FloatArray:
    """Poisson-disk sampling: random points in a region, no two nearer than ``spacing``, with
    hardly any room left for more.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; each of its parts gets at least one point where the distance allows.
    spacing : float
        Least distance in mm between neighbouring points, > 0.
    seed : int or numpy Generator, default 0
        Where the points lie.

    Returns
    -------
    ndarray, shape (n, 2)
        The points in mm, in the order in which they were found; none for an empty region.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or ``spacing`` is so small that the search would need more than
        50 million cells.

    References
    ----------
    R. Bridson, *Fast Poisson Disk Sampling in Arbitrary Dimensions*, SIGGRAPH 2007 sketch, with 30
    tries around each point.

    Examples
    --------
    >>> from shapely import box
    >>> bool(280 < len(poisson_disk(box(0, 0, 100, 100), spacing=4.5)) < 380)
    True
    """
    area = as_area(region)
    apart = checks.positive("spacing", spacing, unit="mm")
    random = checks.generator(seed)
    if area.is_empty:
        return np.empty((0, 2))
    left, bottom, right, top = area.bounds
    cells = 2 * ((right - left) / apart) * ((top - bottom) / apart)
    wanted = checks.two_digits(apart * (cells / _MOST) ** 0.5)
    checks.affordable("spacing", apart, cells, _MOST, "cells", f"take {wanted} mm or more")
    # one more start inside each part, so that no part stays empty
    middles = shapely.get_coordinates(shapely.point_on_surface(shapely.get_parts(area)))
    starts = np.concatenate([random.uniform((left, bottom), (right, top), (_STARTS, 2)), middles])
    return _spread(walls_of(area, apart), random, starts, apart, right - left, top - bottom)


def _spread(
    walls: Walls,
    random: np.random.Generator,
    starts: FloatArray,
    apart: float,
    width: float,
    height: float,
) -> FloatArray:
    """The compiled sampling in slices, between which Ctrl-C is heard."""
    from plotlib.fields.poisson_disk_kernel import COUNT, sampling, spread

    state = sampling(apart, width, height)
    while not spread(state, walls, random, starts, apart, _BUDGET):
        pass
    return state.found[: state.counts[COUNT]].copy()
