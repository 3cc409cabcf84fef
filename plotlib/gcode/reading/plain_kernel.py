"""The compiled scan for plain lines: an optional G0 or G1, then X, Y and F in this order, and
nothing else; for lines of arcs by their centre: an optional G2 or G3, X, Y, I, J and F; and what
they lead to, one after another.

- ``data`` (B,) uint8: the bytes of the program
- ``kind`` (L,) int8, ``x``, ``y``, ``i``, ``j``, ``feed`` (L,): what is found on each line, see
  ``plain.Source``; ``i`` and ``j`` are empty where no line has them
- ``spans`` (S, 9): runs of such lines and what was in force before them, see ``plain.Span``

Oracle: the slow way, line by line (``tests/gcode/reading/test_plain.py``).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled, compiled_above

# Kinds of lines beside 0 (plain without a motion word), 1 (G0) and 2 (G1):
OTHER = -1
SILENT = -2  # without the letters X and Y
ARC = -3  # an arc by its centre, by the motion word in force
RIGHT = -4  # the same with G2
LEFT = -5  # with G3
# Motions in force are 0 … 3, as G0 … G3.
CLOCKWISE = 2
COUNTER = 3

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
    """0 without a motion word, 1 for G0 or G00, 2 for G1 or G01, 3 for G2, 4 for G3, else what is
    none of them; and where the words after it begin.
    """
    if at + 1 >= end or data[at] != 71:
        return 0, at
    at += 1
    if data[at] == 48 and at + 1 < end and 48 <= data[at + 1] <= 51:
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


class Lines(NamedTuple):
    """What is found on each line, as in ``plain.Source``."""

    kind: AnyInts
    x: FloatArray
    y: FloatArray
    i: FloatArray
    j: FloatArray
    feed: FloatArray


@compiled
def _scan_line(data: np.ndarray, start: int, end: int, line: int, lines: Lines) -> None:
    """Note what stands between ``start`` and ``end`` if it is a plain line or one of an arc."""
    word, at = _motion_word(data, start, end)
    if not 0 <= word <= 4:
        return
    to_x, at = _word(data, 88, at, end)
    to_y, at = _word(data, 89, at, end)
    way_x, at = _word(data, 73, at, end)
    way_y, at = _word(data, 74, at, end)
    rate, at = _word(data, 70, at, end)
    if at != end or (np.isnan(to_x) and np.isnan(to_y)) or rate <= 0.0:
        return
    is_arc = not (np.isnan(way_x) and np.isnan(way_y))
    if (is_arc and (word == 1 or word == 2)) or (not is_arc and word > 2):
        return  # a straight line with a centre, or an arc without one
    if is_arc:
        lines.i[line] = 0.0 if np.isnan(way_x) else way_x
        lines.j[line] = 0.0 if np.isnan(way_y) else way_y
        word = ARC if word == 0 else -(word + 1)
    lines.kind[line] = word
    lines.x[line] = to_x
    lines.y[line] = to_y
    lines.feed[line] = rate


@compiled_above(4_000)
def scan(data: np.ndarray, count: int, room: int) -> Lines:
    """Of each of ``count`` lines: its kind (0 without motion word, 1 G0, 2 G1; arcs: ``ARC``
    without motion word, ``RIGHT``, ``LEFT``; else ``OTHER``, or ``SILENT`` without the letters X
    and Y) and X, Y, F (not a number where absent), I and J (0 where absent); ``room`` for these is
    ``count``, or 0 where they cannot come.
    """
    lines = Lines(
        np.full(count, OTHER, np.int8),
        np.full(count, np.nan),
        np.full(count, np.nan),
        np.zeros(room),
        np.zeros(room),
        np.full(count, np.nan),
    )
    start = 0
    for line in range(count):
        end, leads = _line_end(data, start)
        _scan_line(data, start, end, line, lines)
        if lines.kind[line] == OTHER and not leads:
            lines.kind[line] = SILENT
        start = end + 1
    return lines


@compiled
def motion_after(kind: int, motion: int) -> int:
    """The motion in force after a line of that kind."""
    if kind > 0:
        return kind - 1
    return -kind - 2 if kind <= RIGHT else motion


class Replay(NamedTuple):
    """What the lines of spans lead to, one move for each.

    ``spots`` (K, 2): where it ends; ``feed``, ``line`` (K,): what is in force, and the line, from
    1; ``motion`` (K,) int8; ``arcs`` (A, 6): of each arc its line, where it begins, its centre,
    and 1 for a turn to the left as the controller counts, else -1.
    """

    spots: FloatArray
    feed: FloatArray
    line: AnyInts
    motion: AnyInts
    arcs: FloatArray


@compiled
def _room_for(spans: FloatArray, kind: AnyInts) -> Replay:
    """An empty replay with room for all moves of the spans."""
    count = 0
    bent = 0
    for span in range(len(spans)):
        for at in range(int(spans[span, 0]), int(spans[span, 1])):
            count += 1
            bent += int(kind[at] <= ARC)
    return Replay(
        np.zeros((count, 2)),
        np.zeros(count),
        np.zeros(count, np.int64),
        np.zeros(count, np.int8),
        np.zeros((bent, 6)),
    )


@compiled
def _note_arc(row: FloatArray, line: int, x: float, y: float, motion: int) -> None:
    """The line of an arc, where it begins and which way round it goes."""
    row[0] = line + 1
    row[1] = x
    row[2] = y
    row[5] = 1.0 if motion == COUNTER else -1.0


@compiled_above(4_000)
def replay(spans: FloatArray, lines: Lines) -> Replay:
    """The moves of the lines of the spans."""
    done = _room_for(spans, lines.kind)
    move = 0
    bent = 0
    for span in range(len(spans)):
        to_x = spans[span, 2]
        to_y = spans[span, 3]
        motion = int(spans[span, 4])
        said = spans[span, 5]
        scale = spans[span, 6]
        for at in range(int(spans[span, 0]), int(spans[span, 1])):
            kind = int(lines.kind[at])
            motion = motion_after(kind, motion)
            if kind <= ARC:
                row = done.arcs[bent]
                _note_arc(row, at, to_x, to_y, motion)
                row[3] = to_x + lines.i[at] * scale
                row[4] = to_y + lines.j[at] * scale
                bent += 1
            if not np.isnan(lines.x[at]):
                to_x = lines.x[at] * scale + spans[span, 7]
            if not np.isnan(lines.y[at]):
                to_y = lines.y[at] * scale + spans[span, 8]
            if not np.isnan(lines.feed[at]):
                said = lines.feed[at] * scale
            done.spots[move, 0] = to_x
            done.spots[move, 1] = to_y
            done.feed[move] = said
            done.line[move] = at + 1
            done.motion[move] = motion
            move += 1
    return done
