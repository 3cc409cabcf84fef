"""How well and how quickly areas are filled, covered and stacked.

Run with ``python tests/benchmarks/fills.py``; give names of figures to print only those.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator

import numpy as np
import shapely
from shapely import affinity

from plotlib import fields, fills, regions, shapes
from plotlib.drawing import Drawing
from plotlib.pen import Pen
from plotlib.text import lettering

PEN = Pen("broad", width=1.0)


def letters() -> Iterator[tuple[str, shapely.Geometry]]:
    """Letters 40 mm high with strokes of 5 to 7 mm."""
    for k, letter in enumerate("SKERYILMOTFABHGX"):
        strokes = lettering(letter, height=40, face="roman simplex").to_shapely()
        yield (
            letter,
            shapely.union_all(
                shapely.buffer(
                    strokes, 2.5 + 0.25 * (k % 5), cap_style="flat" if k % 2 else "round"
                )
            ),
        )


def gears() -> Iterator[tuple[str, shapely.Geometry]]:
    """Gears of 6 to 22 teeth with a bore."""
    for teeth in range(6, 23):
        angle = np.linspace(0, 2 * np.pi, 4 * teeth, endpoint=False)
        far = np.where(np.arange(4 * teeth) % 4 < 2, 22.0, 18.0)
        rim = shapely.Polygon(far[:, None] * np.column_stack([np.cos(angle), np.sin(angle)]))
        yield f"gear {teeth}", rim.difference(shapely.Point(0, 0).buffer(3 + teeth / 5))


def islands(count: int = 17) -> Iterator[tuple[str, shapely.Geometry]]:
    """Islands with lakes."""
    for seed in range(count):
        height = (
            fields.perlin(scale=24, seed=seed, octaves=4) * 60
            - fields.distance_to_point((40, 40))
            + 22
        )
        land = fields.bands(height, shapely.box(0, 0, 80, 80), levels=[0])[1]
        lake = fields.bands(
            fields.perlin(scale=14, seed=seed + 99), shapely.box(0, 0, 80, 80), levels=[0.22]
        )[1]
        land = max(shapely.get_parts(land), key=lambda part: part.area)
        yield (
            f"island {seed}",
            max(
                shapely.get_parts(land.difference(lake.intersection(land.buffer(-4)))),
                key=lambda part: part.area,
            ),
        )


def blob(corners: int, size: float, waves: int, seed: int = 0) -> shapely.Polygon:
    """A ragged outline of many corners."""
    rng = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    far = size * (0.35 + 0.1 * np.sin(waves * angle) + 0.002 * rng.random(corners))
    return shapely.Polygon(far[:, None] * np.column_stack([np.cos(angle), np.sin(angle)]))


def timed(work: Callable[[], object]) -> float:
    """Seconds of the quicker of two runs; the first one compiles."""
    best = np.inf
    for _ in range(2):
        begin = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - begin)
    return best


def hatching() -> None:
    """Speed of hatching."""
    many = [
        affinity.translate(blob(50, 10, 5, seed), 10 * (seed % 100), 10 * (seed // 100))
        for seed in range(10_000)
    ]
    whole = shapely.MultiPolygon([part for part in many if part.is_valid])
    print(
        f"10,000 polygons of 50 corners, one call each     "
        f"{timed(lambda: [fills.hatch(p, spacing=0.5, angle=30) for p in many]):6.2f} s"
    )
    print(
        f"10,000 polygons of 50 corners, one call          "
        f"{timed(lambda: fills.hatch(whole, spacing=0.5, angle=30)):6.2f} s"
    )
    print(
        f"... with a pen                                   "
        f"{timed(lambda: fills.hatch(whole, spacing=0.5, angle=30, pen=PEN)):6.2f} s"
    )
    coast = affinity.scale(blob(100_000, 420, 400), 1.0, 0.7)
    print(
        f"A3, 100,000 corners, 0.3 mm                      "
        f"{timed(lambda: fills.hatch(coast, spacing=0.3, angle=30)):6.2f} s"
    )
    print(
        f"... with a pen and joined                        "
        f"{timed(lambda: fills.hatch(coast, spacing=0.3, pen=PEN, joined=True)):6.2f} s"
    )


def joining() -> None:
    """Lifts saved by joining, on the islands."""
    plain = joined = 0
    for _, area in islands():
        for angle in (0, 30, 77):
            plain += len(fills.hatch(area, spacing=0.8, angle=angle, pen=PEN))
            joined += len(fills.hatch(area, spacing=0.8, angle=angle, pen=PEN, joined=True))
    print(
        f"islands, hatched at 0.8 mm: {plain:,} strokes, joined {joined:,}: {plain / joined:.1f} "
        f"times fewer lifts"
    )


def covering() -> None:
    """Solid filling of fifty shapes beside plain hatching."""
    print(
        "shape        bare %  bare disc / pen  double %  beyond %  ink/limit  corners %  lifts "
        "(hatch)  "
        "ink mm "
        "(hatch)   s    method"
    )
    rows = []
    for name, area in [*letters(), *gears(), *islands()]:
        begin = time.perf_counter()
        fill = fills.measured_solid(area, pen=PEN)
        took = time.perf_counter() - begin
        plain = fills.hatch(area, spacing=0.8 * PEN.width, pen=PEN)
        limit = 1.15 * (area.area / 0.8 + area.length)
        beyond = 100 * (fill.cover.double - 0.25)
        measure = [
            100 * fill.cover.bare,
            beyond,
            fill.drawing.length / limit,
            len(fill.drawing),
            len(plain),
            fill.drawing.length,
            plain.length,
            fill.widest / PEN.width,
        ]
        rows.append(measure)
        print(
            f"{name:12s} {measure[0]:6.2f} {fill.widest / PEN.width:16.3f} "
            f"{100 * fill.cover.double:8.1f} {beyond:9.1f} "
            f"{measure[2]:10.2f} {100 * fill.unreached:9.2f} "
            f"{measure[3]:7d} ({measure[4]:4d}) {measure[5]:9.0f} ({measure[6]:6.0f}) {took:5.2f} "
            f" {fill.method}"
        )
    bare, double, share = (np.array(rows)[:, column] for column in range(3))
    lifts, hatch_lifts, ink, hatch_ink = np.array(rows)[:, 3:7].sum(axis=0)
    print(
        f"{len(rows)} shapes: bare up to {bare.max():.2f} %, discs up to "
        f"{np.array(rows)[:, 7].max():.3f} of the pen's width, double beyond it mean "
        f"{double.mean():.1f} %, worst {double.max():.1f} %,"
    )
    print(
        f"ink at most {share.max():.2f} of the limit; lifts {lifts:.0f} (hatch "
        f"{hatch_lifts:.0f}), ink {ink:.0f} mm (hatch {hatch_ink:.0f})"
    )


def stacking() -> None:
    """Hidden lines of 5,000 overlapping shapes."""
    rng = np.random.default_rng(4)
    places = rng.uniform(0, 400, (5_000, 2))
    sizes = rng.uniform(3, 15, 5_000)
    shown = [
        shapes.star(place, size, tips=9, inner=size * 0.6)
        for place, size in zip(places, sizes, strict=True)
    ]
    drawn: list[Drawing] = []
    took = timed(lambda: drawn.append(regions.stack(shown, gap=0.4)))
    whole = sum(shape.length for shape in shown)
    print(
        f"stack of 5,000 stars over 400 x 400 mm            {took:6.2f} s; "
        f"{100 * drawn[0].length / whole:.0f} % of the lines are seen"
    )


def growth() -> None:
    """CPU time of solid fills and random dots as areas grow, and the exponent in the area."""
    fills.solid(shapely.box(0, 0, 3, 3))
    fills.dots(shapely.box(0, 0, 9, 9), spacing=1, layout="random")
    makers: dict[str, Callable[[float], Drawing]] = {
        "solid, star of 7 tips": lambda size: fills.solid(
            shapes.star((0, 0), 1.21 * size, tips=7, inner=0.545 * size)
        ),
        "random dots, 1 mm": lambda size: fills.dots(
            shapely.box(0, 0, 2 * size, size), spacing=1, layout="random"
        ),
    }
    for name, make in makers.items():
        took = []
        for size in (125.0, 250.0, 500.0):
            begin = time.process_time()
            drawing = make(size)
            took.append(time.process_time() - begin)
            print(f"{name:24s} box {2 * size**2 / 1e6:5.2f} m²  {took[-1]:6.2f} s  {drawing}")
        exponent = np.log(took[-1] / took[0]) / np.log(16)
        print(f"{name:24s} time grows with the area to the power {exponent:.2f}")


FIGURES = {
    "hatching": hatching,
    "joining": joining,
    "covering": covering,
    "stacking": stacking,
    "growth": growth,
}

if __name__ == "__main__":
    for figure in sys.argv[1:] or FIGURES:
        FIGURES[figure]()
