"""Long tours: local search inside tiles of the plane, one after the other.

Inside a tile the links with both ends in the tile are free; cut there, the tour falls into pieces: single strokes, and paths outside of
the tile that count as one stroke each. The pieces are a small tour of their own, and what it gains the whole tour gains exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.planning.order_lists import near_lists
from plotlib.planning.order_tour import Search, Tour

TILE = 3_000
GoOn = Callable[[], bool] | None


def cells(middle: FloatArray, size: int, shift: float) -> IntArray:
    """Label of the tile of each stroke: columns of equal count, then rows of equal count, moved on by ``shift`` of a tile; -1 where nan."""
    known = np.flatnonzero(~np.isnan(middle[:, 0]))
    labels = np.full(len(middle), -1, np.int64)
    if len(known) == 0:
        return labels
    x, y = middle[known, 0], middle[known, 1]
    wide, high = (float(np.subtract(*np.percentile(part, [95, 5]))) + 1e-300 for part in (x, y))
    tiles = max(1.0, len(known) / size)
    columns = int(np.clip(np.rint(np.sqrt(tiles * wide / high)), 1, tiles))
    rows = max(1, int(np.rint(tiles / columns)))
    column = _bands(x, np.zeros(len(x), np.int64), columns, shift)
    row = _bands(y, column, rows, shift)
    labels[known] = column * (rows + 2) + row
    return labels


def _bands(values: FloatArray, within: IntArray, count: int, shift: float) -> IntArray:
    """Number of the band of each value among bands of equal count inside each class ``within``."""
    ranked = np.lexsort((values, within))
    sizes = np.bincount(within)
    first = np.cumsum(sizes) - sizes
    rank = np.empty(len(values))
    rank[ranked] = np.arange(len(values)) - first[within[ranked]]
    bands: IntArray = np.floor(rank / sizes[within] * count + (shift if count > 1 else 0.0)).astype(np.int64)
    return bands


def tile_pass(
    metric: FloatArray,
    xy: FloatArray,
    seq: Tour,
    labels: IntArray,
    *,
    chosen: IntArray,
    kicks: float,
    warmth: float,
    seed: int,
    go_on: GoOn = None,
) -> Tour:
    """One round of the search through the tiles ``chosen``; ``labels`` has the tile of each stroke, ``kicks`` is per stroke."""
    from plotlib.planning.tiles_kernel import rebuild

    for label in chosen:
        if go_on is not None and not go_on():
            break
        inside = labels[seq >> 1] == label
        cuts = np.flatnonzero(inside & np.roll(inside, -1))
        if len(cuts) < 8:
            continue
        first = np.concatenate([cuts[-1:] + 1, cuts[:-1] + 1]) % len(seq)
        ends = np.stack([seq[first], seq[cuts] ^ 1], axis=1).ravel()
        part = xy[ends]
        search = Search(metric, part, near_lists(metric, part), 2 * np.arange(len(cuts), dtype=np.int32), seed + int(label))
        search.descend()
        search.anneal(int(kicks * len(cuts)), warmth, go_on)
        out = np.empty_like(seq)
        rebuild(seq, cuts, search.best, out)
        seq = out
    return seq


def in_tiles(
    metric: FloatArray, xy: FloatArray, seq: Tour, *, kicks: float, warmth: float, seed: int, passes: int = 4, go_on: GoOn = None
) -> Tour:
    """Some rounds through all tiles, each with tiles in other places."""
    middle = (xy[0::2] + xy[1::2]) * scales(metric) / 2
    for number, shift in enumerate(_shifts(passes)):
        labels = cells(middle, TILE, shift)
        chosen = np.unique(labels[labels >= 0])
        seq = tile_pass(
            metric, xy, seq, labels, chosen=chosen, kicks=kicks / passes, warmth=warmth, seed=seed + 1_000_003 * number, go_on=go_on
        )
    return seq


def scales(metric: FloatArray) -> FloatArray:
    """Factors that make moves along x and y cost alike, roughly."""
    return np.ones(2) if metric[0] == 0.0 else np.asarray(metric[1:3])


def _shifts(passes: int) -> Iterator[float]:
    for number in range(passes):
        yield (0.0, 0.5, 0.25, 0.75)[number % 4]
