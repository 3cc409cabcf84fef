"""Strokes of a round pen as counts in bits: in each pixel some rows of eight samples, and for each
sample how often the pen came over it.

Scan conversion of capsules (segments with round caps), each row of samples by one run of bits,
because a capsule is convex. A sample counts a pass when the pen comes to it, not as long as it
stays: of what a segment covers, that within reach of its first point was covered already by the
segment before it in its stroke. So fine steps and corners count once, and a stroke that crosses or
retraces itself counts twice.

Arrays
------
planes : uint8 (R, C, 3)
    Binary digits of the passes over each sample, lowest first, at most 7; R = rows of pixels times
    rows of samples in a pixel, C = columns of pixels, eight samples in a byte, the first in the
    highest bit.
touched : uint8 (rows, C)
    Not 0 where some sample of the pixel has a pass.

Invariant: after segment k of a stroke each sample has been counted once for each stretch of the way
up to there that lies within reach of it. Tested against ``slow_passes`` in
tests/arrays/test_raster.py.
"""

from __future__ import annotations

from math import ceil, floor, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled


class Reach(NamedTuple):
    """How far a capsule reaches beside its segment, which goes ``right`` (of either sign) and
    ``down`` (not negative).
    """

    right: float
    down: float
    slope: float
    across: float
    along: float
    square: float


@compiled
def _reach(right: float, down: float, radius: float) -> Reach:
    length = sqrt(right * right + down * down)
    if down > 0.0:
        across = radius * down / length
        along = radius * right / length
        return Reach(right, down, right / down, across, along, radius * radius)
    return Reach(right, 0.0, 0.0, 0.0, 0.0, radius * radius)


@compiled
def mark(
    points: FloatArray,
    offsets: IntArray,
    radius: float,
    shifts: FloatArray,
    planes: NDArray[np.uint8],
    touched: NDArray[np.uint8],
) -> None:
    """Count each pass of strokes, or dots, over the samples within ``radius``; lengths in pixels,
    y down.

    A pixel has as many rows as there are ``shifts``: sample ``i`` of row ``j`` lies at ``((i + 0.5
    + shifts[j]) / 8, (j + 0.5) / rows)``.
    """
    side = len(shifts)
    rows = planes.shape[0]
    columns = planes.shape[1]
    for stroke in range(len(offsets) - 1):
        first = offsets[stroke]
        last = offsets[stroke + 1] - 1
        for k in range(first, max(last, first + 1)):
            above = k
            below = min(k + 1, last)
            if points[above, 1] > points[below, 1]:
                above, below = below, above
            ax = points[above, 0]
            ay = points[above, 1]
            bx = points[below, 0]
            by = points[below, 1]
            if by < -radius or ay > rows / side + radius:
                continue
            if max(ax, bx) < -radius or min(ax, bx) > columns + radius:
                continue
            reach = _reach(bx - ax, by - ay, radius)
            top = int(max(0.0, ceil((ay - radius) * side - 0.5)))
            bottom = int(min(rows - 1.0, floor((by + radius) * side - 0.5)))
            pixels = top // side
            part = top - pixels * side - 1
            for row in range(top, bottom + 1):
                part += 1
                if part == side:
                    part = 0
                    pixels += 1
                y = (row + 0.5) / side
                left = -_edge(-ax, y, ay, reach, -1.0)
                right = _edge(ax, y, ay, reach, 1.0)
                shift = 0.5 + shifts[part]
                begin = int(max(0.0, ceil(8.0 * left - shift)))
                end = int(min(8.0 * columns - 1.0, floor(8.0 * right - shift)))
                before = end + 1
                after = end
                square = reach.square - (y - points[k, 1]) * (y - points[k, 1])
                # what lies round the first point was counted with the segment before
                if k > first and square >= 0.0:
                    half = sqrt(square)
                    before = int(max(0.0, ceil(8.0 * (points[k, 0] - half) - shift)))
                    after = floor(8.0 * (points[k, 0] + half) - shift)
                if begin < before and begin <= end:
                    _count(planes, touched, row, pixels, begin, min(end, before - 1))
                if after < end and begin <= end:
                    _count(planes, touched, row, pixels, max(begin, after + 1), end)


@compiled
def _edge(x: float, y: float, top: float, reach: Reach, turned: float) -> float:
    """Where the right edge of the capsule round a segment lies at height ``y``; the left one for
    ``turned`` -1, with x to the left.

    The segment begins at (x, top). The edge is an arc of the disc round its upper end, a straight
    piece from ``(across, -along)`` beside it, and an arc of the disc round its lower end.
    """
    along = reach.along * turned
    step = y - top + along
    if reach.down > 0.0 and 0.0 <= step <= reach.down:
        return x + reach.across + step * reach.slope * turned
    if reach.down > 0.0 and step > reach.down:
        top += reach.down
        x += reach.right * turned
    elif reach.down == 0.0:
        x += max(reach.right * turned, 0.0)
    return x + sqrt(max(reach.square - (y - top) * (y - top), 0.0))


