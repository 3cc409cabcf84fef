"""Crumbs that an edge leaves of strokes are left out when asked, and nothing else is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from shapely import Point, box

from plotlib import fills, regions, shapes
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue

AREA = box(0, 0, 23, 17).difference(Point(9, 8).buffer(5)).union(Point(23, 9).buffer(6))
MOTIF = Drawing([[(0.2, 0.2), (2.3, 1.9)], [(1.0, 1.2)]])
FILLS: dict[str, Callable[..., Drawing]] = {
    "hatch": lambda **k: fills.hatch(AREA, spacing=0.3, angle=20, **k),
    "hatch, joined": lambda **k: fills.hatch(AREA, spacing=0.3, angle=20, joined=True, **k),
    "cross_hatch": lambda **k: fills.cross_hatch(AREA, spacing=0.3, **k),
    "spiral": lambda **k: fills.spiral(AREA, spacing=0.4, joined=False, **k),
    "concentric": lambda **k: fills.concentric(AREA, spacing=0.4, **k),
    "radial": lambda **k: fills.radial(AREA, count=500, centre=(1, 1), **k),
    "wave": lambda **k: fills.wave(AREA, spacing=0.5, amplitude=0.9, wavelength=3, **k),
    "zigzag": lambda **k: fills.zigzag(AREA, spacing=0.5, amplitude=0.9, wavelength=3, **k),
    "scribble": lambda **k: fills.scribble(AREA, spacing=0.8, joined=False, **k),
    "space_filling": lambda **k: fills.space_filling(
        AREA, spacing=0.7, curve="gosper", joined=False, **k
    ),
    "tiles": lambda **k: fills.tiles(AREA, size=2.0, **k),
    "tiles, squares": lambda **k: fills.tiles(AREA, size=0.2, tiling="squares", angle=9, **k),
}


@pytest.mark.parametrize("name", FILLS)
def test_fills_leave_out_what_is_shorter(name: str) -> None:
    everything = FILLS[name]()
    least = float(np.quantile(everything.lengths, 0.05)) + 1e-9
    crumbs = everything.lengths < least
    assert 0 < crumbs.sum() < len(everything)
    assert FILLS[name](shortest=least) == everything[~crumbs]
    with pytest.raises(InvalidValue, match="shortest"):
        FILLS[name](shortest=-1)


def both_ways(drawing: Drawing, area: Any, shortest: float) -> list[Drawing]:
    return [drawing.clipped(area, shortest=shortest), drawing.erased(area, shortest=shortest)]


def test_what_is_cut_off_is_left_out_and_what_was_short_stays() -> None:
    lines = Drawing([[(0, 0), (10, 0)], [(0, 1), (0.3, 1)], [(5, 2)], [(9.8, 3), (20, 3)]])
    inside, outside = both_ways(lines, box(-1, -1, 9.9, 9), 0.5)
    assert [len(stroke) for stroke in inside] == [2, 2, 1]
    assert inside.lengths.tolist() == pytest.approx([9.9, 0.3, 0.0])
    assert outside.lengths.tolist() == pytest.approx([10.1])
    for drawing, plain in zip(both_ways(lines, AREA, 0.0), both_ways(lines, AREA, 0), strict=True):
        assert drawing == plain


def test_patterns_keep_the_dots_of_their_motif() -> None:
    plain = fills.pattern(AREA, MOTIF, width=2.5, height=2.5)
    kept = fills.pattern(AREA, MOTIF, width=2.5, height=2.5, shortest=1.0)
    assert (kept.lengths == 0).sum() == (plain.lengths == 0).sum() > 0
    assert kept.lengths[kept.lengths > 0].min() >= 1.0
    assert len(kept) < len(plain)


def test_stacks_leave_out_crumbs_between_silhouettes() -> None:
    rng = np.random.default_rng(5)
    items = [
        shapes.circle((x, y), 3) + shapes.line((x, y), (x + 0.1, y))
        for x, y in rng.uniform(0, 20, (60, 2))
    ]
    plain = regions.stack(items)
    kept = regions.stack(items, shortest=0.8)
    whole = np.isclose(plain.lengths, 0.1)
    assert (plain.lengths[~whole] < 0.8).any()
    assert kept == plain[whole | (plain.lengths >= 0.8)]
