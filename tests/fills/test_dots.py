"""Random dots over areas larger than a sheet."""

from __future__ import annotations

from importlib import import_module

import numpy as np
import pytest
from scipy.spatial import KDTree
from shapely import Point, box

from plotlib import fills
from plotlib.errors import InvalidValue
from plotlib.fills.sparse_kernel import board, spread
from tests.oracles_fills import plain_darts
from tests.outside import MEMORY, Within, published


@published(
    module="fills",
    source="E. L. Hinrichsen, J. Feder, T. Joessang, J. Stat. Phys. 44, 1986",
    kind=MEMORY,
    printed=0.547,
    rel=0.1,
    claim="disks thrown at random until none fits cover",
)
def test_what_counts_is_dots_and_not_darts(within: Within, printed: float) -> None:
    """A quarter of a square metre: 6 million darts in chunks."""
    dots = fills.dots(box(0, 0, 500, 500), spacing=1, layout="random", seed=1)
    gaps = KDTree(dots.points).query(dots.points, k=2)[0][:, 1]
    assert gaps.min() >= 1.0
    # Disks thrown at random until none fits cover 0.547 of the plane (random sequential adsorption,
    # E. L. Hinrichsen, J. Feder and T. Joessang, J. Stat. Phys. 44, 1986; from memory): dots are
    # disks of half the distance. 24 darts for each dot come within a tenth of it.
    share = len(dots) * np.pi / 4 / 500**2
    assert (1 - within.rel) * printed < share < printed


@pytest.mark.parametrize(("left", "bottom", "distance"), [(0.0, 0.0, 1.0), (-31.7, 5.3, 1.37)])
def test_the_board_keeps_the_darts_that_all_pairs_keep(
    left: float, bottom: float, distance: float
) -> None:
    """The slow way compares each dart with all dots. Darts on the grid's lines, and such as lie at
    the distance from a dot but for the last bit, are among them.
    """
    random = np.random.default_rng(6)
    bounds = (left, bottom, left + 12.0, bottom + 9.0)
    darts = random.uniform(bounds[:2], bounds[2:], (3_000, 2))
    turn = random.uniform(0, 2 * np.pi, (200, 1))
    near = darts[:200] + distance * np.column_stack([np.cos(turn), np.sin(turn)])
    cell = distance / np.sqrt(2.0) / 4.0
    on_lines = darts[:200] - (darts[:200] - bounds[:2]) % cell
    darts = np.concatenate([darts[:900], near, on_lines, darts[900:]])
    darts = darts[((darts >= bounds[:2]) & (darts <= bounds[2:])).all(axis=1)]
    kept = plain_darts(darts, distance)
    one_go = board(bounds, distance)
    assert np.array_equal(darts[spread(one_go, darts, True)], kept)
    filtered = board(bounds, distance)
    for lot in np.array_split(darts, 7):
        spread(filtered, lot[spread(filtered, lot, False)], True)
    assert np.array_equal(filtered.found[: filtered.number[0]], kept)
    assert len(kept) > 30


def test_chunks_do_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    area = Point(0, 0).buffer(30).difference(box(3, 3, 9, 20))
    whole = fills.dots(area, spacing=0.7, layout="random", seed=4)
    monkeypatch.setattr(import_module("plotlib.fills.dots"), "_AT_ONCE", 1_000)
    assert fills.dots(area, spacing=0.7, layout="random", seed=4) == whole


def test_more_dots_than_any_machine_would_draw_are_refused() -> None:
    with pytest.raises(InvalidValue, match="wider spacing"):
        fills.dots(box(0, 0, 2000, 1000), spacing=0.5, layout="random")
