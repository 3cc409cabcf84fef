"""Breaking a text into lines that fit a width, as evenly as possible."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.text.glyphs.characters import Slots


@dataclass(frozen=True, eq=False)
class Lines:
    """Lines as runs of slots.

    Attributes
    ----------
    first, last : ndarray (L,), int64
        Line ``i`` holds the slots from ``first[i]`` up to, not including, ``last[i]``.
    final : ndarray (L,), bool
        Whether the line ends a paragraph.
    """

    first: IntArray
    last: IntArray
    final: BoolArray


def paragraphs(slots: Slots) -> Lines:
    """The lines as the text has them."""
    ends = np.flatnonzero(slots.newline[slots.index]) if len(slots.index) else np.zeros(0, np.int64)
    first = np.concatenate([[0], ends + 1]).astype(np.int64)
    last = np.concatenate([ends, [len(slots.index)]]).astype(np.int64)
    return Lines(first, last, np.ones(len(first), np.bool_))


def wrapped(
    slots: Slots,
    run: FloatArray,
    limit: float,
    *,
    hyphen: float,
    tracking: float,
    stretch: float = 0.0,
) -> Lines:
    """Break at spaces, after dashes and at soft hyphens, so that no line is longer than ``limit``.

    Of all ways to break a paragraph the one with the least sum of squared room left over is taken;
    its last line is free. (D. E. Knuth, M. F. Plass, Breaking Paragraphs into Lines, 1981, with one
    fixed width of space.)

    Parameters
    ----------
    slots : Slots
        The text.
    run : ndarray (n + 1,)
        Pen position in mm before each slot, all in one line.
    limit : float
        Length of the lines in mm.
    hyphen : float
        Width in mm that a soft hyphen takes where it is used.
    tracking : float
        Extra room in mm after each character, which does not count at the end of a line.
    stretch : float
        By what share of ``limit`` a line may be too long, because it will be squeezed.

    Raises
    ------
    InvalidValue
        When a word alone is longer than the line.
    """
    start, end, paragraph, soft = _words(slots)
    left = run[start]
    right = run[end] - tracking + np.where(soft, hyphen + tracking, 0.0)
    _refuse_long(slots, start, end, right - left, limit)
    whole = paragraphs(slots)
    bounds = np.searchsorted(paragraph, np.arange(len(whole.first) + 1)).tolist()
    lefts = left.tolist()
    rights = right.tolist()
    first = []
    last = []
    final = []
    for number, (a, b) in enumerate(pairwise(bounds)):
        if a == b:
            first.append(int(whole.first[number]))
            last.append(int(whole.first[number]))
            final.append(True)
        for low, high in _best(lefts, rights, a, b, limit, stretch * limit):
            first.append(int(start[low]))
            last.append(int(end[high]))
            final.append(high == b - 1)
    return Lines(np.array(first, np.int64), np.array(last, np.int64), np.array(final, np.bool_))


def _words(slots: Slots) -> tuple[IntArray, IntArray, IntArray, BoolArray]:
    """First slot, end, paragraph and "ends with a soft hyphen" of each word."""
    index = slots.index
    ink = ~(slots.space | slots.newline)[index]
    free = slots.breaks[index]
    before = np.concatenate([[False], ink[:-1] & ~free[:-1]])
    after = np.concatenate([ink[1:], [False]])
    start = np.flatnonzero(ink & ~before).astype(np.int64)
    end = np.flatnonzero(ink & (~after | free)).astype(np.int64) + 1
    paragraph = np.cumsum(slots.newline[index], dtype=np.int64)[start]
    inside = np.concatenate([after, [False]])[
        end - 1
    ]  # a soft hyphen before a space would show for nothing
    return start, end, paragraph, slots.soft[index][end - 1] & inside


def _refuse_long(
    slots: Slots, start: IntArray, end: IntArray, widths: FloatArray, limit: float
) -> None:
    if not len(widths) or widths.max() <= limit * (1 + 1e-12):
        return
    worst = int(np.argmax(widths))
    word = slots.written(int(start[worst]), int(end[worst]))
    raise InvalidValue(
        f"the word {word[:60]!r} is {widths[worst]:.2f} mm wide and the line only {limit:.2f} mm; "
        "wrap at a wider line, letter smaller, or put soft hyphens (\\u00ad) into the word",
        name="wrap",
        word=word,
        width=float(widths[worst]),
        excess=float(widths[worst] - limit),
    )


def _best(
    left: list[float], right: list[float], a: int, b: int, limit: float, over: float
) -> list[tuple[int, int]]:
    """First and last word of each line of the paragraph of the words ``a`` to ``b``."""
    room = limit * (1 + 1e-12)
    cost = [0.0] * (b - a + 1)
    back = [a] * (b - a + 1)
    for high in range(a, b):
        best = float("inf")
        choice = high
        for low in range(high, a - 1, -1):
            spare = room - (right[high] - left[low])
            if spare < -over:
                break
            total = cost[low - a] + (spare * spare if high < b - 1 or spare < 0.0 else 0.0)
            if total < best:
                best = total
                choice = low
        cost[high - a + 1] = best
        back[high - a + 1] = choice
    found = []
    high = b
    while high > a:
        low = back[high - a]
        found.append((low, high - 1))
        high = low
    return found[::-1]
