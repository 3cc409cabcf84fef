"""How well areas are filled by one stroke: whether it is one, crosses nothing, keeps its spacing
(``share_within`` of tests/oracles_fills.py: the local thickness between the passes).

Run with ``python tests/benchmarks/one_stroke.py``; give names of figures to print only those.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import shapely
import shapely.affinity
from fills import gears, islands, letters

from plotlib import fills, shapes
from plotlib.pen import Pen

sys.path.insert(0, str(Path(__file__).parents[1]))
from oracles_fills import share_within


def spirals() -> Iterator[tuple[str, shapely.Geometry]]:
    """Bands wound up, 6 mm wide."""
    for turns in (2, 3, 4):
        angle = np.linspace(1.5 * np.pi, 2 * np.pi * (turns + 0.75), 100 * turns)
        far = 9.0 * angle / (2 * np.pi)
        way = far[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        yield f"spiral of {turns}", shapely.buffer(shapely.linestrings(way), 3.0)


def combs() -> Iterator[tuple[str, shapely.Geometry]]:
    """Combs with teeth 4 to 9 mm wide."""
    for wide in (4.0, 6.0, 9.0):
        teeth = [shapely.box(k * 1.6 * wide, 0, k * 1.6 * wide + wide, 40) for k in range(5)]
        yield f"comb of {wide:g}", shapely.union_all([*teeth, shapely.box(0, 0, 7.4 * wide, wide)])


def thin_rings() -> Iterator[tuple[str, shapely.Geometry]]:
    """Rings 3 to 8 mm wide."""
    for wide in (3.0, 5.0, 8.0):
        disc = shapely.Point(0, 0).buffer(30, 64)
        yield f"ring of {wide:g}", disc.difference(shapely.Point(0, 0).buffer(30 - wide, 64))


def areas() -> list[tuple[str, shapely.Geometry]]:
    """The thirty test areas."""
    return [
        *list(islands(10)),
        *list(letters())[:8],
        *spirals(),
        *combs(),
        *thin_rings(),
        *list(gears())[:2],
        ("star", shapely.Polygon(shapes.star((0, 0), 30, tips=7)[0])),
    ]


def blob(seed: int) -> shapely.Polygon:
    """A random area about 30 mm wide, some with a hole."""
    rng = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    far = np.full(len(angle), 15.0)
    for wave in range(1, 7):
        far += rng.normal(0, 4.0 / wave) * np.cos(wave * angle + rng.uniform(0, 2 * np.pi))
    outline = np.maximum(far, 3.0)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    hole = shapely.Point(rng.uniform(-4, 4, 2)).buffer(rng.uniform(0, 4))
    return max(
        shapely.get_parts(shapely.Polygon(outline).difference(hole)), key=lambda part: part.area
    )


def row(name: str, area: shapely.Geometry, spacing: float) -> tuple[float, ...]:
    """Fill an area, print how it went, and say it again as numbers."""
    begin = time.process_time()
    drawing = fills.one_stroke(area, spacing=spacing)
    took = time.process_time() - begin
    lines = shapely.MultiLineString(list(drawing))
    parts = len(shapely.get_parts(area.buffer(-spacing / 4)))
    simple = lines.is_simple
    inside = area.covers(lines)
    even = share_within(drawing, area, spacing)
    inked = fills.coverage(drawing.inked(Pen("wide", width=spacing)), area).covered
    print(
        f"{name:14s} {spacing:5.2f} {len(drawing):3d} of {parts} {simple!s:5s} {inside!s:5s} "
        f"{100 * even:6.1f} %   {100 * inked:6.1f} % {took:6.2f} s"
    )
    return float(len(drawing) == parts and simple and inside), even, inked, took


HEAD = "area           mm    strokes  simple inside within 15 %  covered      CPU"


def thirty() -> None:
    """The thirty areas at two spacings."""
    for spacing in (0.5, 0.8):
        print(HEAD)
        rows = [row(name, area, spacing) for name, area in areas()]
        good, even = np.array(rows)[:, 0], np.array(rows)[:, 1]
        print(
            f"{good.sum():.0f} of {len(rows)} whole; within 15 % of the spacing over "
            f"{even.min():.3f} of the area at the least, {even.mean():.3f} in the mean, "
            f"{(even >= 0.95).sum()} over 0.95"
        )


def blobs(count: int = 1_000, spacing: float = 0.8) -> None:
    """Random areas: how many are one whole stroke, and how even those are."""
    begin = time.process_time()
    even = []
    broken = []
    for seed in range(count):
        area = blob(seed)
        drawing = fills.one_stroke(area, spacing=spacing)
        lines = shapely.MultiLineString(list(drawing))
        parts = len(shapely.get_parts(area.buffer(-spacing / 4)))
        share = drawing.length * spacing / area.area
        whole = len(drawing) == parts and lines.is_simple and area.covers(lines)
        if not whole or share < 0.85:
            broken.append(seed)
        even.append(share_within(drawing, area, spacing))
        if seed % 100 == 99:
            print(f"{seed + 1} blobs, {time.process_time() - begin:.0f} s", flush=True)
    print(
        f"{count} blobs: {count - len(broken)} whole (not: {broken}); within 15 % of the spacing "
        f"mean {np.mean(even):.3f}, 5 % of them below {np.percentile(even, 5):.3f}; "
        f"{time.process_time() - begin:.0f} s"
    )


def speed() -> None:
    """An island of 50,000 mm² and a disc of as much at 0.5 mm."""
    fills.one_stroke(shapely.box(0, 0, 9, 9), spacing=1)
    island = list(islands(5))[4][1]
    size = (50_000 / island.area) ** 0.5
    scaled = shapely.affinity.scale(island, size, size)
    for name, area in (("disc", shapely.Point(0, 0).buffer(126.2, 64)), ("island", scaled)):
        begin = time.process_time()
        drawing = fills.one_stroke(area, spacing=0.5)
        print(f"{name:8s} {area.area:8.0f} mm²  {time.process_time() - begin:6.2f} s  {drawing}")


FIGURES = {"thirty": thirty, "blobs": blobs, "speed": speed}

if __name__ == "__main__":
    for figure in sys.argv[1:] or FIGURES:
        FIGURES[figure]()
