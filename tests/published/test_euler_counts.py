"""Fewest strokes of well-known figures.

Sources: L. Euler, *Solutio problematis ad geometriam situs pertinentis*, Comment. Acad. Sci.
Petropolitanae 8 (1741), 128–140: a connected figure with 2k odd nodes takes k strokes, and none
with k = 0 more than one (theorem and the Königsberg degrees 5, 3, 3, 3 from memory). Degrees of
complete graphs (n − 1) and of the Petersen graph (3, ten nodes) are their definitions. Exact: no
tolerance.
"""

from __future__ import annotations

import math
from functools import partial
from itertools import combinations

import pytest

from plotlib.planning.ordering.join import join
from tests.oracles_planning import ragged, segments, strokes_of
from tests.outside import COMPUTED, MEMORY, published

known = partial(
    published,
    module="planning",
    source="L. Euler, Solutio problematis ad geometriam situs pertinentis, 1741",
    kind=MEMORY,
)


def on_circle(count: int, radius: int = 1000, turned: float = 0.0) -> list[tuple[int, int]]:
    angles = [turned + 2 * math.pi * k / count for k in range(count)]
    return [(round(radius * math.cos(a)), round(radius * math.sin(a))) for a in angles]


def complete(count: int):
    return [[a, b] for a, b in combinations(on_circle(count), 2)]


def grid(columns: int, rows: int):
    across = [[(i, j), (i + 1, j)] for i in range(columns) for j in range(rows + 1)]
    return across + [[(i, j), (i, j + 1)] for i in range(columns + 1) for j in range(rows)]


def petersen():
    outer = on_circle(5, turned=0.3)
    inner = on_circle(5, radius=400, turned=0.3)
    ring = [[outer[k], outer[(k + 1) % 5]] for k in range(5)]
    return (
        ring
        + [[inner[k], inner[(k + 2) % 5]] for k in range(5)]
        + [[outer[k], inner[k]] for k in range(5)]
    )


def house():
    a = (0, 0)
    b = (10, 0)
    c = (10, 10)
    d = (0, 10)
    roof = (5, 15)
    return [[a, b], [b, c], [c, d], [d, a], [a, c], [b, d], [c, roof], [roof, d]]


def bridges():
    """Island A, north N, south S, east E; parallel bridges bend."""
    island = (0, 0)
    north = (0, 100)
    south = (0, -100)
    east = (100, 0)
    return [
        [island, (-20, 50), north],
        [island, (20, 50), north],
        [island, (-20, -50), south],
        [island, (20, -50), south],
        [island, east],
        [north, east],
        [south, east],
    ]


FIGURES = {
    "house of Saint Nicholas": (house(), 1),
    "seven bridges": (bridges(), 2),
    "Petersen graph": (petersen(), 5),
    "complete graph on 5": (complete(5), 1),
    "complete graph on 8": (complete(8), 4),
    "complete graph on 9": (complete(9), 1),
    "one cell": (grid(1, 1), 1),
    "grid of 4 by 7 cells": (grid(4, 7), 9),
    "grid of 50 by 50 cells": (grid(50, 50), 98),
}


@known(printed={name: count for name, (_, count) in FIGURES.items()})
@pytest.mark.parametrize("name", FIGURES)
def test_figures_take_the_known_number_of_strokes(name, printed):
    strokes, _ = FIGURES[name]
    joined = join(*ragged(strokes))
    runs = strokes_of(joined.points, joined.offsets)
    assert len(runs) == joined.least == printed[name]
    assert segments(runs) == segments(strokes)


@known()
@pytest.mark.parametrize("name", ["complete graph on 5", "complete graph on 9", "one cell"])
def test_without_odd_nodes_the_one_run_is_closed(name):
    joined = join(*ragged(FIGURES[name][0]))
    assert joined.points[0].tolist() == joined.points[-1].tolist()


@known(
    source="the figure itself", kind=COMPUTED, claim="every crossing of a grid is passed straight"
)
def test_streets_go_straight_on():
    """Every crossing of a grid is passed straight: bends remain only on the rim."""
    joined = join(*ragged(grid(50, 50)))
    for run in strokes_of(joined.points, joined.offsets):
        for (ax, ay), (bx, by), (cx, cy) in zip(run, run[1:], run[2:], strict=False):
            inside = 0 < bx < 50 and 0 < by < 50
            assert not inside or (cx - bx, cy - by) == (bx - ax, by - ay)
