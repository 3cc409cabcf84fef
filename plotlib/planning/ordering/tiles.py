"""Long tours: local search inside tiles of the plane, one after the other.

Inside a tile the links with both ends in the tile are free; cut there, the tour falls into pieces:
single strokes, and paths outside of the tile that count as one stroke each. The pieces are a small
tour of their own, and what it gains the whole tour gains exactly. A search in a small tour is
quick: what it turns round is short, and all of it lies near the processor.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import AnyInts, BoolArray, FloatArray, IntArray
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.lists import Lists, Seats, near_lists
from plotlib.planning.ordering.tour import Annealing, GoOn, Search, Tour

# Set by ``tests/benchmarks/pen_order.py --instances`` (d18512, rl5915) and its rows of lines and
# hatches, when kicks moved into small tiles; the values beside those chosen were not kept.
TILE = 1_500  # strokes in a tile; up to so many are searched as one tour
SMALL = 1_000  # strokes in a tile of a long tour
LONG = 25_000  # strokes of a tour from which on it is long
WIDE = (
    6_000  # strokes in a tile of the first rounds: only there can long rows of holes change sides
)
ROUNDS = 20  # in which all tiles are searched once, under one cooling; tiles move between rounds
FIRST = 2  # rounds in wide tiles
# Links of so many mean links are long and searched by themselves: plots of clusters far apart were
# up to a tenth longer without (test_tiles.py has such a plot).
FAR = 3.0
KICKS = 100.0  # for each piece between long links: pieces are few
EVERY = 5  # rounds after which long links are searched again: hatches 1 % shorter
AGAIN = 10.0  # kicks for each piece then


@dataclass(frozen=True)
class Ground:
    """What a search stands on: the metric, the ends of all strokes (2n, 2), their lists of near
    ends (None: made anew in each tile).
    """

    metric: Metric
    xy: FloatArray
    lists: Lists | None

    def part(self, ends: IntArray) -> tuple[FloatArray, Lists]:
        """Places and lists of some ends, numbered anew."""
        if self.lists is None:
            return self.xy[ends], near_lists(self.metric, self.xy[ends])
        seats = self.lists.seats
        if seats is not None:
            return self.xy[ends], self._seats_within(self.lists, seats, ends)
        from plotlib.planning.ordering.tiles_kernel import lists_within

        row, near, far = lists_within(ends, self.lists.row, self.lists.near, self.lists.far)
        return self.xy[ends], Lists(row, near, far, self.lists.twins)

    @staticmethod
    def _seats_within(lists: Lists, seats: Seats, ends: IntArray) -> Lists:
        from plotlib.planning.ordering.seats_kernel import rows_within

        row, span, near, port, far, old = rows_within(
            ends, lists.row, seats.span, lists.near, seats.port, lists.far
        )
        part = Seats(seats.places[old], port, span, old)
        return Lists(row, near, far, lists.twins, part)

    def sit(self, strokes: IntArray, row: AnyInts) -> None:
        """Enter closed strokes at other vertices from now on: at these rows of the lists."""
        assert self.lists is not None
        assert self.lists.seats is not None
        for e in (2 * strokes, 2 * strokes + 1):
            self.lists.row[e] = row
            self.xy[e] = self.lists.seats.places[row]


def cells(middle: FloatArray, size: int, shift: float) -> IntArray:
    """Label of the tile of each stroke: columns of equal count, then rows of equal count, moved on
    by ``shift`` of a tile; -1 where nan.
    """
    known = np.flatnonzero(~np.isnan(middle[:, 0]))
    labels = np.full(len(middle), -1, np.int64)
    if len(known) == 0:
        return labels
    x = middle[known, 0]
    y = middle[known, 1]
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
    bands: IntArray = np.floor(rank / sizes[within] * count + (shift if count > 1 else 0.0)).astype(
        np.int64
    )
    return bands


def tile_search(ground: Ground, seq: Tour, inside: BoolArray, work: Annealing) -> Tour:
    """The tour ``seq`` after a search among the strokes ``inside``: where it stands while it is
    warm, the best when it has cooled down.
    """
    here = inside[seq >> 1]
    return _pieces_search(ground, seq, np.flatnonzero(here & np.roll(here, -1)), work)


def long_links_search(
    ground: Ground, seq: Tour, seed: int, go_on: GoOn = None, *, kicks: float = KICKS
) -> Tour:
    """The tour ``seq`` after a search in which only its long links are free.

    From cluster to cluster few lists of near ends lead, and a hatched patch is turned round by no
    move among the rows in it.
    """
    costs = costs_along(ground.metric, ground.xy, seq)
    cuts = np.flatnonzero(costs > FAR * np.nanmean(costs))
    if len(cuts) == 0:
        return seq
    work = Annealing(kicks, 0.3, 0.0, seed, go_on)
    return _pieces_search(Ground(ground.metric, ground.xy, None), seq, cuts, work)


def costs_along(metric: Metric, xy: FloatArray, seq: Tour) -> FloatArray:
    """Cost of the link after each position of a tour; nan where an end is free."""
    from plotlib.planning.ordering.closed_kernel import link_costs

    costs: FloatArray = link_costs(metric, xy[seq ^ 1], xy[np.roll(seq, -1)])
    return costs


def _pieces_search(ground: Ground, seq: Tour, cuts: IntArray, work: Annealing) -> Tour:
    """The tour after a search among the pieces between its links ``cuts`` (after these
    positions).
    """
    from plotlib.planning.ordering.tiles_kernel import rebuild

    if len(cuts) < 8:
        return seq
    first = np.concatenate([cuts[-1:] + 1, cuts[:-1] + 1]) % len(seq)
    ends = np.stack([seq[first], seq[cuts] ^ 1], axis=1).ravel()
    search = Search(
        ground.metric, *ground.part(ends), 2 * np.arange(len(cuts), dtype=np.int32), work.seed
    )
    search.descend(work.go_on)
    search.anneal(work)
    out = np.empty_like(seq)
    rebuild(seq, cuts, search.best if work.cool == 0.0 else search.seq, out)
    seats = search.lists.seats
    if seats is not None:
        row = search.best_row if work.cool == 0.0 else search.row[0::2]
        free = np.flatnonzero(seats.span[:, 1] > 0)
        ground.sit(ends[2 * free] >> 1, seats.origin[row[free]])
    return out


def in_tiles(ground: Ground, seq: Tour, work: Annealing) -> Tour:
    """Some rounds through all tiles, each with tiles in other places; the long links have their
    turn now and then.
    """
    middle = (ground.xy[0::2] + ground.xy[1::2]) * ground.metric.scale / 2
    rng = np.random.default_rng(work.seed)
    size = TILE if len(seq) <= LONG else SMALL
    for number in range(ROUNDS):
        work.done(number / ROUNDS)
        labels = cells(middle, WIDE if number < FIRST else size, rng.random())
        for label in np.unique(labels[labels >= 0]):
            if not work.goes_on():
                return seq
            part = work.part(number / ROUNDS, (number + 1) / ROUNDS, int(rng.integers(2**31)))
            seq = tile_search(ground, seq, labels == label, part)
        if number % EVERY == EVERY - 1:
            seq = long_links_search(ground, seq, int(rng.integers(2**31)), work.go_on, kicks=AGAIN)
    return seq
