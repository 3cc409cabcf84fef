"""The compiled scan for plain lines: an optional G0 or G1, then X, Y and F in this order, and
nothing else; and what they lead to, one after another.

- ``data`` (B,) uint8: the bytes of the program
- ``kind`` (L,) int8, ``x``, ``y``, ``feed`` (L,): what is found on each line, see ``plain.Source``
- ``spans`` (S, 9): runs of plain lines and what was in force before them, see ``plain.Span``

Oracle: the slow way, line by line (``tests/gcode/reading/test_plain.py``).
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


@compiled
def _motion_word(data: np.ndarray, at: int, end: int) -> tuple[int, int]:
    """0 without a motion word, 1 for G0 or G00, 2 for G1 or G01, else what is none of them; and
    where the words after it begin.
    """
    if at + 1 >= end or data[at] != 71:
        return 0, at
    at += 1
    if data[at] == 48 and at + 1 < end and 48 <= data[at + 1] <= 49:
        at += 1
    word = np.int64(data[at]) - 47
    at += 1
    if at < end and data[at] == 32:
        at += 1
    return int(word), at


@compiled
def _line_end(data: np.ndarray, start: int) -> tuple[int, bool]:
    """Where the line ends that begins at ``start``, and whether it holds the letter X or Y."""
    end = start
    leads = False
    while end < len(data) and data[end] != 10:
        leads = leads or data[end] == 88 or data[end] == 89
        end += 1
    return end, leads


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
    for line in range(count):
        end, leads = _line_end(data, start)
        word, at = _motion_word(data, start, end)
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


@compiled_above(4_000)
def replay(
    spans: FloatArray, kind: np.ndarray, x: FloatArray, y: FloatArray, feed: FloatArray
) -> tuple[FloatArray, FloatArray, np.ndarray, np.ndarray]:
    """For each line of the spans: where it leads (K, 2), the feed in force, the line (from 1), and
    whether G0 is in force.
    """
    count = 0
    for span in range(len(spans)):
        count += int(spans[span, 1] - spans[span, 0])
    place = np.zeros((count, 2))
    rate = np.zeros(count)
    line = np.zeros(count, np.int64)
    rapid = np.zeros(count, np.bool_)
    move = 0
    for span in range(len(spans)):
        to_x = spans[span, 2]
        to_y = spans[span, 3]
        goes_by_rapid = spans[span, 4]
        said = spans[span, 5]
        scale = spans[span, 6]
        for at in range(int(spans[span, 0]), int(spans[span, 1])):
            if not np.isnan(x[at]):
                to_x = x[at] * scale + spans[span, 7]
            if not np.isnan(y[at]):
                to_y = y[at] * scale + spans[span, 8]
            if not np.isnan(feed[at]):
                said = feed[at] * scale
            if kind[at] > 0:
                goes_by_rapid = 2.0 - kind[at]
            place[move, 0] = to_x
            place[move, 1] = to_y
            rate[move] = said
            line[move] = at + 1
            rapid[move] = goes_by_rapid > 0.0
            move += 1
    return place, rate, line, rapid
