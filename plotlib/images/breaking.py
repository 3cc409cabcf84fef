"""Where lines are broken to be lighter than a whole line: which of many rows is drawn at which
tone, with ends that do not stand in a row.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray

LEVELS = 8  # rows that are left out one by one: 1, 5, 3, 7, 2, 6, 4, 8
_REVERSED = (0, 4, 2, 6, 1, 5, 3, 7)  # van der Corput's sequence in base 2, times eight


def thresholds(row: IntArray, step: float, dash: float, random: np.random.Generator) -> FloatArray:
    """From which share of lines on each sample of some rows is drawn: between 0 and 1, evenly.

    Neighbouring rows begin at tones far apart, and along a row pieces of ``dash`` mm in the mean
    differ by up to a level, so that ends are soft and mean coverages exact. ``row`` (n,) is the row
    of each sample, samples are ``step`` mm apart.
    """
    breaks = random.random(len(row)) < min(1.0, step / dash)
    if len(row):
        breaks[1:] |= row[1:] != row[:-1]
    piece = np.cumsum(breaks)
    inside = random.random(int(piece[-1]) + 1 if len(row) else 1)
    level = np.array(_REVERSED)[row % LEVELS]
    return (level + inside[piece]) / LEVELS


def runs(
    is_on: BoolArray, row: IntArray, step: float, *, gap: float, shortest: float
) -> tuple[IntArray, IntArray]:
    """First samples and the ones after the last, of the pieces that are drawn; pieces less than
    ``gap`` mm apart are one, and pieces shorter than ``shortest`` mm are none.
    """
    if not len(row):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    new_row = np.flatnonzero(np.append(True, row[1:] != row[:-1]))
    edges = np.zeros(len(row) + 1, np.bool_)
    edges[1:-1] = is_on[1:] != is_on[:-1]
    edges[0] = is_on[0]
    edges[-1] = is_on[-1]
    edges[new_row] |= is_on[new_row]
    later = new_row[new_row > 0]
    edges[later] |= is_on[later - 1]
    places = np.flatnonzero(edges)
    # a place where one piece ends and another begins is an end and a beginning
    begins = places[(places < len(row)) & is_on[np.minimum(places, len(row) - 1)]]
    ends = places[(places > 0) & is_on[np.maximum(places - 1, 0)]]
    same = row[begins[1:]] == row[ends[:-1] - 1]
    apart = ~(same & ((begins[1:] - ends[:-1]) * step < gap))
    begins = begins[np.append(True, apart)] if len(begins) else begins
    ends = ends[np.append(apart, True)] if len(ends) else ends
    is_long = (ends - begins) * step >= shortest
    return begins[is_long], ends[is_long]
