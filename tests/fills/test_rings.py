"""What the laying of rings tells while it works."""

from __future__ import annotations

import pytest
from shapely import MultiPolygon, box

from plotlib import fills, progress


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
