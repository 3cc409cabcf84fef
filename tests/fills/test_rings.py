"""What the laying of rings tells while it works."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, affinity, box

from plotlib import fills, progress
from plotlib.fills import rings


def test_rings_tell_which_share_of_the_area_they_have_covered() -> None:
    two = MultiPolygon([box(0, 0, 20, 20), box(30, 0, 50, 10)])
    told: list[float] = []

    def heard(what: str, share: float | None) -> None:
        if what == "laying rings into an area" and share is not None:
            told.append(share)

    progress.listen(heard)
    try:
        fills.contour(two, spacing=1)
    finally:
        progress.listen_on_stderr()
    assert told == sorted(told)
    # The first ring is the edge itself, 20 x 20 and 20 x 10 mm; within the second lie 18 x 18.
    whole = 20 * 20 + 20 * 10
    assert told[1] == pytest.approx((20 * 20 - 18 * 18) / whole, rel=1e-3)
    assert any(share == pytest.approx(20 * 20 / whole, abs=0.01) for share in told)


def limbs(random: np.random.Generator) -> shapely.Polygon:
    """A body with thin limbs, wedges, and now and then a hole or a second body."""
    made = [box(0, 0, 4, 3)]
    for _ in range(int(random.integers(1, 4))):
        long = random.uniform(0.1, 3.0)
        wide = random.uniform(0.05, 0.5)
        limb = box(0, -wide, 2 + long, wide)
        if random.random() < 0.5:
            limb = shapely.Polygon([(0, -wide), (0, wide), (2 + 4 * long, 0)])
        made.append(affinity.translate(affinity.rotate(limb, random.uniform(0, 360)), 2, 1.5))
    if random.random() < 0.3:
        made.append(box(4.5, 0, 6, 3))
    whole = shapely.union_all(made)
    if random.random() < 0.3:
        whole = whole.difference(box(0.3, 1, 0.6, 2))
    return max(shapely.get_parts(whole), key=shapely.area)


def test_arms_are_found_where_the_quick_look_says_there_may_be_some(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The quick look spares the difference of areas and changes nothing."""
    random = np.random.default_rng(5)
    areas = [limbs(random) for _ in range(150)]
    quick = [rings._broad(area, 0.2) for area in areas]
    monkeypatch.setattr(rings, "_is_broad", lambda *_: False)
    slow = [rings._broad(area, 0.2) for area in areas]
    assert [shapely.to_wkb(parts).tolist() for parts in map(np.array, quick)] == [
        shapely.to_wkb(parts).tolist() for parts in map(np.array, slow)
    ]
    cut = sum(
        len(parts) != 1 or parts[0] is not area for parts, area in zip(slow, areas, strict=True)
    )
    assert 30 < cut < 120
