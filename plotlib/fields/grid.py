"""The grid of points on which a field is asked for its numbers over an area."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

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


def over(bounds: tuple[float, float, float, float], step: float, *, margin: int = 0) -> Grid:
    """Nodes over ``bounds``, square cells of ``step`` mm at most, ``margin`` cells more on every
    side.
    """
    left, bottom, right, top = bounds
    cells = [
        max(1, math.ceil((high - low) / step - 1e-9))
        for low, high in ((left, right), (bottom, top))
    ]
    nodes = (cells[0] + 1 + 2 * margin) * (cells[1] + 1 + 2 * margin)
    if nodes > _MOST:
        wanted = step * math.sqrt(nodes / _MOST)
        raise InvalidValue(
            f"a step of {step:g} mm makes {nodes:,} nodes over {right - left:g} x "
            f"{top - bottom:g} mm, more than {_MOST:,}; "
            f"take {wanted:.2g} mm or more",
            step=step,
        )
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
