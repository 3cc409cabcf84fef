"""Flow around obstacles: it slides along their edges."""

from __future__ import annotations

import numpy as np
import shapely

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray
from plotlib.drawing import RegionLike
from plotlib.fields.distance import distance
from plotlib.fields.scalar import ScalarField, as_scalar, constant
from plotlib.fields.vector import VectorField, as_vector


def around(field: VectorField, region: RegionLike, *, within: float) -> VectorField:
    """A flow that slides along the edge of a region: towards the edge it loses the part that would
    cross it.

    Parameters
    ----------
    field : VectorField
        The flow.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The obstacles.
    within : float
        Distance in mm from the edge at which the flow begins to turn, > 0.

    Returns
    -------
    VectorField
        The flow without its part across the edge: all of it on the edge and inside, less and less
        of it farther out, nothing from ``within`` on.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the region is empty.

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.fields.flows import uniform
    >>> wall = around(uniform(-45), box(-50, -10, 50, 0), within=5)
    >>> u, v = wall(0, 1e-9)
    >>> abs(v) < 1e-8, round(u, 6)
    (True, 0.707107)
    """
    field = as_vector("field", field)
    apart = distance(region)
    reach = checks.positive("within", within, unit="mm")

    def vectors(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        u, v = field(x, y)
        far, nx, ny = apart.jet(x, y)
        lost = (1.0 - _ramp(np.clip(far / reach, 0.0, 1.0))) * (u * nx + v * ny)
        return u - lost * nx, v - lost * ny

    return VectorField(vectors)


def held(field: ScalarField, region: RegionLike, *, within: float) -> ScalarField:
    """A scalar field held to one number on each part of a region, so that its curl slides along the
    edges and still has no divergence.

    Parameters
    ----------
    field : ScalarField
        The stream function.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The obstacles. Each part keeps the mean that the field has on its outer edge.
    within : float
        Distance in mm from an edge within which the field changes, > 0; less where the next part is
        nearer.

    Returns
    -------
    ScalarField

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    R. Bridson, J. Hourihan, M. Nordenstam, *Curl-Noise for Procedural Fluid Flow*, SIGGRAPH 2007:
    the ramp (15t - 10t³ + 3t⁵) / 8.

    Examples
    --------
    >>> from shapely import Point
    >>> from plotlib.fields.simple import ramp
    >>> stream = held(ramp(90), Point(0, 3).buffer(10, 64), within=8)
    >>> round(stream(0, 3), 6), round(stream(0, 13), 6), stream(0, 22)
    (3.0, 3.0, 22.0)
    """
    field = as_scalar("field", field)
    reach = checks.positive("within", within, unit="mm")
    parts = [part for part in shapely.get_parts(as_area(region)) if not part.is_empty]
    for k, part in enumerate(parts):
        others = [other for j, other in enumerate(parts) if j != k]
        gap = min((float(shapely.distance(part, other)) for other in others), default=reach)
        level = constant(_mean_on(field, part))
        field = level + _nearness(part, min(reach, max(gap, 1e-3))) * (field - level)
    return field


def _mean_on(field: ScalarField, part: shapely.Polygon) -> float:
    ring = part.exterior
    spots = shapely.get_coordinates(
        shapely.line_interpolate_point(ring, np.linspace(0, ring.length, 256, endpoint=False))
    )
    return float(np.mean(field(spots[:, 0], spots[:, 1])))


def _nearness(part: shapely.Polygon, reach: float) -> ScalarField:
    """0 on the part, 1 from ``reach`` mm on; only points near its box ask shapely."""
    apart = distance(part)
    left, bottom, right, top = part.bounds

    def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        across, up = np.broadcast_arrays(x, y)
        near = (
            (across > left - reach)
            & (across < right + reach)
            & (up > bottom - reach)
            & (up < top + reach)
        )
        value = np.ones(across.shape)
        along_x = np.zeros(across.shape)
        along_y = np.zeros(across.shape)
        far, nx, ny = apart.jet(across[near], up[near])
        t = np.clip(far / reach, 0.0, 1.0)
        slope = np.where((far > 0) & (far < reach), (15 - 30 * t**2 + 15 * t**4) / 8 / reach, 0.0)
        value[near] = _ramp(t)
        along_x[near] = slope * nx
        along_y[near] = slope * ny
        return value, along_x, along_y

    return ScalarField(lambda x, y: jet(x, y)[0], jet)


def _ramp(t: FloatArray) -> FloatArray:
    return t * (15 - 10 * t**2 + 3 * t**4) / 8
