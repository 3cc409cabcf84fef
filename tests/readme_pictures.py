"""Pictures of the README that no gallery piece makes: a thumbnail of each maker in its table, and
what the first script draws.

``python tests/readme_pictures.py``, from the top of the checkout, writes them into
``gallery/pictures/makers/``; ``tests/test_readme.py`` makes them again and compares.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import shapely

import plotlib as pl

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "gallery" / "pictures" / "makers"
DPI = 150
PAGE = shapely.box(0, 0, 30, 20)  # mm
AREA = PAGE.buffer(-2, join_style="mitre")
MID = (15.0, 10.0)
INK = pl.Pen("ink", width=0.3, colour="#1f2d3d")
HILLS = pl.fields.perlin(scale=12, seed=6, octaves=2)
PLACES = pl.fields.lloyd(pl.fields.poisson_disk(AREA, spacing=2.6, seed=3), AREA, rounds=6)
ROWS = pl.Drawing([[(2, y), (28, y)] for y in np.arange(2.5, 18, 1.0)])
LEAF = pl.curves.catmull_rom([(15.6, 11), (17, 11.2), (17.6, 12.6), (16.2, 12.8), (15.6, 11)])
STAR = pl.shapes.star(MID, 8, tips=5, inner=4)


def _bulge(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    near = np.exp(-((x - 15) ** 2 + (y - 10) ** 2) / 40)
    return x, y + (y - 10) * near * 0.9


def _stacked() -> pl.Drawing:
    turns = np.radians(np.arange(0, 360, 40))
    places = np.column_stack([15 + 5 * np.cos(turns), 10 + 4 * np.sin(turns)])
    discs = [pl.shapes.circles([at] * 4, [1.2, 2.2, 3.2, 4.2]) for at in places]
    areas = [pl.shapes.circle(at, 4.2) for at in places]
    return pl.regions.stack(zip(discs, areas, strict=True), gap=0.3)


def _hill(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 0.45 + np.hypot(x - 9, y - 13) / 9


def _swell(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 1.1 * np.exp(-np.hypot(x - 15, y - 10) / 4)


def _lichen() -> pl.Drawing:
    grown = pl.growth.reaction_diffusion(AREA, feed=0.03, kill=0.057, cell=0.35, steps=2_500)
    return pl.fields.isolines(grown, AREA, levels=[0.15])


def _slime() -> pl.Drawing:
    net = pl.growth.trails(AREA, cell=0.11, sensor_angle=22.5, steps=150, seed=2)
    return pl.fields.isolines(net, AREA, levels=[0.4])


def _banknote() -> pl.Drawing:
    edges = [pl.shapes.circle(MID, radius) for radius in (2.2, 8)]
    return pl.curves.guilloche(*edges, lobes=11, lines=5)


def _tiled() -> pl.Drawing:
    return pl.tilings.kites_and_darts(AREA, side=3.2, centre=MID).edges().clipped(AREA)


MAKERS: dict[str, Callable[[], pl.Drawing]] = {
    "shapes.star": lambda: sum(pl.shapes.star(MID, r, tips=9, inner=r / 2) for r in (2, 4, 6, 8)),
    "curves.hypotrochoid": lambda: pl.curves.hypotrochoid(MID, 105, 45, arm=30),
    "curves.gosper": lambda: pl.curves.gosper((0, 0), (22, 0), depth=3),
    "curves.lissajous": lambda: pl.curves.lissajous(MID, 12, 8, x=5, y=4),
    "fills.hatch": lambda: pl.fills.hatch(STAR, spacing=0.7, angle=35) + STAR,
    "fills.graded_hatch": lambda: pl.fills.graded_hatch(AREA, _hill, finest=0.3, angle=40),
    "fills.contour": lambda: pl.fills.contour(STAR, spacing=0.9),
    "fills.wave": lambda: pl.fills.wave(AREA, spacing=0.7, amplitude=_swell, wavelength=1.6),
    "fills.dots": lambda: pl.fills.dots(STAR, spacing=0.6, layout="random", seed=4) + STAR,
    "fills.tiles": lambda: pl.fills.tiles(AREA, size=2.2, seed=5),
    "fields.isolines": lambda: pl.fields.isolines(HILLS, AREA, spacing=0.15),
    "fields.streamlines": lambda: pl.fields.streamlines(
        HILLS.curl(), AREA, spacing=1.0, shortest=3
    ),
    "fields.ridgelines": lambda: pl.fields.ridgelines(
        HILLS.maximum(0), AREA, spacing=1.1, height=7, sky=4
    ),
    "fields.voronoi": lambda: pl.fields.voronoi(PLACES, AREA),
    "fields.circle_packing": lambda: pl.fields.circles(
        pl.fields.circle_packing(AREA, smallest=0.5, largest=4, seed=4)
    ),
    "regions.stack": _stacked,
    "regions.medial_axis": lambda: STAR + pl.regions.medial_axis(STAR, step=0.4),
    "text.lettering": lambda: pl.text.lettering("Skerrow", height=8, face="italic complex"),
    "text.labelled": lambda: pl.text.labelled(
        pl.fields.isolines(HILLS, AREA, levels=[0.0]), "20", height=1.8, spacing=20
    ),
    "symmetry.wallpaper": lambda: pl.symmetry.wallpaper(LEAF, "p6", AREA, cell=(7.0,), origin=MID),
    "symmetry.rosette": lambda: pl.symmetry.rosette(LEAF.scaled(2).moved(-31, -17), 12),
    "tilings.kites_and_darts": _tiled,
    "tilings.stars": lambda: pl.tilings.stars(
        pl.tilings.archimedean(AREA, "4.8.8", side=3.0, origin=MID), 67.5
    ).clipped(AREA),
    "growth.maze": lambda: pl.growth.maze(AREA, spacing=1.0, seed=3),
    "growth.reaction_diffusion": _lichen,
    "growth.trails": _slime,
    "curves.guilloche": _banknote,
    "fields.apollonian": lambda: (
        pl.fields.circles(pl.fields.apollonian(MID, 8, smallest=0.2)) + pl.shapes.circle(MID, 8)
    ),
    "fills.circles": lambda: pl.fills.circles(STAR, smallest=0.15) + STAR,
    "Drawing.mapped": lambda: ROWS.mapped(_bulge),
    "Drawing.dashed": lambda: ROWS.dashed((1, 0.6), scale=lambda x, y: 0.5 + x / 12),
    "Drawing.clipped": lambda: ROWS.clipped(STAR) + STAR,
}


def pictures() -> Iterator[tuple[str, Any]]:
    """Name and pixels (rows, columns, 3) of each picture."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "picture.png")
        for name, make in MAKERS.items():
            drawing = make().fitted(AREA).inked(INK)
            pl.preview.png(drawing, path, dpi=DPI, page=PAGE)
            yield name, _pixels(path)
        yield "first_script", _pixels(_first_script(folder))


def _first_script(folder: str) -> Path:
    """The picture that the README's first script writes."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(r"^```python\n(.*?)^```", text, re.DOTALL | re.MULTILINE)
    assert found is not None
    exec(found[1].replace('"moon', f'"{folder}/moon'), {})
    return Path(folder, "moon.png")


def _pixels(path: Path) -> Any:
    from PIL import Image

    with Image.open(path) as picture:
        return np.asarray(picture.convert("RGB"))


def main() -> None:
    """Write the pictures, in few colours."""
    from PIL import Image

    PICTURES.mkdir(exist_ok=True)
    for name, array in pictures():
        picture = Image.fromarray(array)
        picture.quantize(16).save(PICTURES / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
