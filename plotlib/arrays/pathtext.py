"""Ragged strokes on a grid as the text of SVG path data, digits made by array arithmetic."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from plotlib.arrays.ragged import closed, offsets_of
from plotlib.checks import IntArray

Bytes: TypeAlias = NDArray[np.uint8]

# So many points are turned into text at a time: the working memory is some 50 bytes for each.
_POINTS = 1 << 18


def path_text(
    units: IntArray, offsets: IntArray, *, decimals: int, relative: bool = False
) -> bytes:
    r"""Path data of strokes, one line each: ``M``, ``L`` and, for closed strokes, ``Z`` in the
    place of the last point.

    Parameters
    ----------
    units : ndarray, shape (N, 2), int64
        Points in whole units of the last decimal.
    offsets : ndarray, shape (M + 1,), int64
        Where each stroke begins, and the end.
    decimals : int
        How many decimals the units have; needless zeros are left out.
    relative : bool, default False
        Write steps (``l``) after the first point of each stroke. Shorter, but readers add up
        rounding errors unless the units are whole numbers.

    Returns
    -------
    bytes
        ASCII; each line ends with a line feed. A dot is a line of no length, which round caps make
        visible (SVG 2, chapter Paths, "zero-length path segments").

    Examples
    --------
    >>> path_text(np.array([[0, 0], [1500, -20], [7, 7]]), np.array([0, 2, 3]), decimals=3)
    b'M0 0L1.5-0.02\nM0.007 0.007L0.007 0.007\n'
    """
    rows, fresh, shut = _written_rows(units, offsets)
    values = np.ascontiguousarray(units[rows], dtype=np.int64)
    if relative:
        later = np.ones(len(values), np.bool_)
        later[fresh[:-1]] = False
        values[1:] -= np.where(later[1:, None], values[:-1].copy(), 0)
    lead = np.full((len(values), 2), ord(" "), np.uint8)
    lead[fresh[:-1], 0] = ord("M")
    second = fresh[:-1][np.diff(fresh) > 1] + 1
    lead[second, 0] = ord("l" if relative else "L")
    tail = np.zeros((len(values), 2, 2), np.uint8)
    tail[fresh[1:] - 1, 1, 1] = ord("\n")
    tail[(fresh[1:] - 1)[shut], 1, 0] = ord("Z")
    return b"".join(
        _numbers(
            values[at : at + _POINTS].ravel(),
            lead[at : at + _POINTS].ravel(),
            tail[at : at + _POINTS].reshape(-1, 2),
            decimals,
        )
        for at in range(0, len(values), _POINTS)
    )


def _written_rows(
    units: IntArray, offsets: IntArray
) -> tuple[IntArray, IntArray, NDArray[np.bool_]]:
    """The rows of the points that are written, their offsets, and which strokes end with Z: dots
    twice, ends of closed strokes not.
    """
    counts = np.diff(offsets)
    shut = closed(units, offsets)
    times = np.ones(len(units), np.int64)
    times[offsets[:-1][counts == 1]] = 2
    times[offsets[1:][shut] - 1] = 0
    return (
        np.repeat(np.arange(len(units)), times),
        offsets_of(np.where(counts == 1, 2, counts - shut)),
        shut,
    )


def _numbers(values: IntArray, lead: Bytes, tail: Bytes, decimals: int) -> bytes:
    """The text of each number between its leading byte and its two trailing bytes; zero bytes and
    needless blanks are left out.
    """
    size = np.abs(values)
    whole, part = np.divmod(size, 10**decimals) if decimals else (size, np.zeros_like(size))
    places = len(str(int(whole.max(initial=0))))
    text = np.zeros((len(values), 2 + places + 1 + decimals + 2), np.uint8)
    negative = values < 0
    text[:, 0] = np.where(negative & (lead == ord(" ")), 0, lead)
    text[:, 1] = np.where(negative, ord("-"), 0)
    for place in range(places):
        whole, digit = np.divmod(whole, 10) if place < places - 1 else (whole, whole)
        shown = (digit + whole > 0) | (place == 0)
        text[:, 1 + places - place] = np.where(shown, digit + ord("0"), 0)
    text[:, 2 + places] = np.where(part > 0, ord("."), 0)
    begun = np.zeros(len(values), np.bool_)
    for place in range(decimals):
        part, digit = np.divmod(part, 10)
        begun |= digit > 0
        text[:, 2 + places + decimals - place] = np.where(begun, digit + ord("0"), 0)
    text[:, -2:] = tail
    flat = text.ravel()
    written: bytes = flat[flat != 0].tobytes()
    return written
