"""Pieces joined along the edge of the area ink each piece of that edge once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import shapely
from shapely import Point, box

from plotlib import fills
from plotlib.drawing import Drawing

WAVY = shapely.Polygon(
    [
        (far * np.cos(angle), far * np.sin(angle))
        for angle in np.linspace(0, 2 * np.pi, 120, endpoint=False)
        for far in [20 + 3 * np.cos(5 * angle) + 1.5 * np.cos(13 * angle + 1)]
    ]
).difference(Point(6, 2).buffer(6))
AREAS = {"wavy": WAVY, "box": box(-13, -9, 14.3, 11.2).difference(box(-3, -2, 4, 5))}
FILLS: dict[str, Callable[[shapely.Geometry], Drawing]] = {
    "spiral": lambda area: fills.spiral(area, spacing=0.8),
    "scribble": lambda area: fills.scribble(area, spacing=0.9, wildness=2, seed=7),
    "hilbert": lambda area: fills.space_filling(area, spacing=0.85, angle=12),
    "gosper": lambda area: fills.space_filling(area, spacing=1.0, curve="gosper"),
    "hatch": lambda area: fills.hatch(area, spacing=0.8, angle=17, joined=True),
}


def along(drawing: Drawing, edge: shapely.Geometry) -> tuple[float, float]:
    """Mm of ink on an edge, and mm of the edge that are inked, from the segments alone."""
    steps = np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in drawing])
    lines = shapely.linestrings(steps)
    middles = shapely.points(steps.mean(axis=1))
    near = [shapely.dwithin(points, edge, 1e-6) for points in (*shapely.points(steps).T, middles)]
    on = lines[np.logical_and.reduce(near)]
    pieces = shapely.union_all(shapely.buffer(on, 1e-5, cap_style="flat"))
    return float(shapely.length(on).sum()), float(shapely.intersection(edge, pieces).length)


@pytest.mark.parametrize("area", AREAS)
@pytest.mark.parametrize("name", FILLS)
def test_each_piece_of_the_edge_is_inked_once(name: str, area: str) -> None:
    drawing = FILLS[name](AREAS[area])
    ink, edge = along(drawing, AREAS[area].boundary)
    assert ink == pytest.approx(edge, abs=0.01)
    assert ink > 5


@pytest.mark.parametrize("name", ["scribble", "hilbert", "gosper"])
def test_joining_still_saves_lifts(name: str) -> None:
    cut = {
        "scribble": lambda: fills.scribble(WAVY, spacing=0.9, wildness=2, seed=7, joined=False),
        "hilbert": lambda: fills.space_filling(WAVY, spacing=0.85, angle=12, joined=False),
        "gosper": lambda: fills.space_filling(WAVY, spacing=1.0, curve="gosper", joined=False),
    }[name]()
    assert 2 * len(FILLS[name](WAVY)) <= len(cut)
