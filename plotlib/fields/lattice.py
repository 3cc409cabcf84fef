"""The published gradient noise on its lattice of cells: numbers and exact slopes, vectorised in
blocks of rows.

K. Perlin, *Improving Noise*, SIGGRAPH 2002: quintic fade, twelve edge directions (four of them
twice), a permutation of 0 … 255.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray

# The permutation printed with the paper's reference program, two hexadecimal digits a number.
_TABLE = (
    "97a0895b5a0f830dc95f6035c2e907e18c24671e458e086325f0150a17be0694f778ea4b001ac53e5efcdbcb75230b2039b12158ed953857ae147d88aba844af"
    "4aa547868b301ba64d929ee7536fe57a3cd385e6dc695c29372ef528f4668f3641193fa101d85049d14c84bbd05912a9c8c4878274bc9f56a4646dc6adba0340"
    "34d9e2fa7c7b05ca2693767eff5255d4cfce3be32f103a11b6bd1c2adfb7aad577f898022c9aa346dd99659ba72bac09811627fd13626c6e4f71e0e8b2b97068"
    "daf661e4fb22f2c1eed2900cbfb3a2f1513391ebf90eef6b31c0d61fb5c76a9db854ccb07379322d7f0496fe8aeccd5dde72431d1848f38d80c34e42d73d9cb4"
)
PUBLISHED = np.frombuffer(bytes.fromhex(_TABLE), np.uint8).astype(np.int64)

# The sixteen directions of the paper: the middles of a cube's twelve edges, four of them twice.
_X = (1, -1, 1, -1, 1, -1, 1, -1, 0, 0, 0, 0, 1, 0, -1, 0)
_Y = (1, 1, -1, -1, 0, 0, 0, 0, 1, -1, 1, -1, 1, -1, 1, -1)
_Z = (0, 0, 0, 0, 1, 1, -1, -1, 1, 1, -1, -1, 0, 1, 0, -1)
DIRECTIONS = np.array([_X, _Y, _Z], np.float64).T

_BLOCK = 16_384  # numbers worked on at once, so that the temporaries stay in the cache


class Plane(NamedTuple):
    """One layer of lattice points: its two hash steps folded into tables of the directions'
    parts.
    """

    first: IntArray  # (257,) the permutation, wrapped once
    along_x: FloatArray  # (512,)
    along_y: FloatArray  # (512,)
    # (512,) the part along z times the height above the layer; None on the layer itself
    lift: FloatArray | None
    period: tuple[int, int]


def plane(
    permutation: IntArray,
    directions: FloatArray,
    layer: int,
    height: float,
    period: tuple[int, int],
) -> Plane:
    """The tables of lattice layer ``layer``, seen from ``height`` (0 … 1 above it, or below when
    negative).
    """
    twice = np.concatenate([permutation, permutation])
    chosen = directions[twice[twice + (layer & 255)] & 15]
    columns = [np.ascontiguousarray(chosen[:, k]) for k in range(3)]
    return Plane(twice, columns[0], columns[1], columns[2] * height if height else None, period)


def fade(t: Any) -> Any:
    """6t⁵ − 15t⁴ + 10t³."""
    return t * t * t * (t * (t * 6.0 - 15.0) + 10.0)


def fade_slope(t: Any) -> Any:
    """30t⁴ − 60t³ + 30t²."""
    return 30.0 * t * t * (t * (t - 2.0) + 1.0)


def noise(
    layers: tuple[Plane, ...], weight: float, x: FloatArray, y: FloatArray, *, slopes: bool
) -> tuple[FloatArray, ...]:
    """The noise at (x, y), in cells, between one or two layers blended by ``weight``; with
    ``slopes`` those along x and y after it.
    """
    shape = np.broadcast_shapes(x.shape, y.shape)
    results = tuple(np.empty(shape) for _ in range(3 if slopes else 1))
    if not shape:
        parts = _blended(layers, weight, x.reshape(1), y.reshape(1), slopes)
        return tuple(np.asarray(part[0]) for part in parts)
    rows = max(1, _BLOCK // max(1, int(np.prod(shape[1:]))))
    for start in range(0, shape[0], rows):
        cut = slice(start, start + rows)
        parts = _blended(layers, weight, _rows(x, cut, shape), _rows(y, cut, shape), slopes)
        for result, part in zip(results, parts, strict=True):
            result[cut] = part
    return results


def _rows(array: FloatArray, cut: slice, shape: tuple[int, ...]) -> FloatArray:
    """The rows ``cut`` of an array that broadcasts to ``shape``; what is the same for all rows
    stays as it is.
    """
    return array if array.ndim < len(shape) or array.shape[0] == 1 else array[cut]


def _blended(
    layers: tuple[Plane, ...], weight: float, x: FloatArray, y: FloatArray, slopes: bool
) -> tuple[FloatArray, ...]:
    parts = _in_layer(layers[0], x, y, slopes)
    if len(layers) == 1:
        return parts
    return tuple(
        low + weight * (high - low)
        for low, high in zip(parts, _in_layer(layers[1], x, y, slopes), strict=True)
    )


def _in_layer(layer: Plane, x: FloatArray, y: FloatArray, slopes: bool) -> tuple[FloatArray, ...]:
    """The noise of one layer: the four corners' slopes blended by the quintic fade."""
    left = np.floor(x)
    bottom = np.floor(y)
    x0 = x - left
    y0 = y - bottom
    x1 = x0 - 1.0
    y1 = y0 - 1.0
    corners = _corners(layer, left, bottom)
    offsets = ((x0, y0), (x1, y0), (x0, y1), (x1, y1))
    a, b, c, d = (
        gx * dx + gy * dy + lift for (gx, gy, lift), (dx, dy) in zip(corners, offsets, strict=True)
    )
    u = fade(x0)
    v = fade(y0)
    low = a + u * (b - a)
    high = c + u * (d - c)
    value = low + v * (high - low)
    if not slopes:
        return (value,)
    (ax, ay, _), (bx, by, _), (cx, cy, _), (dx, dy, _) = corners
    du = fade_slope(x0)
    low_x = ax + u * (bx - ax) + du * (b - a)
    high_x = cx + u * (dx - cx) + du * (d - c)
    low_y = ay + u * (by - ay)
    high_y = cy + u * (dy - cy)
    return (
        value,
        low_x + v * (high_x - low_x),
        low_y + v * (high_y - low_y) + fade_slope(y0) * (high - low),
    )


def _corners(
    layer: Plane, left: FloatArray, bottom: FloatArray
) -> list[tuple[FloatArray, FloatArray, FloatArray | float]]:
    """The published directions at the four corners of each point's cell, row by row, and their
    parts along z times the height.
    """
    i0, i1 = _cell(left, layer.period[0])
    j0, j1 = _cell(bottom, layer.period[1])
    first = layer.first[i0]
    second = layer.first[i1]
    return [
        (layer.along_x[k], layer.along_y[k], 0.0 if layer.lift is None else layer.lift[k])
        for k in (first + j0, second + j0, first + j1, second + j1)
    ]


def _cell(floor: FloatArray, period: int) -> tuple[IntArray, IntArray]:
    """The lattice columns left and right of each point, wrapped to the period and then to the
    table.
    """
    whole = np.mod(floor, period).astype(np.int64)
    following = np.where(whole + 1 == period, 0, whole + 1)
    return whole & 255, following & 255
