"""Growth against published values."""

from __future__ import annotations

from collections import Counter
from functools import partial
from typing import Any

import numpy as np
import pytest
from shapely import Point, box

from plotlib import growth
from plotlib.growth.aggregate import _set_up
from plotlib.growth.gray_scott_kernel import advance
from plotlib.growth.mazes import _neighbours
from plotlib.growth.reaction_diffusion import dish_of
from plotlib.growth.room import room
from plotlib.growth.walkers_kernel import walk
from plotlib.growth.wilson_kernel import tree
from tests.outside import COMPUTED, MEMORY, Within, published

known = partial(published, module="growth")


@known(
    source="equations of J. E. Pearson, Science 261, 1993, advanced apart",
    kind=COMPUTED,
    column="means",
    abs=1e-9,
)
@pytest.mark.parametrize(
    ("feed", "kill", "steps", "means"),
    [
        (0.035, 0.065, 100, (0.9807596949, 0.0066124680)),
        (0.035, 0.065, 1000, (0.9857419863, 0.0049902653)),
        (0.04, 0.06, 100, (0.9686684193, 0.0137718406)),
        (0.04, 0.06, 1000, (0.7394604044, 0.1069440021)),
    ],
)
def test_gray_scott_means(
    feed: float, kill: float, steps: int, means: tuple[float, float], within: Within
) -> None:
    """64 x 64 cells, periodic, Du 0.16, Dv 0.08, a square of (0.5, 0.25) on (1, 0): means worked
    out independently, to 1e-9 (equations of J. E. Pearson, Science 261, 1993).
    """
    u = np.ones((66, 66))
    v = np.zeros((66, 66))
    u[29:37, 29:37] = 0.5
    v[29:37, 29:37] = 0.25
    rates = np.ones((66, 66))
    dish = dish_of(
        u, v, feed * rates, kill * rates, inside=np.ones((66, 66), np.bool_), periodic=True
    )
    advance(dish, steps)
    found = dish.u[1:-1, 1:-1].mean(), dish.v[1:-1, 1:-1].mean()
    assert found == within.of(means)


def grid(rows: int, columns: int) -> tuple[np.ndarray, np.ndarray]:
    number = np.arange(rows * columns).reshape(rows, columns)
    one = np.concatenate([number[:, :-1].ravel(), number[:-1].ravel()])
    other = np.concatenate([number[:, 1:].ravel(), number[1:].ravel()])
    return _neighbours(one, other, rows * columns)


@known(
    source="Kirchhoff's theorem",
    kind=COMPUTED,
    column="trees",
    claim="all spanning trees of a grid are drawn, and equally often (chi squared)",
)
@pytest.mark.parametrize(("rows", "columns", "trees"), [(2, 2, 4), (2, 3, 15), (3, 3, 192)])
def test_all_trees_are_equally_likely(rows: int, columns: int, trees: int) -> None:
    """As many trees as Kirchhoff's theorem counts, and all as often: chi squared below its 0.1 %
    point (257.1 for 191 degrees of freedom, 36.1 for 14, 16.3 for 3; tables).
    """
    starts, listed = grid(rows, columns)
    draws = 100 * trees
    seen: Counter[frozenset[tuple[int, int]]] = Counter()
    for seed in range(draws):
        parent = tree(starts, listed, np.array([0]), seed * 7919)
        edges = [(min(k, p), max(k, p)) for k, p in enumerate(parent.tolist()) if p >= 0]
        seen[frozenset(edges)] += 1
    assert len(seen) == trees
    squares = sum((count - 100) ** 2 / 100 for count in seen.values())
    assert squares < {4: 16.3, 15: 36.1, 192: 257.1}[trees]


@known(
    source="closed forms for the infinite grid",
    kind=MEMORY,
    printed=[0.294545, 0.446990, 0.222385, 0.036080],
    abs=0.006,
    claim="shares of cells with 1, 2, 3, 4 neighbours in a uniform tree",
)
def test_degrees_of_a_uniform_tree(within: Within, printed: Any) -> None:
    """.294545, .446990, .222385, .036080 of the inner vertices have 1, 2, 3, 4 neighbours (closed
    forms for the infinite grid, from memory).
    """
    drawing = growth.spanning_tree(box(0, 0, 300, 300), spacing=1, seed=4)
    cells = np.zeros((301, 301), np.int64)
    for stroke in np.split(drawing.points, drawing.offsets[1:-1]):
        (x0, y0), (x1, y1) = np.floor(stroke).astype(int)
        along = np.stack([np.linspace(x0, x1, abs(x1 - x0) + abs(y1 - y0) + 1)] * 2)
        i, j = np.broadcast_arrays(
            np.linspace(x0, x1, along.shape[1]).round().astype(int),
            np.linspace(y0, y1, along.shape[1]).round().astype(int),
        )
        np.add.at(cells, (j[:-1], i[:-1]), 1)
        np.add.at(cells, (j[1:], i[1:]), 1)
    inner = cells[20:280, 20:280]
    shares = [float((inner == degree).mean()) for degree in (1, 2, 3, 4)]
    assert shares == within.of(printed)


@known(
    source="Witten, Sander, Physical Review Letters 47, 1981 (1.70), and larger runs since",
    kind=MEMORY,
    printed=1.71,
    abs=0.05,
    claim="fractal dimension of an aggregate, by its radius of gyration",
)
def test_fractal_dimension_of_an_aggregate(within: Within, printed: Any) -> None:
    """The particles that came first, n of them, have a radius of gyration that grows as
    n ** (1 / dimension).
    """
    slopes = []
    for seed in (1, 2, 3):
        at = particles(50_000, seed)
        count = np.arange(1, len(at) + 1)
        middle = np.cumsum(at, axis=0) / count[:, None]
        squares = np.cumsum((at**2).sum(axis=1)) / count - (middle**2).sum(axis=1)
        some = np.unique(np.geomspace(1_000, len(at), 40).astype(int)) - 1
        slopes.append(np.polyfit(np.log(count[some]), 0.5 * np.log(squares[some]), 1)[0])
    assert 1 / np.mean(slopes) == within.of(printed)


def particles(count: int, seed: int) -> np.ndarray:
    """Where particles stick, in diameters, one after another, with nothing in their way."""
    place = room(Point(0, 0).buffer(850), 1.0, "spacing", 1.0, cells=1.0)
    random = np.random.default_rng(seed)
    cluster, ground, _ = _set_up(np.zeros((1, 2)), place, 1.0, count, random)
    walk(cluster, ground, count, 10**12, 1)
    assert cluster.counts[0] == count
    return cluster.at[:count]
