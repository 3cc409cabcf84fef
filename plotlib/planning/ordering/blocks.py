"""Very long tours: blocks of the plane in a winding row, each a path from seam to seam, then the
seams (after Karp 1977).

Blocks do not depend on each other, so two run side by side; the result is the same on any number of
cores.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.interrupt import side_by_side
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.seats import Strokes
from plotlib.planning.ordering.tiles import Ground, cells, tile_search
from plotlib.planning.ordering.tour import Annealing, GoOn, Tour

BLOCK = 50_000  # strokes of a block: two of them for 100,000 strokes, one to a core
SEAM = 3_000  # strokes of a tile on a seam; chosen, not measured against others
WARM = (
    0.2  # mean links that the search on the seams bears to lose at first: little work, a cool start
)
SIDE_BY_SIDE = (
    2  # blocks at a time, whatever the computer has: memory, and the cores of a hobby one
)
Solver = Callable[[Strokes, int], tuple[Tour, FloatArray]]


@dataclass(frozen=True)
class Block:
    """Strokes of one block, and the places where its path begins and ends."""

    strokes: IntArray
    begin: FloatArray
    end: FloatArray


def winding_blocks(middle: FloatArray, home: FloatArray, finish: FloatArray) -> list[Block]:
    """Columns from left to right, walked up and down in turn, cut into blocks of equal count."""
    count = max(2, int(np.rint(len(middle) / BLOCK)))
    wide, high = np.ptp(middle, axis=0) + 1.0
    columns = int(np.clip(np.rint(np.sqrt(count * wide / high)), 1, count))
    rows = max(1, int(np.rint(count / columns)))
    ordered = []
    for number, column in enumerate(
        np.array_split(np.argsort(middle[:, 0], kind="stable"), columns)
    ):
        upward = column[np.argsort(middle[column, 1], kind="stable")]
        ordered += np.array_split(upward if number % 2 == 0 else upward[::-1], rows)
    seams = [home, *(_seam(middle, one, two) for one, two in pairwise(ordered)), finish]
    return [Block(np.sort(part), seams[k], seams[k + 1]) for k, part in enumerate(ordered)]


def _seam(middle: FloatArray, one: IntArray, two: IntArray) -> FloatArray:
    """A place between two blocks: the middle of what their extents share."""
    low = np.maximum(middle[one].min(axis=0), middle[two].min(axis=0))
    high = np.minimum(middle[one].max(axis=0), middle[two].max(axis=0))
    seam: FloatArray = np.rint((low + high) / 2)
    return seam


def in_blocks(
    metric: Metric,
    strokes: Strokes,
    solve: Solver,
    *,
    kicks: float,
    seed: int,
    go_on: GoOn = None,
) -> tuple[Tour, FloatArray]:
    """A tour through all strokes, the depot (the last stroke, entered at the finish, left at home)
    first, and the places (n, 2) at which they are entered first.
    """
    xy = strokes.xy.copy()
    depot = len(xy) // 2 - 1
    middle = (xy[0:-2:2] + xy[1:-2:2]) / 2
    blocks = winding_blocks(middle, xy[-1], xy[-2])

    def path(job: tuple[int, Block]) -> Tour:
        number, block = job
        part = strokes.along(2 * np.append(block.strokes, depot))
        part.xy[-2] = block.end
        part.xy[-1] = block.begin
        closed, places = solve(part, seed + number)
        free = np.flatnonzero(np.diff(part.first))
        xy[2 * block.strokes[free]] = xy[2 * block.strokes[free] + 1] = places[free]
        tour = opened(closed)
        return np.asarray(2 * block.strokes[tour >> 1] + (tour & 1), np.int32)

    paths = side_by_side(path, enumerate(blocks), threads=SIDE_BY_SIDE)
    seq: Tour = np.concatenate([np.array([2 * depot], np.int32), *paths])
    member = np.full(depot + 1, -1)
    for number, block in enumerate(blocks):
        member[block.strokes] = number
    scaled = np.concatenate([middle * metric.scale, [[np.nan, np.nan]]])
    ground = Ground(metric, xy, None)
    work = Annealing(kicks / 2, WARM, 0.0, seed, go_on)
    for number, shift in enumerate((0.5, 0.25)):
        labels = cells(scaled, SEAM, shift)
        for label in _mixed(labels, member):
            if work.goes_on():
                seq = tile_search(
                    ground,
                    seq,
                    labels == label,
                    work.part(0.0, 1.0, seed + 1_000_003 * number + int(label)),
                )
    return seq, xy[0::2]


def _mixed(labels: IntArray, member: IntArray) -> IntArray:
    """Tiles with strokes of more than one block."""
    inside = labels >= 0
    least = np.full(labels.max() + 1, len(member))
    most = np.full(labels.max() + 1, -1)
    np.minimum.at(least, labels[inside], member[inside])
    np.maximum.at(most, labels[inside], member[inside])
    mixed: IntArray = np.flatnonzero(least < most)
    return mixed


def opened(tour: Tour) -> Tour:
    """The path of a tour that begins after the depot (the last stroke), in the direction in which
    the depot is entered at its first end.
    """
    depot = len(tour) - 1
    at = int(np.flatnonzero(tour >> 1 == depot)[0])
    tour = np.roll(tour, -at)
    return tour[1:] if tour[0] == 2 * depot else tour[:0:-1] ^ 1
