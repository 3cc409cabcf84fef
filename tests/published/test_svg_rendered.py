"""Thirty mixed files as Chromium draws them and as we read them: each spot of its ink is within
0.1 mm of our strokes, and each spot of our strokes within 0.1 mm of its ink.

Chromium (BSD licence) is asked once for a page with all files, at 20 px a mm.
"""

from __future__ import annotations

import subprocess
import warnings
from base64 import b64encode

import numpy as np
import pytest
import shapely
from scipy.ndimage import distance_transform_edt

from plotlib.svg import read
from tests import browser
from tests.outside import LIBRARY, Within, published
from tests.published.svg_cases import CASES, SIDE

SCALE = 20  # px a mm
TILE = int(SIDE * SCALE)
ACROSS = 6


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> dict[str, np.ndarray]:
    """How dark each pixel is, 0 to 1, by the name of the file."""
    from PIL import Image

    folder = tmp_path_factory.mktemp("chromium")
    down = -(-len(CASES) // ACROSS)
    tiles = "".join(
        f'<img src="data:image/svg+xml;base64,{b64encode(text.encode()).decode()}">'
        for text in CASES.values()
    )
    look = f"body{{margin:0;font-size:0;background:#fff}}img{{width:{TILE}px;height:{TILE}px}}"
    page = folder / "page.html"
    page.write_text(f"<html><style>{look}</style><body>{tiles}</body></html>", encoding="utf-8")
    shot = folder / "shot.png"
    command = [
        browser.program(),
        *browser.FLAGS,
        f"--user-data-dir={folder / 'profile'}",
        f"--window-size={ACROSS * TILE},{down * TILE}",
        f"--screenshot={shot}",
        page.as_uri(),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    with Image.open(shot) as picture:
        dark = 1 - np.asarray(picture.convert("L"), np.float64) / 255
    assert dark.shape == (down * TILE, ACROSS * TILE)
    places = {name: divmod(k, ACROSS) for k, name in enumerate(CASES)}
    return {
        name: dark[row * TILE : (row + 1) * TILE, column * TILE : (column + 1) * TILE]
        for name, (row, column) in places.items()
    }


assert len(CASES) == 30


@published(
    module="svg",
    source="thirty mixed files",
    kind=LIBRARY,
    against="Chromium",
    abs=0.1,
    claim="ink is where Chromium has it, mm",
)
@pytest.mark.parametrize("name", CASES)
def test_ink_is_where_chromium_has_it(
    name: str, pictures: dict[str, np.ndarray], within: Within
) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        drawing = read(CASES[name]).drawing.clipped(shapely.box(0, 0, SIDE, SIDE))
    dark = pictures[name]
    rows, columns = np.nonzero(dark > 0.5)
    assert len(rows) > 10, "Chromium shows nothing"
    ours = shapely.GeometryCollection(drawing.to_shapely())
    shapely.prepare(ours)
    inked = np.column_stack([(columns + 0.5) / SCALE, SIDE - (rows + 0.5) / SCALE])
    away = shapely.distance(ours, shapely.points(inked))
    worst = int(np.argmax(away))
    assert away[worst] <= within.abs, (
        f"Chromium alone has ink at {inked[worst]}, {away[worst]:.3f} mm off"
    )
    spots = drawing.resampled(0.05).points
    far = distance_transform_edt(dark <= 0.3) / SCALE
    row = np.clip(((SIDE - spots[:, 1]) * SCALE).astype(int), 0, TILE - 1)
    column = np.clip((spots[:, 0] * SCALE).astype(int), 0, TILE - 1)
    gap = far[row, column]
    worst = int(np.argmax(gap))
    assert gap[worst] <= within.abs, f"we alone have ink at {spots[worst]}, {gap[worst]:.3f} mm off"
