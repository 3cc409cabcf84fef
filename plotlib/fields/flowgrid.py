"""Vector fields sampled once on a grid: a smooth spline in place of a formula, so that compiled
code can follow it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue
from plotlib.fields import grid
from plotlib.fields.vector import VectorField

if TYPE_CHECKING:
    from plotlib.fields.flow_kernel import Flow

_MARGIN = 10  # cells around the area: what a spline's ends do wrong has fallen to 2e-6 there
_MOST = 4_000_000  # nodes
_TURN = 0.5  # degrees that a sampled direction may be off, at 99 of 100 points
_PROBES = 4_000  # so that the worst hundredth are 40 points
_SLOWEST = 1e-9  # of the fastest speed: below it a point counts as critical


def sampled_flow(field: VectorField, area: Polygon | MultiPolygon, spacing: float) -> Flow:
    """A vector field sampled finely enough that 99 of 100 directions in the area are right within
    half a degree.

    No finer than half a spacing, as no line would show it, nor than memory allows.
    """
    left, bottom, right, top = area.bounds
    probes = np.random.default_rng(0).uniform((left, bottom), (right, top), (_PROBES, 2))
    shapely.prepare(area)
    probes = probes[shapely.contains_xy(area, probes[:, 0], probes[:, 1])]
    wanted = np.stack(field(probes[:, 0], probes[:, 1]), axis=1)
    cell = max(right - left, top - bottom) / 48
    while True:
        nodes = grid.over(area.bounds, cell, margin=_MARGIN)
        made = _sampled(field, nodes)
        too_many = 4 * len(nodes.x) * len(nodes.y) > _MOST
        if too_many or cell <= spacing / 2 or direction_error(made, probes, wanted) <= _TURN:
            return made
        cell /= 2


def direction_error(made: Flow, probes: FloatArray, wanted: FloatArray) -> float:
    """The angle in degrees that 99 of 100 sampled directions keep within."""
    from plotlib.fields.flow_kernel import directions

    if not len(probes):
        return 0.0
    found = directions(made, probes)
    cross = found[:, 0] * wanted[:, 1] - found[:, 1] * wanted[:, 0]
    dot = (found * wanted).sum(axis=1)
    return float(np.degrees(np.quantile(np.abs(np.arctan2(cross, dot)), 0.99)))


def _sampled(field: VectorField, nodes: grid.Grid) -> Flow:
    from plotlib.fields.flow_kernel import Flow

    coefficients, fastest = _coefficients(field, nodes)
    return Flow(coefficients, *nodes.first, *nodes.cell, _SLOWEST * fastest)


def _coefficients(field: VectorField, nodes: grid.Grid) -> tuple[FloatArray, float]:
    from scipy.ndimage import spline_filter

    u, v = field(nodes.row, nodes.column)
    if not (np.isfinite(u).all() and np.isfinite(v).all()):
        row, column = np.argwhere(~(np.isfinite(u) & np.isfinite(v)))[0]
        raise InvalidValue(
            f"the vector field is ({u[row, column]}, {v[row, column]}) at ({nodes.x[column]:g}, "
            f"{nodes.y[row]:g})"
        )
    fastest = float(np.sqrt((u * u + v * v).max()))
    return np.stack(
        [spline_filter(part, order=3, mode="mirror") for part in (u, v)], axis=2
    ), fastest