@compiled
def _count(
    planes: NDArray[np.uint8],
    touched: NDArray[np.uint8],
    row: int,
    pixels: int,
    begin: int,
    end: int,
) -> None:
    """One pass more for the samples ``begin`` to ``end`` of a row in a row of pixels."""
    from_byte = begin >> 3
    to_byte = end >> 3
    for byte in range(from_byte, to_byte + 1):
        carry = 0xFF
        if byte == from_byte:
            carry = 0xFF >> (begin & 7)
        if byte == to_byte:
            carry &= (0xFF00 >> ((end & 7) + 1)) & 0xFF
        touched[pixels, byte] = 1
        for digit in range(3):
            old = int(planes[row, byte, digit])
            planes[row, byte, digit] = np.uint8(old ^ carry)
            carry &= old
            if not carry:
                break
        if carry:  # seven passes are as many as three digits hold
            for digit in range(3):
                planes[row, byte, digit] |= np.uint8(carry)


@compiled
def covered(planes: NDArray[np.uint8], side: int, ones: NDArray[np.uint8]) -> NDArray[np.float32]:
    """The share of samples with a pass in each pixel of ``side`` rows; ``ones`` counts bits."""
    rows = planes.shape[0] // side
    columns = planes.shape[1]
    share = np.zeros((rows, columns), np.float32)
    weight = np.float32(1 / (8 * side))
    for row in range(planes.shape[0]):
        for column in range(columns):
            byte = planes[row, column, 0] | planes[row, column, 1] | planes[row, column, 2]
            share[row // side, column] += ones[byte] * weight
    return share


@compiled
def held_back(
    planes: NDArray[np.uint8],
    touched: NDArray[np.uint8],
    side: int,
    ones: NDArray[np.uint8],
    loss: NDArray[np.float32],
    taps: NDArray[np.float32],
) -> NDArray[np.float32]:
    """How much of the light each pixel loses, (rows, columns, 3).

    ``loss`` (8, 3) is what so many passes take away from each colour. Each quarter of a pixel
    (``side / 2`` rows by 4 samples) is seen by the pixel and its eight neighbours, as the weights
    ``taps`` (6,) of half pixels say, from one and a half pixels before the centre to as far behind
    it, in both directions.
    """
    rows = touched.shape[0]
    columns = touched.shape[1]
    result = np.zeros((rows, columns, 3), np.float32)
    quarters = np.zeros((2, 3), np.float32)
    spread = np.zeros(3, np.float32)
    for row in range(rows):
        for column in range(columns):
            if not touched[row, column]:
                continue
            for half in range(2):
                _quarters(planes, side, row, half, column, ones, loss, quarters)
                for across in range(max(column - 1, 0), min(column + 2, columns)):
                    tap = 2 + 2 * (column - across)
                    for colour in range(3):
                        spread[colour] = (
                            taps[tap] * quarters[0, colour] + taps[tap + 1] * quarters[1, colour]
                        )
                    for down in range(max(row - 1, 0), min(row + 2, rows)):
                        weight = taps[2 + 2 * (row - down) + half]
                        for colour in range(3):
                            result[down, across, colour] += weight * spread[colour]
    return result


@compiled
def _quarters(
    planes: NDArray[np.uint8],
    side: int,
    row: int,
    half: int,
    column: int,
    ones: NDArray[np.uint8],
    loss: NDArray[np.float32],
    quarters: NDArray[np.float32],
) -> None:
    """Fill ``quarters`` (2, 3) with the mean loss of the left and the right quarter of one half of
    a pixel.
    """
    quarters[:] = np.float32(0.0)
    unit = np.float32(1 / (2 * side))
    begin = row * side + half * (side // 2)
    for line in range(begin, begin + side // 2):
        low = int(planes[line, column, 0])
        middle = int(planes[line, column, 1])
        high = int(planes[line, column, 2])
        if not (low | middle | high):
            continue
        for passes in range(1, 8):
            bits = 0xFF
            bits &= low if passes & 1 else ~low
            bits &= middle if passes & 2 else ~middle
            bits &= high if passes & 4 else ~high
            if bits:
                left = ones[bits >> 4] * unit
                right = ones[bits & 15] * unit
                for colour in range(3):
                    quarters[0, colour] += left * loss[passes, colour]
                    quarters[1, colour] += right * loss[passes, colour]
