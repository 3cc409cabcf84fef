"""Fields from arrays, and fields sampled once: bicubic splines with a stated error."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray
from plotlib.drawing import RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields import grid
from plotlib.fields.scalar import ScalarField, as_scalar
from plotlib.fields.vector import VectorField

Extent = tuple[float, float, float, float]

_AT_ONCE = 200_000  # points that compiled code is asked for in one go: some hundredths of a second
_MARGIN = 10  # cells beyond the edge; 0.268 to this power is 2e-6


def _axis(low: float, high: float, count: int) -> FloatArray:
    return low + (high - low) / (count - 1) * np.arange(-_MARGIN, count + _MARGIN, dtype=np.float64)


def from_array(values: ArrayLike, extent: Extent) -> ScalarField:
    """A scalar field from numbers on a grid: a bicubic spline through them.

    Parameters
    ----------
    values : array-like, shape (rows, columns)
        At least 2 x 2 finite numbers. Row 0 is the lowest (smallest y); pictures, whose row 0 is
        the top, want ``values[::-1]``.
    extent : (float, float, float, float)
        Left, bottom, right and top in mm: where the first and last columns and rows stand.

    Returns
    -------
    ScalarField
        Outside the extent it keeps the number of the edge.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    M. Unser, A. Aldroubi, M. Eden, *B-Spline Signal Processing*, IEEE Transactions on Signal
    Processing 41, 1993 (from memory).

    Examples
    --------
    >>> field = from_array([[0, 1], [2, 3]], (0, 0, 10, 10))
    >>> round(field(5, 5), 9), round(field(10, 0), 9), round(field(99, 0), 9)
    (1.5, 1.0, 1.0)
    """
    numbers = _numbers("values", values)
    left, bottom, right, top = _extent(extent)
    rows, columns = numbers.shape
    cells = grid.Grid(_axis(left, right, columns), _axis(bottom, top, rows))
    return _spline(
        cells,
        np.pad(numbers, _MARGIN, mode="reflect", reflect_type="odd"),
        (left, bottom, right, top),
    )


def from_arrays(u: ArrayLike, v: ArrayLike, extent: Extent) -> VectorField:
    """A vector field from its parts along x and y on a grid, each a bicubic spline.

    Parameters
    ----------
    u, v : array-like, shape (rows, columns)
        At least 2 x 2 finite numbers, both of the same shape; row 0 is the lowest.
    extent : (float, float, float, float)
        Left, bottom, right and top in mm: where the first and last columns and rows stand.

    Returns
    -------
    VectorField
        Outside the extent it keeps the vector of the edge.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    Examples
    --------
    >>> field = from_arrays([[1, 1], [1, 1]], [[0, 2], [0, 2]], (0, 0, 10, 10))
    >>> [round(part, 9) for part in field(5, 5)]
    [1.0, 1.0]
    """
    first = from_array(u, extent)
    second = from_array(v, extent)
    if np.shape(u) != np.shape(v):
        raise InvalidValue(
            f"u and v need the same shape, got {np.shape(u)} and {np.shape(v)}", name="v"
        )
    return VectorField(lambda x, y: (first(x, y), second(x, y)))


def sampled(field: ScalarField, region: RegionLike, *, step: float) -> ScalarField:
    """A field asked once on a grid, with a bicubic spline through its numbers from then on: for
    fields that are slow to ask.

    Parameters
    ----------
    field : ScalarField
        The field.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        Where it will be asked; the grid covers its box.
    step : float
        Distance in mm between nodes, > 0.

    Returns
    -------
    ScalarField
        Its ``error`` is the largest difference found in the middles of the cells. Outside the
        region's box it keeps the number of the edge.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the region is empty, the field is not finite somewhere on the
        grid, or the grid has more than 50 million nodes.

    References
    ----------
    M. Unser, A. Aldroubi, M. Eden, *B-Spline Signal Processing*, IEEE Transactions on Signal
    Processing 41, 1993 (from memory).

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.fields.perlin import perlin
    >>> fast = sampled(perlin(scale=20), box(0, 0, 100, 100), step=1)
    >>> 0 < fast.error < 0.001
    True
    """
    field = as_scalar("field", field)
    area = as_area(region)
    if area.is_empty:
        raise InvalidValue("a field cannot be sampled over an empty area")
    nodes = grid.over(area.bounds, checks.positive("step", step, unit="mm"), margin=_MARGIN)
    made = _spline(nodes, grid.values(field, nodes), area.bounds)
    inner = slice(_MARGIN, -_MARGIN)
    middles = grid.Grid(
        (nodes.x[1:] + nodes.x[:-1])[inner] / 2, (nodes.y[1:] + nodes.y[:-1])[inner] / 2
    )
    made.error = float(
        np.abs(made(middles.row, middles.column) - field(middles.row, middles.column)).max()
    )
    return made


def _spline(nodes: grid.Grid, numbers: FloatArray, box: Extent) -> ScalarField:
    """Nodes must reach ``_MARGIN`` cells beyond the box: what the ends of a spline do wrong has
    faded there.
    """
    from scipy.ndimage import spline_filter

    from plotlib.fields.spline_kernel import Spline, jets, values

    coefficients = spline_filter(numbers, order=3, mode="mirror")
    spline = Spline(coefficients, *nodes.first, *nodes.cell, *box)

    def value(x: FloatArray, y: FloatArray) -> FloatArray:
        across, up = np.broadcast_arrays(x, y)
        xs = across.ravel()
        ys = up.ravel()
        numbers = np.empty(len(xs))
        for cut in _slices(len(xs)):
            numbers[cut] = values(spline, xs[cut], ys[cut])
        return numbers.reshape(across.shape)

    def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        across, up = np.broadcast_arrays(x, y)
        xs = across.ravel()
        ys = up.ravel()
        parts = np.empty((3, len(xs)))
        for cut in _slices(len(xs)):
            parts[:, cut] = jets(spline, xs[cut], ys[cut])
        f, fx, fy = parts.reshape((3, *across.shape))
        return f, fx, fy

    return ScalarField(value, jet)


def _slices(count: int) -> Iterator[slice]:
    """Cuts of an array between which Ctrl-C is heard."""
    for start in range(0, count, _AT_ONCE):
        yield slice(start, start + _AT_ONCE)


def _numbers(name: str, values: Any) -> FloatArray:
    array = checks.numbers(name, values, ndim=2)
    if min(array.shape) < 2:
        raise InvalidValue(
            f"{name} must have shape (rows, columns), at least 2 x 2; got {array.shape}", name=name
        )
    return array


def _extent(extent: Extent) -> Extent:
    is_four = isinstance(extent, (Sequence, np.ndarray)) and len(extent) == 4
    if is_four and not isinstance(extent, str):
        left, bottom = checks.point("extent", extent[:2])
        right, top = checks.point("extent", extent[2:])
        if left < right and bottom < top:
            return left, bottom, right, top
    raise InvalidValue(
        "extent must be (left, bottom, right, top) in mm with left < right and bottom < top, such "
        f"as the bounds of an area; got {extent!r:.200}",
        name="extent",
        value=extent,
    )
