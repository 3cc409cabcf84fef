"""Random dots over areas larger than a sheet."""

from __future__ import annotations

from importlib import import_module

import numpy as np
import pytest
from scipy.spatial import KDTree
from shapely import Point, box

from plotlib import fills
from plotlib.errors import InvalidValue
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


def test_chunks_do_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    area = Point(0, 0).buffer(30).difference(box(3, 3, 9, 20))
    whole = fills.dots(area, spacing=0.7, layout="random", seed=4)
    monkeypatch.setattr(import_module("plotlib.fills.dots"), "_AT_ONCE", 1_000)
    assert fills.dots(area, spacing=0.7, layout="random", seed=4) == whole


def test_more_dots_than_any_machine_would_draw_are_refused() -> None:
    with pytest.raises(InvalidValue, match="wider spacing"):
        fills.dots(box(0, 0, 2000, 1000), spacing=0.5, layout="random")
