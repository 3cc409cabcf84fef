"""Trees as strokes: their widths by the pipe rule, and the few paths that a pen draws."""

from __future__ import annotations

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import FloatArray, IntArray


def pipe_widths(parent: IntArray, exponent: float) -> FloatArray:
    """The width (n,) of each node of a forest, where tips have 1: a power of the widths is kept at
    each fork, ``width ** exponent`` of a node is the sum over its children.

    With exponent 2 cross-sections are kept (Leonardo da Vinci's rule), with 3 the flow costs least
    (C. D. Murray, *The Physiological Principle of Minimum Work*, PNAS 1926). ``parent`` (n,) is -1
    for roots, and comes before its children.
    """
    total = np.zeros(len(parent))
    for k in range(len(parent) - 1, -1, -1):
        if total[k] == 0.0:
            total[k] = 1.0
        if parent[k] >= 0:
            total[parent[k]] += total[k]
    return np.asarray(total ** (1.0 / exponent))


def branch_paths(parent: IntArray, weight: FloatArray) -> list[list[int]]:
    """Each edge of a forest on one path from a fork outwards: at a fork the heaviest child goes on,
    each other one begins a path of its own, at the fork.
    """
    heaviest = _heaviest(parent, weight)
    paths = []
    for k in range(len(parent)):
        fork = int(parent[k])
        if fork >= 0 and heaviest[fork] == k:
            continue
        path = [k] if fork < 0 else [fork, k]
        while heaviest[path[-1]] >= 0:
            path.append(int(heaviest[path[-1]]))
        if len(path) > 1:
            paths.append(path)
    return paths


def fewest_paths(parent: IntArray, weight: FloatArray) -> list[list[int]]:
    """Each edge of a forest on one of as few paths as there can be: half as many as nodes where an
    odd number of edges meet, since each of them ends a path.

    At a fork the heaviest path goes on to the parent, and the others are joined in pairs.
    """
    open_paths: list[list[list[int]]] = [[] for _ in parent]
    done = []
    for k in range(len(parent) - 1, -1, -1):
        here = open_paths[k]
        here.sort(key=lambda path: weight[path[-1]])
        for path in here:
            path.append(k)
        onward: list[int] | None = None
        if parent[k] >= 0:
            onward = here.pop() if here else [k]
            open_paths[parent[k]].append(onward)
        while len(here) > 1:
            done.append(here.pop() + here.pop()[-2::-1])
        done += here
        open_paths[k] = []
    return done


def _heaviest(parent: IntArray, weight: FloatArray) -> IntArray:
    """The heaviest child (n,) of each node, the first of equal ones, -1 of tips."""
    order = np.lexsort((np.arange(len(parent)), -weight))
    order = order[parent[order] >= 0]
    found = np.full(len(parent), -1, np.int64)
    fork, first = np.unique(parent[order], return_index=True)
    found[fork] = order[first]
    return found


def drawn_paths(at: FloatArray, paths: list[list[int]]) -> ragged.Ragged:
    """Paths of nodes as strokes."""
    counts = np.array([len(path) for path in paths], np.int64)
    nodes = np.fromiter((k for path in paths for k in path), np.int64, int(counts.sum()))
    return at[nodes], ragged.offsets_of(counts)
