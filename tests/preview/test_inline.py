"""Drawings and plots in notebooks: with a margin or on the sheet, a line that says what, and never
too much for a cell.
"""

from __future__ import annotations

import base64
import io
import re

import numpy as np
import PIL.Image
import pytest

import plotlib as pl
from plotlib.preview import inline

BLUE = pl.Pen("blue", width=0.4, colour="#1d4e89")
MACHINE = pl.Machine(
    width=225,
    height=250,
    x=pl.Axis(10_000, 500),
    y=pl.Axis(4_000, 250),
    lift=pl.ServoLift("M5", "M3"),
    feed=3_000,
)
SHEET = pl.Sheet(120, 80, at=(5, 10))


def wild(strokes: int, points: int) -> pl.Drawing:
    rng = np.random.default_rng(0)
    steps = np.cumsum(rng.normal(0, 0.6, (strokes, points, 2)), axis=1)
    places = 10 + rng.random((strokes, 1, 2)) * 180 + steps
    return pl.Drawing.from_arrays(
        np.clip(places, 1, 199).reshape(-1, 2), np.arange(0, strokes * points + 1, points)
    )


def formats(thing: object) -> set[str]:
    """The formats that a notebook gets."""
    from IPython.core.formatters import DisplayFormatter

    data, _ = DisplayFormatter().format(thing)
    return set(data)


def test_a_small_drawing_is_an_svg_with_a_margin_and_a_line() -> None:
    drawing = pl.Drawing([[(0, 0), (100, 50)]], pen=BLUE)
    assert formats(drawing) == {"text/plain", "image/svg+xml"}
    text = drawing._repr_svg_() or ""
    assert "1 stroke · 111.8 mm of ink · 100.0 x 50.0 mm · 1 pen: blue 0.4 mm" in text
    (x, y) = (int(word) for word in re.findall(r'd="M(\d+) (\d+)', text)[0])
    assert x > 200  # in tenths of a px: 4 % of the longer side, and half the pen
    assert y < 10 * 640 * 0.6


def test_a_plot_is_shown_on_its_sheet_with_its_time() -> None:
    plot = pl.plan(pl.Drawing([[(10, 10), (60, 10)]], pen=BLUE), MACHINE, sheet=SHEET)
    text = plot._repr_svg_() or ""
    assert f'width="640" height="{round(640 * 80 / 120) + 22}"' in text
    assert re.search(r">\d\.\d s · 1 stroke ", text)


def test_a_large_drawing_is_a_png_below_two_megabytes() -> None:
    drawing = wild(40_000, 4)
    assert drawing._repr_svg_() is None
    data, size = drawing._repr_png_() or (b"", {})
    assert len(base64.b64encode(data)) < 2_000_000
    picture = PIL.Image.open(io.BytesIO(data))
    assert np.abs(np.array(picture.size) / 2 - [size["width"], size["height"]]).max() < 1
    paper = np.asarray(picture.convert("RGB"))[0, 0]
    assert tuple(paper) == (0xFC, 0xFA, 0xF5)


def test_a_png_that_would_be_too_large_is_made_smaller(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inline, "_BYTES", 60_000)
    data, size = wild(16_000, 4)._repr_png_() or (b"", {})
    assert 0 < len(data) <= 60_000
    assert size["width"] < 640


def test_without_pillow_a_large_drawing_is_an_svg(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inline, "POINTS", 3)
    drawing = pl.Drawing([[(0, 0), (5, 5), (9, 0), (0, 0)]])
    assert formats(drawing) == {"text/plain", "image/png"}
    monkeypatch.setattr(inline.importlib.util, "find_spec", lambda name: None)
    assert formats(drawing) == {"text/plain", "image/svg+xml"}


def test_names_are_escaped_and_nothing_is_said_to_be_nothing() -> None:
    text = pl.Drawing([[(0, 0), (9, 9)]], pen=pl.Pen("<b> & co"))._repr_svg_() or ""
    assert "&lt;b&gt; &amp; co" in text
    assert "nothing is drawn" in (pl.Drawing()._repr_svg_() or "")
    assert "nothing is drawn" in (pl.plan(pl.Drawing(), MACHINE)._repr_svg_() or "")


def test_a_shaped_sheet_lies_on_the_bed_in_its_shape() -> None:
    plot = pl.plan(pl.Drawing([[(25, 30), (35, 30)]]), MACHINE, sheet=pl.Sheet.round(60))
    text = plot._repr_svg_() or ""
    assert '<rect width="4800" height="4800" fill="#d9cfba"/>' in text
    (start, path) = re.findall(r'fill="#fcfaf5" fill-rule="evenodd" d="M(\d+) \d+([^"]*)"', text)[0]
    assert int(start) == 4800  # the easternmost point of the disc
    assert len(re.findall(r"-?\d+", path)) > 60
