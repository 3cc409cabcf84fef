"""X and Y words of many places at once, as one text: a word for each of ten million points would
take a gigabyte as a string of its own.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, IntArray

_DOT = ord(".")
_MINUS = ord("-")
_ZERO = ord("0")
_NOTHING = 0  # stands where a column is left out; never part of a program


class AxisWords(NamedTuple):
    """A line of axis words for each place, ``X12.340 Y5.000``, one after another.

    Attributes
    ----------
    text : str
        The lines, each ended by a line feed.
    starts : list of int (N + 1,)
        Where each line begins in the text, and where the last one ends.
    first : int
        The number of the first place.
    """

    text: str
    starts: list[int]
    first: int

    def lines(self, first: int, end: int) -> str:
        """The lines of the places ``first`` … ``end - 1``, without the last line feed."""
        return self.text[self.starts[first - self.first] : self.starts[end - self.first] - 1]


class Climb(NamedTuple):
    """Z (N,) in units of so many decimals, and whether (N,) it differs from that before."""

    z: IntArray
    moved: BoolArray
    decimals: int


def axis_words(
    place: IntArray,
    moved: BoolArray,
    decimals: int,
    *,
    first: int = 0,
    climb: Climb | None = None,
) -> AxisWords:
    r"""The words of places (N, 2) in controller units: only the axes that ``moved`` (N, 2), and Z
    after them where the pen follows a bed.

    >>> place = np.array([[1500, -20], [1500, 0]])
    >>> axis_words(place, np.array([[True, True], [False, True]]), 3).text
    'X1.500 Y-0.020\nY0.000\n'
    """
    blank = np.where(moved.all(axis=1), ord(" "), _NOTHING)
    rows = [
        *_columns("X", place[:, 0], moved[:, 0], decimals),
        blank,
        *_columns("Y", place[:, 1], moved[:, 1], decimals),
        *([] if climb is None else _climbing(climb)),
        np.full(len(place), ord("\n")),
    ]
    signs = np.empty((len(place), len(rows)), np.uint8)
    for column, row in enumerate(rows):
        signs[:, column] = row
    said = signs != _NOTHING
    ends = np.cumsum(said.sum(axis=1))
    return AxisWords(signs[said].tobytes().decode("ascii"), [0, *ends.tolist()], first)


def _climbing(climb: Climb) -> list[IntArray]:
    """The characters of a Z word after those of X and Y, of which one at least is said."""
    blank = np.where(climb.moved, ord(" "), _NOTHING)
    return [blank, *_columns("Z", climb.z, climb.moved, climb.decimals)]


def _columns(letter: str, units: IntArray, moved: BoolArray, decimals: int) -> list[IntArray]:
    """The characters of one word for each place, column by column; there is no minus zero."""
    size = np.abs(units)
    if size.max(initial=0) < 2**31:
        size = size.astype(np.uint32)  # divisions take half the time
    digits: list[IntArray] = []
    while len(digits) <= decimals or size.any():
        rest = size // 10
        needed = moved if len(digits) <= decimals else moved & (size > 0)
        digits.append(np.where(needed, size - rest * 10 + _ZERO, _NOTHING))
        size = rest
    digits.reverse()
    whole = len(digits) - decimals
    dot = [np.where(moved, _DOT, _NOTHING)] if decimals else []
    return [
        np.where(moved, ord(letter), _NOTHING),
        np.where(moved & (units < 0), _MINUS, _NOTHING),
        *digits[:whole],
        *dot,
        *digits[whole:],
    ]
