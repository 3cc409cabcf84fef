"""How a text is to be set: every option of ``lettering``, checked once."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypedDict

from plotlib import checks
from plotlib.errors import InvalidValue
from plotlib.text.glyphs.characters import check_missing
from plotlib.text.glyphs.faces import Face, face_of
from plotlib.text.glyphs.glyph import CAP

WIDTHS = (0.001, 1000.0)  # times the letters' own: beyond it nothing is a letter
ALIGNMENTS = ("left", "centre", "right", "justified")
_LEVELS = ("baseline", "top", "middle", "bottom")
_SIDES = ("left", "centre", "right")


class Options(TypedDict, total=False):
    """Options that every function of lettering shares; see ``lettering``."""

    face: str
    slant: float
    width: float
    tracking: float
    word_space: float | None
    leading: float | None
    missing: str | None


@dataclass(frozen=True)
class Style:
    """Checked options; lengths in mm."""

    face: Face
    height: float
    slant: float
    width: float
    tracking: float
    word_space: float | None
    leading: float
    missing: str | None

    @property
    def scale(self) -> tuple[float, float]:
        """The mm for a unit of the glyphs, across and up."""
        up = self.height / CAP
        return up * self.width, up

    @property
    def lean(self) -> float:
        """Tangent of the slant: x for each y."""
        return math.tan(math.radians(self.slant))


def style_of(
    height: float,
    *,
    face: str = "roman simplex",
    slant: float = 0.0,
    width: float = 1.0,
    tracking: float = 0.0,
    word_space: float | None = None,
    leading: float | None = None,
    missing: str | None = None,
) -> Style:
    """Check the options that concern the letters."""
    known = face_of(face)
    tall = checks.positive("height", height, unit="mm")
    return Style(
        face=known,
        height=tall,
        slant=checks.between("slant", slant, -60.0, 60.0, unit="degrees"),
        width=checks.between("width", width, *WIDTHS),
        tracking=checks.finite("tracking", tracking, unit="mm"),
        word_space=None
        if word_space is None
        else checks.not_negative("word_space", word_space, unit="mm"),
        leading=1.6 * tall if leading is None else checks.finite("leading", leading, unit="mm"),
        missing=check_missing(missing, known),
    )


def anchor_of(anchor: str, align: str) -> tuple[str, str]:
    """Level and side of an anchor such as ``"top left"``; a missing level is the middle, a missing
    side follows ``align``.
    """
    checks.one_of("align", align, ALIGNMENTS)
    words = anchor.split() if isinstance(anchor, str) else []
    level = next((word for word in words if word in _LEVELS), "middle")
    side = next(
        (word for word in words if word in _SIDES), "left" if align == "justified" else align
    )
    if not words or len(words) > 2 or sorted({level, side} & set(words)) != sorted(words):
        raise InvalidValue(
            f"anchor must be one of {', '.join(_LEVELS)}, one of {', '.join(_SIDES)}, or one of "
            f"each such as 'top left'; got {anchor!r}",
            name="anchor",
        )
    return level, side
