"""What lies below the ink of a picture, pixel by pixel: bed, paper, the strip of a ruler."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.areas import is_rectangle
from plotlib.checks import FloatArray, IntArray
from plotlib.preview.light import Light

_FINE = 4  # samples across a pixel and up it, along an edge that slants


@dataclass(frozen=True)
class Ground:
    """An area in one colour.

    Attributes
    ----------
    box : (slice, slice) or None
        The rows and columns of a rectangle that lies straight, its edges rounded to whole pixels.
    edges : ndarray (E, 4) of float64
        The edges x0, y0, x1, y1 of another area, in pixels, y down.
    light : ndarray (3,)
        Its colour in linear light.
    """

    box: tuple[slice, slice] | None
    edges: FloatArray
    light: Light

    @staticmethod
    def of(
        area: Polygon | MultiPolygon, corner: tuple[float, float], scale: float, light: Light
    ) -> Ground:
        """An area in mm; ``corner`` is the picture's upper left one."""
        bounds = is_rectangle(area)
        if bounds is not None:
            return Ground(_box(bounds, corner, scale), np.zeros((0, 4)), light)
        parts = []
        for ring in shapely.get_rings(shapely.get_parts(area)):
            points = (shapely.get_coordinates(ring) - corner) * (scale, -scale)
            parts.append(np.hstack([points[:-1], points[1:]]))
        return Ground(None, np.concatenate(parts), light)

    def lay(self, band: Light, top: int) -> None:
        """Colour a band (rows, columns, 3) of the picture that begins at row ``top``."""
        if self.box is not None:
            rows, columns = self.box
            band[max(rows.start - top, 0) : max(rows.stop - top, 0), columns] = self.light
            return
        share = _share(self.edges, top, band.shape[:2])[..., None]
        band += (self.light - band) * share


def _box(
    bounds: tuple[float, float, float, float], corner: tuple[float, float], scale: float
) -> tuple[slice, slice]:
    left, bottom, right, top = bounds
    west, north = corner
    rows = slice(max(round((north - top) * scale), 0), max(round((north - bottom) * scale), 0))
    return rows, slice(max(round((left - west) * scale), 0), round((right - west) * scale))


def _share(edges: FloatArray, top: int, shape: tuple[int, int]) -> FloatArray:
    """How much (rows, columns) of each pixel lies inside, by the even-odd rule: each row of samples
    changes sides where an edge crosses it.
    """
    rows, columns = shape
    x0, y0, x1, y1 = (edges * _FINE).T
    low = _samples(np.minimum(y0, y1), top, rows)
    high = _samples(np.maximum(y0, y1), top, rows)
    edge = np.repeat(np.arange(len(edges)), high - low)
    first = np.repeat(np.cumsum(high - low) - (high - low), high - low)
    row = np.arange(len(edge)) - first + low[edge]
    y = top * _FINE + row + 0.5
    x = x0[edge] + (y - y0[edge]) / (y1 - y0)[edge] * (x1 - x0)[edge]
    column = np.clip(np.ceil(x - 0.5), 0, columns * _FINE).astype(np.int64)
    turns = np.zeros((rows * _FINE, columns * _FINE + 1), np.uint8)
    np.add.at(turns, (row, column), 1)
    inside = np.bitwise_xor.accumulate(turns[:, :-1] & 1, axis=1)
    share: FloatArray = inside.reshape(rows, _FINE, columns, _FINE).mean(axis=(1, 3))
    return share


def _samples(y: FloatArray, top: int, rows: int) -> IntArray:
    """The first row of samples of the band whose middle is not above y."""
    return np.clip(np.ceil(y - top * _FINE - 0.5), 0, rows * _FINE).astype(np.int64)
