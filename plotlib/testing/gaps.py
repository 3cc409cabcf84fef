"""The two places of a drawing's lines that come nearest to each other."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely

from plotlib.checks import BoolArray, FloatArray, IntArray, affordable
from plotlib.drawing import Drawing
from plotlib.testing.distances import Pieces, as_lines, pieces
from plotlib.testing.showing import as_path, at

_ROUND = 3.0  # gaps of way along a stroke, from which on its own places count
_MOST = 5_000_000  # pieces of a gap's length


class Pair(NamedTuple):
    """Two strokes, or one twice, and where they come nearest."""

    distance: float  # mm
    where: FloatArray  # (2,), mm, on the first
    first: int
    second: int

    def told(self, drawing: Drawing, gap: float) -> str:
        """What an assertion says of it."""
        who = f"strokes {self.first} and {self.second} come"
        both = [self.first, self.second]
        if self.first == self.second:
            who = f"stroke {self.first} comes back to itself,"
            both = [self.first]
        near = f"{who} as near as {self.distance:.6g} mm"
        return (
            f"{near}, {gap - self.distance:.6g} mm less than the gap, at {at(self.where)}; as an "
            f"SVG path (mm, y up): {as_path(drawing[both])}"
        )


def nearest_pair(drawing: Drawing, gap: float) -> Pair | None:
    """The nearest two places whose distance is below a gap; None if there are none."""
    ink = _cut(pieces(drawing), gap)
    if len(ink.ends) < 2:
        return None
    lines = as_lines(ink.ends)
    first, second = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=gap)
    is_once = first < second
    first = first[is_once]
    second = second[is_once]
    counts = _are_apart(drawing, ink, first, second, gap)
    first = first[counts]
    second = second[counts]
    distance = shapely.distance(lines[first], lines[second])
    if not len(distance) or distance.min() >= gap * (1 - 1e-9):
        return None
    k = int(np.argmin(distance))
    where = shapely.get_coordinates(shapely.shortest_line(lines[first[k]], lines[second[k]]))[0]
    strokes = ink.stroke[[first[k], second[k]]].tolist()
    return Pair(float(distance[k]), where, strokes[0], strokes[1])


def _cut(whole: Pieces, gap: float) -> Pieces:
    """The same pieces, none longer than a gap."""
    across = whole.ends[:, 1] - whole.ends[:, 0]
    lengths = np.hypot(*across.T)
    counts = np.maximum(1, np.ceil(lengths / gap))
    affordable("gap", gap, float(counts.sum()), _MOST, "pieces", "take a wider one")
    times = counts.astype(np.int64)
    owner = np.repeat(np.arange(len(times)), times)
    inner = np.arange(len(owner)) - np.repeat(np.cumsum(times) - times, times)
    low = (inner / times[owner])[:, None]
    high = ((inner + 1) / times[owner])[:, None]
    start = whole.ends[owner, 0]
    ends = np.stack([start + low * across[owner], start + high * across[owner]], axis=1)
    return Pieces(ends, whole.stroke[owner], whole.along[owner] + low[:, 0] * lengths[owner])


def _are_apart(
    drawing: Drawing, ink: Pieces, first: IntArray, second: IntArray, gap: float
) -> BoolArray:
    """Which pairs are of two strokes, or far enough from each other along their own."""
    size = np.hypot(*(ink.ends[:, 1] - ink.ends[:, 0]).T)
    way = ink.along[second] - ink.along[first] - size[first]
    closed = drawing.is_closed[ink.stroke[first]]
    length = drawing.lengths[ink.stroke[first]]
    back = length - ink.along[second] - size[second] + ink.along[first]
    way = np.minimum(way, np.where(closed, back, math.inf))
    is_apart: BoolArray = (ink.stroke[first] != ink.stroke[second]) | (way > _ROUND * gap)
    return is_apart
