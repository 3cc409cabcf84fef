"""Processor time of tilings with about 20,000 tiles: ``python tests/benchmarks/tilings.py``.

Every row stands in one run; each maker is warmed first with a few tiles.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import Any

from shapely import box
from shapely.geometry.base import BaseGeometry

from plotlib import tilings

SHEET = box(0, 0, 420, 297)
CORNER = box(0, 0, 30, 20)
ARCHIMEDEAN = {
    "3.3.3.3.3.3": 3.8,
    "4.4.4.4": 2.5,
    "6.6.6": 1.55,
    "3.3.3.3.6": 3.07,
    "3.3.3.4.4": 3.2,
    "3.3.4.3.4": 3.2,
    "3.4.6.4": 2.42,
    "3.6.3.6": 2.35,
    "3.12.12": 1.25,
    "4.6.12": 1.4,
    "4.8.8": 1.47,
}
Maker = Callable[[BaseGeometry], Any]


def makers() -> dict[str, Maker]:
    """Each with sides that make some 20,000 tiles of the sheet."""
    found: dict[str, Maker] = {
        f"archimedean {name}": partial(tilings.archimedean, name=name, side=side)
        for name, side in ARCHIMEDEAN.items()
    }
    for fold, side in ((5, 2.77), (4, 2.77), (7, 2.77), (12, 2.9), (40, 2.8)):
        found[f"rhombs, {fold} directions"] = partial(tilings.rhombs, fold=fold, side=side)
    found["kites and darts"] = partial(tilings.kites_and_darts, side=3.5)
    found["hats"] = partial(tilings.hats, side=0.67)
    found["turtles"] = partial(tilings.hats, side=1.05, ratio=3**-0.5)
    found["truchet"] = partial(tilings.truchet, side=2.5)
    found["truchet, three arcs"] = partial(tilings.truchet, side=2.5, arcs=3)
    found["multi-scale truchet, one size"] = partial(tilings.multiscale_truchet, side=2.5, levels=1)
    found["multi-scale truchet, three sizes"] = partial(tilings.multiscale_truchet, side=5.4)
    found["multi-scale truchet, six sizes"] = partial(
        tilings.multiscale_truchet, side=20, levels=6, share=0.55
    )
    for pattern, side in (("aperiodic", 1.4), ("all five", 1.75)):
        found[f"girih, {pattern}"] = partial(tilings.girih, pattern=pattern, side=side)
    found["wang, eight"] = partial(tilings.wang, side=2.5)
    found["wang, sixteen"] = partial(tilings.wang, tiles="sixteen", side=2.5)
    for p, q in ((7, 3), (5, 4), (3, 7)):
        found[f"hyperbolic {p}, {q}"] = partial(_bent, p, q)
    return found


def _bent(p: int, q: int, area: BaseGeometry) -> tilings.DiscTiling:
    least = {3: 0.053}.get(p, 0.03)
    return tilings.hyperbolic(p, q, radius=100, least=least if area is SHEET else 9)


def timed(name: str, work: Callable[[], Any]) -> Any:
    begin = time.process_time()
    made = work()
    seconds = time.process_time() - begin
    size = f"{len(made):,}" if hasattr(made, "__len__") else f"{len(made.geoms):,} areas"
    print(f"{name:<36} {seconds:6.2f} s  {size:>14}", flush=True)
    return made


def main() -> None:
    for name, maker in makers().items():
        maker(CORNER)
        timed(name, partial(maker, SHEET))
    floor = tilings.rhombs(SHEET, side=2.77)
    timed("edges of rhombs", floor.edges)
    timed("areas of rhombs", floor.areas)
    lines = timed("stars in rhombs", partial(tilings.stars, floor, 72))
    timed("stars in hats", partial(tilings.stars, tilings.hats(SHEET, side=0.67), 50))
    timed("interlacing the stars in rhombs", partial(tilings.interlaced, lines, width=0.1))


if __name__ == "__main__":
    main()
