"""The compiled scan for plain lines: an optional G0 or G1, then X, Y and F in this order, and
nothing else.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray
from plotlib.compiled import compiled, compiled_above

_DIGITS = 15  # as many as a float64 holds exactly, so that the quotient below is the nearest float
_POWERS = 10.0 ** np.arange(_DIGITS + 1)


@compiled
def _number(data: np.ndarray, at: int, end: int) -> tuple[float, int]:
    """A decimal number of ``data`` from ``at`` on and where it ends; that is ``at`` when there is
    none.
    """
    begun = at
    minus = False
    if at < end and (data[at] == 45 or data[at] == 43):
        minus = data[at] == 45
        at += 1
    whole = np.int64(0)
    digits = 0
    places = 0
    first = at
    while at < end and 48 <= data[at] <= 57:
        whole = whole * 10 + (np.int64(data[at]) - 48)
        digits = digits + 1
        at = at + 1
        if digits > _DIGITS:
            return 0.0, begun
    if at == first:
        return 0.0, begun
    if at < end and data[at] == 46:
        at += 1
        while at < end and 48 <= data[at] <= 57:
            whole = whole * 10 + (np.int64(data[at]) - 48)
            digits = digits + 1
            places = places + 1
            at = at + 1
            if digits > _DIGITS:
                return 0.0, begun
    value = whole / _POWERS[places]
    return (-value if minus else value), at


@compiled
def _word(data: np.ndarray, letter: int, at: int, end: int) -> tuple[float, int]:
    """The number after ``letter``, and where the word ends, one blank after it included."""
    if at >= end or data[at] != letter:
        return np.nan, at
    value, after = _number(data, at + 1, end)
    if after == at + 1:
        return np.nan, at
    if after < end and data[after] == 32:
        after += 1
    return value, after


@compiled_above(4_000)
def scan(data: np.ndarray, count: int) -> tuple[np.ndarray, FloatArray, FloatArray, FloatArray]:
    """Of each of ``count`` lines: its kind (0 without motion word, 1 G0, 2 G1; not plain: -1, or
    -2 without the letters X and Y) and X, Y, F (not a number where absent).
    """
    kind = np.full(count, -1, np.int8)
    x = np.full(count, np.nan)
    y = np.full(count, np.nan)
    feed = np.full(count, np.nan)
    start = 0
    size = len(data)
    for line in range(count):
        end = start
        leads = False
        while end < size and data[end] != 10:
            leads = leads or data[end] == 88 or data[end] == 89
            end += 1
        at = start
        word = np.int64(0)
        if at + 1 < end and data[at] == 71:
            at += (
                2
                if data[at + 1] == 48
                and at + 2 < end
                and (data[at + 2] == 48 or data[at + 2] == 49)
                else 1
            )
            word = np.int64(data[at]) - 47
            at += 1
            if at < end and data[at] == 32:
                at += 1
        if 0 <= word <= 2:
            to_x, at = _word(data, 88, at, end)
            to_y, at = _word(data, 89, at, end)
            rate, at = _word(data, 70, at, end)
            if at == end and not (np.isnan(to_x) and np.isnan(to_y)) and not rate <= 0.0:
                kind[line] = word
                x[line] = to_x
                y[line] = to_y
                feed[line] = rate
        if kind[line] < 0 and not leads:
            kind[line] = -2
        start = end + 1
    return kind, x, y, feed
