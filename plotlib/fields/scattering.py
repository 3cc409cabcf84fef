"""Points at random, none too near another; and points moved to the middles of their cells."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, Seed
from plotlib.drawing import RegionLike
from plotlib.fields.tessellation import voronoi_cells
from plotlib.fields.walls import walls_of

if TYPE_CHECKING:
    from plotlib.fields.walls_kernel import Walls

_MOST = 50_000_000  # cells of the search grid
_MOST_ROUNDED = 5_000_000  # cells of all rounds: some minutes
_STARTS = 64
_BUDGET = 20_000  # points grown from in one go: about a tenth of a second


def scattered(region: RegionLike, *, spacing: float, seed: Seed = 0) -> FloatArray:
    """Points (n, 2) at random in a region, every two at least ``spacing`` mm apart, with no room
    left for many more.

    References
    ----------
    R. Bridson, *Fast Poisson Disk Sampling in Arbitrary Dimensions*, SIGGRAPH 2007 sketch, 30 tries
    around each point.

    Examples
    --------
    >>> from shapely import box
    >>> bool(280 < len(scattered(box(0, 0, 100, 100), spacing=4.5)) < 380)
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
    parts = shapely.get_parts(area)
    middles = shapely.get_coordinates(
        shapely.point_on_surface(parts)
    )  # so that no part stays empty
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
    from plotlib.fields.scatter_kernel import COUNT, scattering, spread

    state = scattering(apart, width, height)
    while not spread(state, walls, random, starts, apart, _BUDGET):
        pass
    return state.found[: state.counts[COUNT]].copy()


def relaxed(points: ArrayLike, region: RegionLike, *, rounds: int = 5) -> FloatArray:
    """Points moved to the centroids of their Voronoi cells, ``rounds`` times, so that they spread
    evenly.

    S. P. Lloyd, *Least Squares Quantization in PCM*, IEEE Trans. Inf. Theory 28, 1982.

    Points that share a place are one; those whose cell has no part in the region go.
    """
    area = as_area(region)
    spots = checks.points("points", points, least=0)
    turns = checks.whole("rounds", rounds, low=0, high=10_000)
    most = _MOST_ROUNDED // max(1, len(spots))
    checks.affordable(
        "rounds",
        turns,
        float(turns) * len(spots),
        _MOST_ROUNDED,
        "cells",
        f"take {most:,} at most",
    )
    for _ in range(turns):
        cells = [cell for cell in voronoi_cells(spots, area) if not cell.is_empty]
        spots = shapely.get_coordinates(shapely.centroid(cells)) if cells else np.empty((0, 2))
    return spots
