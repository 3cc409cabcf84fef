"""A distance that may change from place to place, as a map that kernels can read."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.checks import BoolArray, FloatArray
from plotlib.errors import InvalidValue
from plotlib.fields import ScalarField

_FINEST = 400  # cells along the longer side
_RATIO = 8.0  # of the largest to the least: neighbours are looked for at the largest


class Reaches(NamedTuple):
    """A distance in mm over the bounds of an area."""

    values: FloatArray  # (rows, columns), each within least … largest
    origin: FloatArray  # (4,): left, bottom, width and height of a cell
    least: float
    largest: float
    inverse_squares: float  # the integral of 1 / distance² over the area


def reaches(name: str, given: float | ScalarField, area: Polygon | MultiPolygon) -> Reaches:
    """The map of a number or a field that is above 0 in the area."""
    left, bottom, right, top = area.bounds
    if not isinstance(given, ScalarField):
        value = checks.positive(name, given, unit="mm")
        origin = np.array([left, bottom, right - left, top - bottom])
        squares = area.area / max(value**2, 1e-300)
        return Reaches(np.full((1, 1), value), origin, value, value, squares)
    side = max(right - left, top - bottom) / _FINEST
    columns = max(1, int(np.ceil((right - left) / side)))
    rows = max(1, int(np.ceil((top - bottom) / side)))
    origin = np.array([left, bottom, (right - left) / columns, (top - bottom) / rows])
    x, y = np.meshgrid(
        left + origin[2] * (np.arange(columns) + 0.5), bottom + origin[3] * (np.arange(rows) + 0.5)
    )
    inside = _near(area, x, y, side)
    found = np.broadcast_to(np.asarray(given(x, y), np.float64), x.shape)
    wrong = inside & ~((found > 0) & np.isfinite(found))
    if wrong.any():
        j, i = np.argwhere(wrong)[0]
        raise InvalidValue(
            f"{name} is {found[j, i]:g} mm at ({x[j, i]:g}, {y[j, i]:g}); keep it above 0 in the "
            f"area, with .maximum(…)",
            name=name,
        )
    least = float(found[inside].min())
    largest = float(found[inside].max())
    if largest > _RATIO * least:
        raise InvalidValue(
            f"{name} goes from {least:g} to {largest:g} mm, more than {_RATIO:g} times; keep it "
            f"closer together, with .maximum(…) or .minimum(…)",
            name=name,
        )
    values = np.clip(np.where(inside, found, largest), least, largest)
    per_cell = np.where(inside, 1 / np.maximum(values, 1e-100) ** 2, 0.0).sum() / inside.sum()
    return Reaches(values, origin, least, largest, float(per_cell) * area.area)


def _near(area: Polygon | MultiPolygon, x: FloatArray, y: FloatArray, side: float) -> BoolArray:
    """Which cells touch the area."""
    shapely.prepare(area)
    half = side / 2
    cells = shapely.box(x - half, y - half, x + half, y + half)
    return np.asarray(shapely.intersects(area, cells), np.bool_)
