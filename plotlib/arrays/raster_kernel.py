"""Strokes of a round pen as bits: in each pixel some rows of eight samples."""

from __future__ import annotations

from math import ceil, floor, inf, sqrt

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled


@compiled
def counted(bits: NDArray[np.uint8], side: int, ones: NDArray[np.uint8]) -> NDArray[np.float32]:
    """The share of set bits in each pixel of ``side`` rows; ``ones`` counts those of a byte."""
    rows = bits.shape[0] // side
    columns = bits.shape[1]
    share = np.zeros((rows, columns), np.float32)
    weight = np.float32(1 / (8 * side))
    for row in range(bits.shape[0]):
        for column in range(columns):
            share[row // side, column] += ones[bits[row, column]] * weight
    return share


@compiled
def mark(
    points: FloatArray,
    offsets: IntArray,
    radius: float,
    shifts: FloatArray,
    bits: NDArray[np.uint8],
) -> None:
    """Set each bit of ``bits`` (rows, columns) whose sample a segment or dot comes within
    ``radius`` of; lengths in pixels, y down.

    A pixel has as many rows as there are ``shifts``: sample ``i`` of row ``j`` lies at ``((i + 0.5
    + shifts[j]) / 8, (j + 0.5) / rows)``. On each row what a round pen covers along one segment is
    one run of bits, because that shape is convex: it spans the ends' discs and the segment's two
    parallel edges.
    """
    side = len(shifts)
    rows = bits.shape[0]
    last_bit = 8 * bits.shape[1] - 1
    for stroke in range(len(offsets) - 1):
        first = offsets[stroke]
        last = offsets[stroke + 1] - 1
        for k in range(first, max(last, first + 1)):
            near = k
            far = min(k + 1, last)
            if points[near, 1] > points[far, 1]:
                near, far = far, near
            ax = points[near, 0]
            ay = points[near, 1]
            bx = points[far, 0]
            by = points[far, 1]
            if (
                by < -radius
                or ay > rows / side + radius
                or max(ax, bx) < -radius
                or min(ax, bx) > bits.shape[1] + radius
            ):
                continue
            dx = bx - ax
            dy = by - ay
            length = sqrt(dx * dx + dy * dy)
            slope = dx / dy if dy > 0.0 else 0.0
            across = radius * dy / length if length > 0.0 else 0.0
            along = radius * dx / length if length > 0.0 else 0.0
            top = int(max(0.0, ceil((ay - radius) * side - 0.5)))
            bottom = int(min(rows - 1.0, floor((by + radius) * side - 0.5)))
            for row in range(top, bottom + 1):
                y = (row + 0.5) / side
                left = inf
                right = -inf
                square = radius * radius - (y - ay) * (y - ay)
                if square >= 0.0:
                    half = sqrt(square)
                    left = ax - half
                    right = ax + half
                square = radius * radius - (y - by) * (y - by)
                if square >= 0.0:
                    half = sqrt(square)
                    left = min(left, bx - half)
                    right = max(right, bx + half)
                step = y - ay + along  # down the right edge, from a + (across, -along)
                if dy > 0.0 and 0.0 <= step <= dy:
                    right = max(right, ax + across + step * slope)
                step = y - ay - along  # down the left edge, from a - (across, -along)
                if dy > 0.0 and 0.0 <= step <= dy:
                    left = min(left, ax - across + step * slope)
                shift = 0.5 + shifts[row % side]
                begin = int(max(0.0, ceil(8.0 * left - shift)))
                end = int(min(float(last_bit), floor(8.0 * right - shift)))
                if begin > end:
                    continue
                head = np.uint8(0xFF >> (begin & 7))
                tail = np.uint8((0xFF00 >> ((end & 7) + 1)) & 0xFF)
                from_byte = begin >> 3
                to_byte = end >> 3
                if from_byte == to_byte:
                    bits[row, from_byte] |= head & tail
                    continue
                bits[row, from_byte] |= head
                for byte in range(from_byte + 1, to_byte):
                    bits[row, byte] = 0xFF
                bits[row, to_byte] |= tail
