"""Odd sets of ends: what they forbid every tour, and 1-trees would take."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.planning.bounding.graph import Graph


@dataclass(frozen=True)
class OddSets:
    """Sets of ends (handles) with some links out of them (teeth): no tour takes more links inside
    and on the teeth than there is room.

    Each set has a multiplier ``zeta`` >= 0. Its links, as far as the graph has them, weigh that
    much more, and the bound pays it for each link that there is room for.
    """

    rows: IntArray  # (a, a) an end of the handle; (a, b) a tooth from end a to end b outside
    starts: IntArray  # set s has the rows starts[s] to starts[s + 1]
    room: IntArray
    marks: IntArray  # the same set has the same mark
    zeta: FloatArray

    def __len__(self) -> int:
        return len(self.room)

    def picked(self, is_kept: BoolArray) -> OddSets:
        """Some of the sets, by a truth value for each."""
        size = np.diff(self.starts)
        starts = np.concatenate([[0], np.cumsum(size[is_kept])])
        return OddSets(
            self.rows[np.repeat(is_kept, size)],
            starts,
            self.room[is_kept],
            self.marks[is_kept],
            self.zeta[is_kept],
        )

    def __add__(self, other: OddSets) -> OddSets:
        starts = np.concatenate([self.starts, self.starts[-1] + other.starts[1:]])
        rows = np.concatenate([self.rows, other.rows])
        room = np.concatenate([self.room, other.room])
        return OddSets(
            rows,
            starts,
            room,
            np.concatenate([self.marks, other.marks]),
            np.concatenate([self.zeta, other.zeta]),
        )


def no_sets() -> OddSets:
    """Where the search begins."""
    none = np.zeros(0, dtype=np.int64)
    return OddSets(none.reshape(0, 2), np.zeros(1, dtype=np.int64), none, none, np.zeros(0))


def separated(sets: OddSets, graph: Graph, share: IntArray, mean: FloatArray) -> OddSets:
    """The sets that have a multiplier, and new ones that the 1-trees overfill: ``mean`` is how
    often each link is taken of late.
    """
    from plotlib.planning.bounding import sets_kernel as kernel

    telling = np.flatnonzero((mean > kernel.NEVER) & (mean < kernel.ALWAYS))
    order = telling[np.argsort(-mean[telling], kind="stable")]
    rows, starts, room, marks = kernel.find(
        graph.edges, mean, order, share, *kernel.touching(graph.edges, len(share))
    )
    kept = sets.picked(sets.zeta > 0)
    found = OddSets(rows, starts, room, marks, np.zeros(len(room)))
    return kept + found.picked(~np.isin(marks, kept.marks))


def inside(sets: OddSets, graph: Graph, count: int) -> tuple[IntArray, IntArray]:
    """The links of the graph that each set holds, see
    :func:`plotlib.planning.bounding.sets_kernel.within`.
    """
    from plotlib.planning.bounding import sets_kernel as kernel

    if len(sets) == 0:
        return np.zeros(1, dtype=np.int64), np.zeros(0, dtype=np.int64)
    return kernel.within(sets.rows, sets.starts, graph.edges, *kernel.touching(graph.edges, count))
