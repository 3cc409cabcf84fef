"""The grid of points on which a field is asked for its numbers over an area."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue

_MOST = 50_000_000  # nodes; 400 MB of float64


class Grid(NamedTuple):
    """Evenly spaced nodes: ``x`` (columns,) and ``y`` (rows,) in mm."""

    x: FloatArray
    y: FloatArray

    @property
    def row(self) -> FloatArray:
        """``x`` with shape (1, columns), to broadcast against ``column``."""
        return self.x[None, :]

    @property
    def column(self) -> FloatArray:
        """``y`` with shape (rows, 1)."""
        return self.y[:, None]

    @property
    def first(self) -> tuple[float, float]:
        """The lowest and leftmost node (x, y)."""
        return float(self.x[0]), float(self.y[0])

    @property
    def cell(self) -> tuple[float, float]:
        """Width and height of the first cell."""
        return float(self.x[1]) - float(self.x[0]), float(self.y[1]) - float(self.y[0])


def over(bounds: tuple[float, float, float, float], step: float, *, margin: int = 0) -> Grid:
    """Nodes over ``bounds``, square cells of ``step`` mm at most, ``margin`` cells more on every
    side.
    """
    left, bottom, right, top = bounds
    sides = np.maximum(1.0, np.array([right - left, top - bottom]) / step - 1e-9)
    nodes = float(np.prod(sides + 1 + 2 * margin))
    checks.affordable(
        "step",
        step,
        nodes,
        _MOST,
        f"nodes over {right - left:g} x {top - bottom:g} mm",
        f"take {checks.two_digits(step * math.sqrt(nodes / _MOST))} mm or more",
    )
    cells = [math.ceil(side) for side in sides]
    return Grid(
        _axis(left, right, cells[0], margin, step), _axis(bottom, top, cells[1], margin, step)
    )


def _axis(low: float, high: float, cells: int, margin: int, step: float) -> FloatArray:
    size = (high - low) / cells if high > low else step
    return low + size * np.arange(-margin, cells + margin + 1, dtype=np.float64)


def values(field: Any, grid: Grid, name: str = "field") -> FloatArray:
    """The numbers (rows, columns) of a scalar field on the grid, or InvalidValue where one is not
    finite.
    """
    numbers = np.asarray(field(grid.row, grid.column), np.float64)
    finite = np.isfinite(numbers)
    if not finite.all():
        row, column = np.unravel_index(int(np.argmin(finite)), numbers.shape)
        raise InvalidValue(
            f"{name} is {numbers[row, column]} at ({grid.x[column]:g}, {grid.y[row]:g})", name=name
        )
    return numbers
