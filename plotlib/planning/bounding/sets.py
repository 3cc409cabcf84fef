"""Sets of links of which no tour takes more than there is room for, and 1-trees would.

Two kinds: Edmonds' odd sets of ends (``sets_kernel``) and the generalised subtour sets of vertices
of closed runs (``subtours_kernel``).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.planning.bounding.graph import Links, Problem, SetLinks

if TYPE_CHECKING:
    from plotlib.planning.bounding.sets_kernel import Near

ODD = -1  # in the place of the run that a subtour set leaves out


class Sets(NamedTuple):
    """Sets of points (handles) with some links out of them (teeth): no tour takes more links inside
    and on the teeth than there is room.

    Each set has a multiplier zeta >= 0. Its links, as far as the graph has them, weigh that much
    more, and the bound pays it for each link that there is room for. A subtour set has room for as
    many as are chosen of its points that are not of its run ``spare``.
    """

    rows: IntArray  # (R, 2) (a, a) a point of the handle; (a, b) a tooth from a to b outside
    starts: IntArray  # (T + 1,) set s has the rows starts[s] to starts[s + 1]
    room: IntArray  # (T,) but for what chosen vertices add
    spare: IntArray  # (T,) the run of a subtour set, ODD for an odd set
    marks: IntArray  # (T,) the same set has the same mark


def no_sets() -> Sets:
    """Where the search begins."""
    none = np.zeros(0, dtype=np.int64)
    return Sets(none.reshape(0, 2), np.zeros(1, dtype=np.int64), none, none, none)


def picked(sets: Sets, is_kept: BoolArray) -> Sets:
    """Some of the sets, by a truth value for each."""
    size = np.diff(sets.starts)
    starts = np.concatenate([[0], np.cumsum(size[is_kept])])
    rows = sets.rows[np.repeat(is_kept, size)]
    return Sets(rows, starts, sets.room[is_kept], sets.spare[is_kept], sets.marks[is_kept])


def joined(one: Sets, other: Sets) -> Sets:
    """The sets of both, in this order."""
    starts = np.concatenate([one.starts, one.starts[-1] + other.starts[1:]])
    return Sets(
        np.concatenate([one.rows, other.rows]),
        starts,
        np.concatenate([one.room, other.room]),
        np.concatenate([one.spare, other.spare]),
        np.concatenate([one.marks, other.marks]),
    )


def separated(
    sets: Sets,
    zeta: FloatArray,
    graph: Links,
    problem: Problem,
    taken: FloatArray,
    chosen: FloatArray,
) -> tuple[Sets, FloatArray]:
    """The sets that have a multiplier, and new ones that the 1-trees overfill; the multipliers.

    ``taken`` is how often each link was taken of late, ``chosen`` how often each vertex.
    """
    from plotlib.planning.bounding import sets_kernel as kernel

    telling = np.flatnonzero((taken > kernel.NEVER) & (taken < kernel.ALWAYS))
    order = telling[np.argsort(-taken[telling], kind="stable")]
    near = kernel.Near(graph.edges, taken, *kernel.touching(graph.edges, len(problem.share)))
    rows, starts, room, marks = kernel.find(near, order, problem.share)
    found = Sets(rows, starts, room, np.full(len(room), ODD), marks)
    if not problem.share.all():
        found = joined(found, _subtours(problem, near, chosen))
    kept = picked(sets, zeta > 0)
    new = picked(found, ~np.isin(found.marks, kept.marks))
    return joined(kept, new), np.concatenate([zeta[zeta > 0], np.zeros(len(new.room))])


def _subtours(problem: Problem, near: Near, chosen: FloatArray) -> Sets:
    """Generalised subtour sets; dots in them are always chosen."""
    from plotlib.planning.bounding import subtours_kernel as kernel
    from plotlib.planning.bounding.sets_kernel import NEVER

    telling = np.flatnonzero(near.taken > NEVER)
    order = telling[np.argsort(-near.taken[telling], kind="stable")]
    rows, starts, spare, marks = kernel.find(
        near,
        order,
        chosen,
        problem.group,
        problem.share,
        problem.runs,
    )
    number = np.repeat(np.arange(len(spare)), np.diff(starts))
    is_dot = problem.share[rows[:, 0]] == 2
    makes_room = is_dot & (problem.group[rows[:, 0]] != spare[number])
    room = np.bincount(number[makes_room], minlength=len(spare)).astype(np.int64)
    return Sets(rows, starts, room, spare, marks)


def linked(sets: Sets, graph: Links, problem: Problem) -> SetLinks:
    """The links of the graph that each set holds, and the vertices that make room in it."""
    from plotlib.planning.bounding import sets_kernel as kernel

    none = np.zeros(0, dtype=np.int64)
    if len(sets.room) == 0:
        return SetLinks(np.zeros(1, dtype=np.int64), none, none, none, none)
    near = kernel.touching(graph.edges, len(problem.share))
    spans, inside = kernel.within(sets.rows, sets.starts, graph.edges, *near)
    number = np.repeat(np.arange(len(sets.room)), np.diff(sets.starts))
    point = sets.rows[:, 0]
    is_counted = (sets.spare[number] != ODD) & (problem.share[point] == 0)
    is_counted &= problem.group[point] != sets.spare[number]
    return SetLinks(spans, inside, sets.room, point[is_counted], number[is_counted])
