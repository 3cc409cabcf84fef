"""Nodes of strokes that keep their distance from strokes before them: a fixed-radius search over a
grid of cells with linked lists.

Source: J. L. Bentley, D. F. Stanat, E. H. Williams, The complexity of finding fixed-radius near
neighbors (1977). Invariant: the lists hold the free nodes of all strokes before the one that is
looked at, each in the cell of its place, so that neighbours lie in nine cells. Oracle: all pairs,
in tests/test_redrawing.py.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled_above


@compiled_above(2_000)
def free_nodes(
    nodes: FloatArray, offsets: IntArray, cells: IntArray, columns: int, head: IntArray, far: float
) -> BoolArray:
    """Which nodes (K, 2) of strokes (``offsets``) are at least ``far`` from all free nodes of
    earlier strokes.

    ``cells`` (K,) is the cell of each node in a grid of ``columns``, with an empty cell all round;
    ``head`` (cells,) begins as -1 and holds the last node put into each cell.
    """
    free = np.ones(len(nodes), np.bool_)
    before = np.full(len(nodes), -1, np.int64)
    limit = far * far
    for stroke in range(len(offsets) - 1):
        for k in range(offsets[stroke], offsets[stroke + 1]):
            for row in range(-1, 2):
                for column in range(-1, 2):
                    other = head[cells[k] + row * columns + column]
                    while other >= 0 and free[k]:
                        dx = nodes[other, 0] - nodes[k, 0]
                        dy = nodes[other, 1] - nodes[k, 1]
                        if dx * dx + dy * dy < limit:
                            free[k] = False
                        other = before[other]
        for k in range(offsets[stroke], offsets[stroke + 1]):
            if free[k]:
                before[k] = head[cells[k]]
                head[cells[k]] = k
    return free
