"""Text in an outline font, as an area that fills can ink."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import affine
from plotlib.text.fonts.contours import area_of, flattened, merged
from plotlib.text.fonts.font import Font, FontPath, font_of
from plotlib.text.fonts.layout import FontBlock, set_block
from plotlib.text.measuring import Measure

_MOST_CHORDS = 10_000


def font_area(
    text: str,
    font: FontPath,
    *,
    height: float = 5.0,
    at: tuple[float, float] = (0.0, 0.0),
    slant: float = 0.0,
    width: float = 1.0,
    tracking: float = 0.0,
    leading: float | None = None,
    align: str = "left",
    anchor: str = "baseline",
    angle: float = 0.0,
    wrap: float | None = None,
    missing: str | None = None,
    tolerance: float = 0.02,
) -> Polygon | MultiPolygon:
    """The area of a text in an outline font.

    Parameters
    ----------
    text : str
        One line or several. Each line is shaped in one direction, that of its script.
    font : path
        A TrueType or OpenType file.
    height : float, default 5
        Height in mm of the capital H, from base line to top.
    at, slant, width, tracking, leading, align, anchor, angle, wrap, missing
        As ``lettering`` takes them.
    tolerance : float, default 0.02
        Greatest distance in mm between the font's curves and the area's edges, > 0.

    Returns
    -------
    Polygon or MultiPolygon
        The ink of the letters; empty for a text without any. ``Drawing(area)`` draws the outline
        only, a fill inks it.

    Raises
    ------
    InvalidValue
        If the file is no font, a character is missing in it (the message names its place), a word
        is longer than ``wrap``, the tolerance is too fine for the height, or an option is invalid.
    UnknownName
        If the alignment or anchor is unknown.
    NotRead
        If there is no such file or it cannot be read.
    MissingPackage
        If uharfbuzz is not installed; the extra "fonts" brings it.

    Examples
    --------
    >>> from pathlib import Path
    >>> from matplotlib import get_data_path  # a font that most Pythons have
    >>> font = Path(get_data_path(), "fonts", "ttf", "DejaVuSans.ttf")
    >>> area = font_area("Skerrow", font, height=5)
    >>> round(area.bounds[2], 1), len(area.geoms)
    (27.2, 7)
    """
    fine = checks.positive("tolerance", tolerance, unit="mm")
    tall = checks.positive("height", height, unit="mm")
    chords = (tall / fine) ** 0.5
    least = checks.two_digits(tall / _MOST_CHORDS**2)
    remedy = f"take {least} mm or more"
    checks.affordable("tolerance", fine, chords, _MOST_CHORDS, "chords for a curve", remedy)
    loaded = font_of(font)
    block = set_block(
        text,
        loaded,
        height=height,
        at=at,
        slant=slant,
        width=width,
        tracking=tracking,
        leading=leading,
        align=align,
        anchor=anchor,
        angle=angle,
        wrap=wrap,
        missing=missing,
    )
    return _inked(loaded, block, fine)


def measure_font(
    text: str,
    font: FontPath,
    *,
    height: float = 5.0,
    at: tuple[float, float] = (0.0, 0.0),
    slant: float = 0.0,
    width: float = 1.0,
    tracking: float = 0.0,
    leading: float | None = None,
    align: str = "left",
    anchor: str = "baseline",
    angle: float = 0.0,
    wrap: float | None = None,
    missing: str | None = None,
) -> Measure:
    """What ``font_area`` with the same arguments will take; advances and kerning are the font's
    own.

    Parameters
    ----------
    text, font, height, at, slant, width, tracking, leading, align, anchor, angle, wrap, missing
        As ``font_area`` takes them.

    Returns
    -------
    Measure
        Advances, ink bounds and base lines in mm.

    Raises
    ------
    InvalidValue
        If the file is no font, a character is missing in it, a word is longer than ``wrap``, or an
        option is invalid.
    UnknownName
        If the alignment or anchor is unknown.
    NotRead
        If there is no such file or it cannot be read.
    MissingPackage
        If uharfbuzz is not installed.

    Examples
    --------
    >>> from pathlib import Path
    >>> from matplotlib import get_data_path  # a font that most Pythons have
    >>> font = Path(get_data_path(), "fonts", "ttf", "DejaVuSans.ttf")
    >>> round(measure_font("Skerrow", font, height=5).advance, 1)
    27.5
    """
    loaded = font_of(font)
    block = set_block(
        text,
        loaded,
        height=height,
        at=at,
        slant=slant,
        width=width,
        tracking=tracking,
        leading=leading,
        align=align,
        anchor=anchor,
        angle=angle,
        wrap=wrap,
        missing=missing,
    )
    area = _inked(loaded, block, 0.02)
    begins = block.baselines()
    last = len(begins) - 1
    return Measure(
        advance=float(block.advances.max(initial=0.0)),
        advances=tuple(block.advances.tolist()),
        height=block.height + last * block.leading,
        ink=None if area.is_empty else area.bounds,
        baseline=begins[0],
        baselines=begins,
        end=block.end(),
        lines=block.texts,
    )


def _inked(font: Font, block: FontBlock, tolerance: float) -> Polygon | MultiPolygon:
    """The union of all glyphs in their places."""
    across, up = block.scale
    fine = tolerance / max(across, up)
    distinct, number = np.unique(block.glyphs, return_inverse=True)
    known = np.array(
        [
            area_of([flattened(part, fine) for part in font.contours(int(glyph))])
            for glyph in distinct
        ],
        object,
    )
    if not len(known):
        return Polygon()
    areas = known[number]
    units, owner = shapely.get_coordinates(areas, return_index=True)
    local = np.array([[across, up * block.lean], [0.0, up]])
    placed = affine.apply(block.matrix, units @ local.T + block.points[owner])
    return merged(shapely.set_coordinates(areas, placed))
