"""Joining strokes into the fewest pen-down runs: each lift that is saved is time saved and a blot
less.

The strokes are a graph: the nodes are grid points, an edge is a stroke between its end points
(loops and parallel edges are welcome). By Euler's theorem a connected part with 2k nodes of odd
degree is drawn in max(1, k) runs and no fewer. The runs come from pairing the ends at each node,
straightest pair first, which leaves one end alone at each odd node; what then closes on itself is
merged into any other trail that passes through one of its points, interior points of strokes
included, where the least turning is added. So a stroke is only ever cut where that saves a lift.
Doubled strokes stay doubled, and dots stay dots.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray, not_negative


@dataclass(frozen=True)
class Joined:
    """Strokes joined into runs.

    Attributes
    ----------
    points : ndarray (N, 2) of int64
        The points of the runs, one run after the other, in grid units.
    offsets : ndarray (M + 1,) of int64
        Run ``k`` is ``points[offsets[k]:offsets[k + 1]]``.
    source : ndarray (M,) of int64
        The lowest index of the given strokes in each run; the runs are in this order, and this
        stroke keeps its direction.
    least : int
        The fewest runs that any way of drawing the same ink can have (Euler), dots counted in.
    linked : float
        Length of the ink that was added between ends within the tolerance, in grid units.
    """

    points: IntArray
    offsets: IntArray
    source: IntArray
    least: int
    linked: float

    def __post_init__(self) -> None:
        for array in (self.points, self.offsets, self.source):
            array.flags.writeable = False


@dataclass(frozen=True)
class _Network:
    """Strokes cut into edges wherever a grid point is met more than once."""

    node: IntArray  # of each point
    starts: IntArray  # (E,) index of the first point of each edge
    stops: IntArray  # (E,) and of the last one
    stroke: IntArray  # (E,)


def join(
    points: IntArray,
    offsets: IntArray,
    *,
    tolerance: float = 0.0,
    blocked: Callable[[IntArray], BoolArray] | None = None,
) -> Joined:
    """Join the strokes of one pen into the fewest pen-down runs.

    Parameters
    ----------
    points : ndarray (N, 2) of int64
        Points in whole grid units, no point repeated within a stroke.
    offsets : ndarray (M + 1,) of int64
        Stroke ``k`` is ``points[offsets[k]:offsets[k + 1]]``; one point alone is a dot.
    tolerance : float, default 0.0
        In grid units: ends of strokes up to this far apart may be linked by a straight piece of new
        ink, shortest first, where that saves a lift.
    blocked : callable, optional
        Says which (K,) of some pieces (K, 2, 2) of new ink may not be drawn.

    Returns
    -------
    Joined
        The same segments as given, each as often as given, plus the links. Interior points of
        strokes take part: a closed outline that meets another stroke at any of their common points
        is drawn with it.

    Raises
    ------
    InvalidValue
        If ``tolerance`` is negative or not finite.

    Examples
    --------
    >>> corners = np.array([[0, 0], [5, 0], [5, 0], [5, 5]])
    >>> joined = join(corners, np.array([0, 2, 4]))
    >>> joined.points.tolist(), joined.offsets.tolist(), joined.least
    ([[0, 0], [5, 0], [5, 5]], [0, 3], 1)
    """
    tolerance = not_negative("tolerance", tolerance, unit="grid units")
    points = np.asarray(points, dtype=np.int64).reshape(-1, 2)
    offsets = np.asarray(offsets, dtype=np.int64)
    is_dot = np.diff(offsets) == 1
    inked = np.flatnonzero(~is_dot)
    dots = np.flatnonzero(is_dot)
    lines, line_offsets = _taken(points, offsets, inked)
    linked = 0.0
    if tolerance > 0.0 and len(inked):
        links = _links(lines, line_offsets, tolerance, blocked)
        linked = float(np.hypot(*(links[:, 1] - links[:, 0]).T).sum())
        lines = np.concatenate([lines, links.reshape(-1, 2)])
        line_offsets = np.concatenate(
            [line_offsets, line_offsets[-1] + 2 * np.arange(1, len(links) + 1)]
        )
    runs, run_offsets, first, least = _euler(lines, line_offsets)
    source = inked[first]
    joined, joined_offsets = _with_dots(runs, run_offsets, source, points[offsets[dots]], dots)
    return Joined(
        joined, joined_offsets, np.sort(np.concatenate([source, dots])), least + len(dots), linked
    )


def _taken(points: IntArray, offsets: IntArray, strokes: IntArray) -> tuple[IntArray, IntArray]:
    """The ragged array of some strokes only."""
    sizes = np.diff(offsets)[strokes]
    taken = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    where = np.arange(taken[-1]) + np.repeat(offsets[strokes] - taken[:-1], sizes)
    return points[where], taken


def _numbered(points: IntArray) -> IntArray:
    """Equal points get equal numbers 0, 1, 2, … in the order of x, then y."""
    order = np.lexsort((points[:, 1], points[:, 0]))
    ranked = points[order]
    is_new = (
        np.concatenate([[False], (ranked[1:] != ranked[:-1]).any(axis=1)])
        if len(points)
        else np.zeros(0, dtype=bool)
    )
    node = np.empty(len(points), dtype=np.int64)
    node[order] = np.cumsum(is_new)
    return node


def _network(points: IntArray, offsets: IntArray) -> _Network:
    node = _numbered(points)
    met = np.bincount(node)[node] > 1 if len(node) else np.zeros(0, dtype=bool)
    is_first = np.zeros(len(points), dtype=bool)
    is_last = np.zeros(len(points), dtype=bool)
    is_first[offsets[:-1]] = True
    is_last[offsets[1:] - 1] = True
    starts = np.flatnonzero((met | is_first) & ~is_last)
    stops = np.flatnonzero((met | is_last) & ~is_first)
    return _Network(node, starts, stops, np.searchsorted(offsets, starts, side="right") - 1)


def _mates_in_strokes(network: _Network) -> IntArray:
    """The pen goes through the cuts inside a stroke as the stroke does; the ends of strokes are
    free.
    """
    mate = np.full(2 * len(network.starts), -1, dtype=np.int64)
    inside = np.flatnonzero(network.stroke[1:] == network.stroke[:-1])
    mate[2 * inside + 1] = 2 * inside + 2
    mate[2 * inside + 2] = 2 * inside + 1
    return mate


def _headings(points: IntArray, network: _Network) -> FloatArray:
    """Unit vectors that lead away from the node, one for each end."""
    away = np.empty((len(network.starts), 2, 2), dtype=np.float64)
    away[:, 0] = points[network.starts + 1] - points[network.starts]
    away[:, 1] = points[network.stops - 1] - points[network.stops]
    length = np.sqrt((away**2).sum(axis=2, keepdims=True))
    return (away / np.where(length == 0.0, 1.0, length)).reshape(-1, 2)


def _euler(points: IntArray, offsets: IntArray) -> tuple[IntArray, IntArray, IntArray, int]:
    """Points and offsets of the runs, the lowest stroke in each, and the least number of runs."""
    from plotlib.planning.ordering import join_kernel as kernel

    network = _network(points, offsets)
    mate = _mates_in_strokes(network)
    heading = _headings(points, network)
    node = network.node[np.stack([network.starts, network.stops], axis=1)].reshape(-1)
    ends = np.argsort(node, kind="stable")
    starts = np.searchsorted(node[ends], np.arange(node.max(initial=-1) + 2))
    kernel.pair_ends(mate, heading, starts, ends)
    trail, is_open, pairs, costs = kernel.chances(mate, heading, starts, ends)
    if len(pairs):
        ranked = np.argsort(costs, kind="stable")
        kernel.merge_closed(mate, heading, trail, is_open, pairs, ranked)
    entries, run_starts = kernel.walk(mate)
    runs, run_offsets = _gathered(points, network, entries, run_starts)
    component, count = _components(network)
    return (
        runs,
        run_offsets,
        _lowest(network, entries, run_starts),
        _least(component, count, _odd_nodes(network.node, offsets)),
    )


def _gathered(
    points: IntArray, network: _Network, entries: IntArray, run_starts: IntArray
) -> tuple[IntArray, IntArray]:
    """Points of the runs; an edge after the first of its run leaves out the point that it shares
    with the one before.
    """
    edge = entries >> 1
    backwards = entries & 1
    is_later = np.ones(len(entries), dtype=np.int64)
    is_later[run_starts[:-1]] = 0
    sizes = network.stops[edge] - network.starts[edge] + 1 - is_later
    ends = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    step = 1 - 2 * backwards
    first = np.where(backwards == 1, network.stops[edge], network.starts[edge]) + step * is_later
    where = np.repeat(first, sizes) + np.repeat(step, sizes) * (
        np.arange(ends[-1]) - np.repeat(ends[:-1], sizes)
    )
    return points[where], ends[run_starts]


def _lowest(network: _Network, entries: IntArray, run_starts: IntArray) -> IntArray:
    if len(run_starts) == 1:
        return np.zeros(0, dtype=np.int64)
    return np.minimum.reduceat(network.stroke[entries >> 1], run_starts[:-1])


def _components(network: _Network) -> tuple[IntArray, int]:
    """The connected part of each node, and how many there are."""
    from plotlib.planning.union_find_kernel import components

    nodes = int(network.node.max(initial=-1)) + 1
    a = network.node[:-1]
    b = network.node[1:]
    within = np.ones(len(a), dtype=bool)
    is_cut = np.flatnonzero(np.diff(network.stroke)) + 1
    within[network.starts[is_cut] - 1] = False
    part, count = components(a[within], b[within], nodes)
    return part, int(count)


def _odd_nodes(node: IntArray, offsets: IntArray) -> IntArray:
    """1 for each node where an odd number of strokes end, else 0 (passing through a node adds
    two).
    """
    ends = np.concatenate([node[offsets[:-1]], node[offsets[1:] - 1]])
    return np.bincount(ends, minlength=int(node.max(initial=-1)) + 1).astype(np.int64) % 2


def _least(component: IntArray, count: int, odd: IntArray) -> int:
    """Euler: max(1, odd nodes / 2) runs for each connected part."""
    return int(
        np.maximum(
            1, np.bincount(component, weights=odd, minlength=count).astype(np.int64) // 2
        ).sum()
    )


def _links(
    points: IntArray,
    offsets: IntArray,
    tolerance: float,
    blocked: Callable[[IntArray], BoolArray] | None,
) -> IntArray:
    """Links (K, 2, 2) between ends of strokes that save a lift each, the shortest first."""
    from plotlib.planning.ordering import join_kernel as kernel

    network = _network(points, offsets)
    component, count = _components(network)
    is_odd = _odd_nodes(network.node, offsets)
    odd = np.bincount(component, weights=is_odd, minlength=count).astype(np.int64)
    parent = np.arange(count)
    at = np.concatenate([offsets[:-1], offsets[1:] - 1])
    node, first = np.unique(network.node[at], return_index=True)
    place = points[at[first]]
    links = []
    radius = (
        tolerance / 64.0
    )  # in growing rings, so that ends that are already linked breed no more pairs
    while radius <= tolerance:
        useful = np.flatnonzero((is_odd[node] == 1) | (odd[_roots(parent)[component[node]]] == 0))
        pairs = _pairs_within(place, useful, radius)
        if blocked is not None:
            pairs = pairs[~blocked(place[pairs])]
        chosen = pairs[kernel.choose_links(node[pairs], component, parent, odd, is_odd)]
        links.append(place[chosen])
        radius *= 2.0
    return np.concatenate(links)


def _pairs_within(place: IntArray, useful: IntArray, radius: float) -> IntArray:
    """Pairs of the useful places that are at most ``radius`` apart, the closest first, ties by
    index.
    """
    from scipy.spatial import KDTree

    if len(useful) < 2:
        return np.zeros((0, 2), dtype=np.int64)
    found = KDTree(place[useful]).query_pairs(radius, output_type="ndarray").astype(np.int64)
    pairs = np.sort(useful[found], axis=1)
    apart = ((place[pairs[:, 0]] - place[pairs[:, 1]]) ** 2).sum(axis=1)
    return pairs[np.lexsort((pairs[:, 1], pairs[:, 0], apart))]


def _roots(parent: IntArray) -> IntArray:
    """The representative of every set at once."""
    while True:
        above = parent[parent]
        if np.array_equal(above, parent):
            return above
        parent = above


def _with_dots(
    runs: IntArray, offsets: IntArray, source: IntArray, dots: IntArray, dot_source: IntArray
) -> tuple[IntArray, IntArray]:
    """Runs and dots together, in the order of the given strokes."""
    order = np.argsort(np.concatenate([source, dot_source]), kind="stable")
    every = np.concatenate([offsets, offsets[-1] + 1 + np.arange(len(dots))]).astype(np.int64)
    return _taken(np.concatenate([runs, dots]), every, order)
