"""The coverage that a picture wants, on square cells; what every maker starts from."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.images.ink import InkModel
from plotlib.images.tone import Extent, Tone

_MOST = 16_000_000  # cells


class Wanted(NamedTuple):
    """Coverage (rows, columns), 0 … 1, of cells over a rectangle; row 0 is the lowest."""

    values: FloatArray
    left: float
    bottom: float
    cell_x: float
    cell_y: float

    @property
    def extent(self) -> Extent:
        """Left, bottom, right and top in mm."""
        rows, columns = self.values.shape
        right = self.left + columns * self.cell_x
        top = self.bottom + rows * self.cell_y
        return self.left, self.bottom, right, top

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in mm."""
        rows, columns = self.values.shape
        return columns * self.cell_x, rows * self.cell_y

    def replaced(self, values: FloatArray) -> Wanted:
        """Other numbers for the same cells."""
        return self._replace(values=np.ascontiguousarray(values))


def wanted(tone: Tone, ink: InkModel, step: float) -> Wanted:
    """The coverage for a tone, on cells of ``step`` mm or a little less; fewer and larger ones
    where they would be more than 16 million.
    """
    left, bottom, right, top = tone.extent
    width = right - left
    height = top - bottom
    step = max(step, math.sqrt(width * height / _MOST))
    columns = max(1, math.ceil(width / step - 1e-9))
    rows = max(1, math.ceil(height / step - 1e-9))
    values = np.asarray(ink.coverage(averaged(tone.values, rows, columns)))
    return Wanted(values, left, bottom, width / columns, height / rows)


def averaged(values: FloatArray, rows: int, columns: int) -> FloatArray:
    """The means of a picture over the cells of another grid on the same rectangle: exact means of
    its square pixels where the cells are larger, straight lines between their middles elsewhere.
    """
    values = _along(values, rows, 0)
    return np.clip(_along(values, columns, 1), 0.0, 1.0)


def _along(values: FloatArray, count: int, axis: int) -> FloatArray:
    given = values.shape[axis]
    if count == given:
        return values
    if count > given:
        places = (np.arange(count) + 0.5) * given / count - 0.5
        held = np.clip(places, 0.0, given - 1.0)
        low = np.minimum(held.astype(np.int64), max(given - 2, 0))
        share = held - low
    else:
        sums = np.cumsum(values, axis=axis)
        sums = np.insert(sums, 0, 0.0, axis=axis)
        edges = np.arange(count + 1) * given / count
        low = np.minimum(edges.astype(np.int64), given - 1)
        share = edges - low
        values = sums
    shape = [1, 1]
    shape[axis] = -1
    high = np.minimum(low + 1, values.shape[axis] - 1)
    share = share.reshape(shape)
    taken = np.take(values, low, axis)
    taken = taken + share * (np.take(values, high, axis) - taken)
    if count > given:
        return np.asarray(taken)
    return np.asarray(np.diff(taken, axis=axis) * count / given)


def affordable(count: float, most: float, what: str, tone: Tone) -> None:
    """Refuse a tone that would make more than ``most`` of ``what``."""
    left, bottom, right, top = tone.extent
    checks.affordable(
        "tone",
        right - left,
        count,
        most,
        f"{what} on {right - left:g} x {top - bottom:g} mm",
        "take a smaller rectangle, a wider pen or a lighter tone",
    )


def as_numbers(tone: Tone) -> Any:
    """The pixels with row 0 on top, as pictures have them."""
    return tone.values[::-1]
