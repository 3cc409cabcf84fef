"""Font files: shaping and outlines by uharfbuzz."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.files import read_bytes
from plotlib.text.fonts.contours import Contour, Contours

FontPath = str | os.PathLike[str]


@dataclass(frozen=True, eq=False)
class Font:
    """A loaded font; all lengths in font units.

    Attributes
    ----------
    name : str
        The file's name.
    shaper : uharfbuzz.Font
        What shapes and draws, at one unit for one unit.
    cap : float
        Height of the capital H, or what the font says about the height of capitals.
    """

    name: str
    shaper: Any
    cap: float
    _drawn: dict[int, tuple[Contour, ...]] = field(default_factory=dict)

    def contours(self, glyph: int) -> tuple[Contour, ...]:
        """The closed outlines of a glyph, as segments."""
        if glyph not in self._drawn:
            pen = Contours()
            self.shaper.draw_glyph_with_pen(glyph, pen)
            self._drawn[glyph] = tuple(pen.contours)
        return self._drawn[glyph]


@dataclass(frozen=True, eq=False)
class Run:
    """One line of text shaped: glyph numbers, the character each comes from, advances and offsets
    in font units.
    """

    glyphs: IntArray
    characters: IntArray
    advances: FloatArray
    offsets: FloatArray


def font_of(path: FontPath) -> Font:
    """The font in a file (TrueType or OpenType); NotRead if there is no file, InvalidValue if it is
    no font.
    """
    if not isinstance(path, (str, os.PathLike)):
        raise InvalidValue(f"font must be the path of a font file, got {path!r}", name="font")
    return _loaded(Path(path), read_bytes(path, "font"))


@lru_cache(maxsize=16)
def _loaded(where: Path, data: bytes) -> Font:
    hb = checks.package("uharfbuzz", install="uharfbuzz", use="lettering with an outline font")
    face = hb.Face(hb.Blob(data))
    if face.glyph_count == 0:
        raise InvalidValue(
            f"{str(where)!r} is no font that can be read: it has no glyphs", name="font"
        )
    shaper = hb.Font(face)
    shaper.scale = (face.upem, face.upem)
    capital = shaper.get_nominal_glyph(ord("H"))
    extents = shaper.get_glyph_extents(capital) if capital else None
    cap = (
        float(extents.y_bearing)
        if extents
        else float(shaper.get_metric_position_with_fallback(hb.OTMetricsTag.CAP_HEIGHT))
    )
    return Font(where.name, shaper, cap if cap > 0 else 0.7 * face.upem)


def shaped(font: Font, text: str, *, features: dict[str, bool] | None = None) -> Run:
    """Shape one line: ligatures, kerning and marks as the font has them, in the direction of its
    script.
    """
    hb = checks.package("uharfbuzz", install="uharfbuzz", use="lettering with an outline font")
    buffer = hb.Buffer()
    buffer.add_codepoints([ord(character) for character in text])
    buffer.guess_segment_properties()
    hb.shape(font.shaper, buffer, features or {})
    infos = buffer.glyph_infos or []
    positions = buffer.glyph_positions or []
    return Run(
        np.array([info.codepoint for info in infos], np.int64),
        np.array([info.cluster for info in infos], np.int64),
        np.array([position.x_advance for position in positions], np.float64),
        np.array(
            [(position.x_offset, position.y_offset) for position in positions], np.float64
        ).reshape(-1, 2),
    )
