"""The groups as tables: closed, of the right order, and different from each other."""

from __future__ import annotations

from functools import partial
from itertools import product
from typing import Any

import numpy as np
import pytest

from plotlib import symmetry
from plotlib.errors import UnknownName
from plotlib.symmetry.groups import FRIEZES, IDENTITY, WALLPAPERS, frieze_operations
from tests.outside import COMPUTED, MEMORY, published

known = partial(published, module="symmetry", source="International Tables for Crystallography A")


# shared order of the groups in International Tables A: 1 … 17 (symbols and numbers from memory;
# orders worked out by hand from the general positions)
ORDERS = dict(zip(WALLPAPERS, (1, 2, 2, 2, 4, 4, 4, 4, 8, 4, 8, 8, 3, 6, 6, 6, 12), strict=True))
POINT_GROUPS = dict(
    zip(WALLPAPERS, (1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 8, 8, 3, 6, 6, 6, 12), strict=True)
)


@known(kind=COMPUTED, printed=ORDERS, claim="orders of the seventeen wallpaper groups")
@pytest.mark.parametrize("name", WALLPAPERS)
def test_each_group_is_closed_and_has_the_published_order(name: str, printed: Any) -> None:
    group = symmetry.wallpaper_group(name)
    operations = set(group.operations)
    assert group.operations[0] == IDENTITY
    assert len(operations) == group.order == printed[name]
    assert {a.after(b) for a, b in product(operations, repeat=2)} == operations
    point_group = {operation[:4] for operation in operations}
    assert len(point_group) == POINT_GROUPS[name]


@pytest.mark.parametrize("name", WALLPAPERS)
def test_operations_keep_lengths_in_a_cell_of_the_lattice(name: str) -> None:
    """With the metric of the lattice, each matrix W has Wᵀ G W = G."""
    group = symmetry.wallpaper_group(name)
    metric = {
        "oblique": np.array([[4.0, 1.3], [1.3, 9.0]]),
        "rectangular": np.diag([4.0, 9.0]),
        "square": np.eye(2),
        "hexagonal": np.array([[1.0, -0.5], [-0.5, 1.0]]),
    }[group.lattice]
    for operation in group.operations:
        w = np.array([[operation.a, operation.b], [operation.c, operation.d]], np.float64)
        assert np.array_equal(w.T @ metric @ w, metric)


@known(kind=MEMORY, printed=list(range(1, 18)), claim="numbers of the wallpaper groups")
def test_numbers_and_short_names(printed: Any) -> None:
    assert [symmetry.wallpaper_group(name).number for name in WALLPAPERS] == printed
    for short, name in {"p4m": "p4mm", "cmm": "c2mm", "pgg": "p2gg"}.items():
        assert symmetry.wallpaper_group(short) == symmetry.wallpaper_group(name)
    with pytest.raises(UnknownName, match="p31m"):
        symmetry.wallpaper_group("p5")


@known(kind=MEMORY, claim="in p4gm no fourfold centre lies on a mirror, in p31m one kind of three")
def test_mirrors_through_centres() -> None:
    """In p4gm no fourfold centre lies on a mirror, in p4mm all do; in p3m1 every threefold centre
    lies on one, in p31m one kind of three (International Tables A, from memory).
    """

    def kinds(name: str, turns: int) -> tuple[int, int]:
        """Centres in a cell whose stabiliser holds the turns; of these, those on mirrors."""
        group = symmetry.wallpaper_group(name)
        spots = [np.array([i, j]) / 12 for i, j in product(range(12), repeat=2)]
        centres = mirrored = 0
        for spot in spots:
            images = [(o.applied(spot[None])[0], o) for o in group.operations]
            fixed = [o for image, o in images if np.allclose(image - spot, np.round(image - spot))]
            rotations = [o for o in fixed if o.a * o.d - o.b * o.c == 1]
            if len(rotations) == turns:
                centres += 1
                mirrored += len(fixed) > len(rotations)
        return centres, mirrored

    assert kinds("p4gm", 4) == (2, 0)
    assert kinds("p4mm", 4) == (2, 2)
    assert kinds("p3m1", 3) == (3, 3)
    assert kinds("p31m", 3) == (3, 1)


def test_friezes() -> None:
    """Orders 1 2 2 2 2 4 4 (worked out by hand)."""
    wanted = {"p1": 1, "p11g": 2, "p1m1": 2, "p2": 2, "p11m": 2, "p2mg": 4, "p2mm": 4}
    assert {name: len(frieze_operations(name)) for name in FRIEZES} == wanted
    for name in FRIEZES:
        operations = set(frieze_operations(name))
        assert {a.after(b) for a, b in product(operations, repeat=2)} == operations
        assert all(operation.t == 0 and operation.b == 0 == operation.c for operation in operations)
