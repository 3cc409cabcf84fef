"""Overlays go on where floating point stops them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from plotlib.arrays import overlay


@pytest.mark.parametrize("name", ["union", "intersection", "difference"])
def test_an_overlay_that_stops_is_done_on_a_grid(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The library's error is played here: which areas bring it about changes with its version."""
    usual = getattr(shapely, name)
    grids = []

    def stops(one: object, other: object, grid_size: float | None = None) -> object:
        grids.append(grid_size)
        if grid_size is None:
            raise shapely.GEOSException("TopologyException: unable to assign free hole to a shell")
        return usual(one, other, grid_size=grid_size)

    one = np.array([shapely.box(0, 0, 3, 1), shapely.box(10, 0, 12, 1)])
    other = np.array([shapely.box(2, 0, 4, 1), shapely.box(11, 0, 14, 1)])
    expected = usual(one, other)
    monkeypatch.setattr(shapely, name, stops)
    found = getattr(overlay, name)(one, other)
    assert grids == [None, 1e-9]
    assert shapely.equals(found, expected).all()
