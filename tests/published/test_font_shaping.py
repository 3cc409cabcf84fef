"""Advance and kerning of an outline font against the shaping library itself, and against the font's
own tables.

The font is DejaVu, which the package matplotlib carries. Tolerance: rounding of float64.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path

import numpy as np
import pytest

import plotlib as pl
from tests.outside import LIBRARY, published

known = partial(published, module="text", source="DejaVu Sans", kind=LIBRARY)


hb = pytest.importorskip("uharfbuzz")
ttlib = pytest.importorskip("fontTools.ttLib")
matplotlib = pytest.importorskip("matplotlib")

FONT = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
WORDS = ["AV", "To", "WAVE", "Skerrow", "Ärger über Øl", "office", "LT Ta. P,", "Ωμέγα", "Ёлка"]


@pytest.fixture(scope="module")
def tables():
    return ttlib.TTFont(FONT)


def capital(tables) -> int:
    glyph = tables["glyf"][tables.getBestCmap()[ord("H")]]
    return glyph.yMax


def units(word: str) -> float:
    """The shaping library's advance of a word, asked directly."""
    font = hb.Font(hb.Face(hb.Blob.from_file_path(str(FONT))))
    buffer = hb.Buffer()
    buffer.add_str(word)
    buffer.guess_segment_properties()
    hb.shape(font, buffer, {})
    return sum(position.x_advance for position in buffer.glyph_positions)


@known(against="uharfbuzz", rel=1e-12, claim="advances of words")
@pytest.mark.parametrize("word", WORDS)
def test_advance_is_the_shaping_library_s(word, tables, within):
    taken = pl.text.measure_font(word, FONT, height=7)
    assert taken.advance == within.of(units(word) * 7 / capital(tables))


@known(against="fontTools", rel=1e-9, claim="kerning of pairs")
@pytest.mark.parametrize("pair", ["AV", "To", "LT", "Va"])
def test_kerning_is_the_font_s_own(pair, tables, within):
    widths = [tables["hmtx"][tables.getBestCmap()[ord(character)]][0] for character in pair]
    kern = units(pair) - sum(widths)
    assert kern < 0
    together = pl.text.measure_font(pair, FONT, height=10).advance
    apart = sum(pl.text.measure_font(character, FONT, height=10).advance for character in pair)
    assert together - apart == within.of(kern * 10 / capital(tables))


@known(against="fontTools", abs=0.021, claim="bounds of letters")
@pytest.mark.parametrize("character", list("HOQxg8%&ß"))
def test_bounds_of_a_letter_are_the_font_s_own(character, tables, within):
    glyph = tables["glyf"][tables.getBestCmap()[ord(character)]]
    scale = 100 / capital(tables)
    bounds = pl.text.font_area(character, FONT, height=100).bounds
    wanted = np.array([glyph.xMin, glyph.yMin, glyph.xMax, glyph.yMax]) * scale
    np.testing.assert_allclose(bounds, wanted, atol=within.abs)


@known(
    against="fontTools",
    rel=1e-9,
    claim="area of a letter made of straight edges",
)
def test_area_of_a_letter_made_of_straight_edges_is_exact(tables, within):
    points, ends, _ = tables["glyf"][tables.getBestCmap()[ord("H")]].getCoordinates(tables["glyf"])
    assert len(ends) == 1
    x, y = np.array(points, float).T
    shoelace = abs(float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) / 2)
    assert pl.text.font_area("H", FONT, height=10).area == within.of(
        shoelace * (10 / capital(tables)) ** 2
    )
