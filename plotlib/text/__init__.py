"""Text: single-stroke lettering and outline fonts, measured before they are drawn; tables, axes and
other lettered parts of charts.
"""

from __future__ import annotations

from plotlib.text.charts.axes import axis
from plotlib.text.charts.legends import legend
from plotlib.text.charts.parts import north_arrow, scale_bar
from plotlib.text.charts.tables import table
from plotlib.text.fonts.outline import measure_outlines, outlines
from plotlib.text.glyphs.composed import subscript, superscript
from plotlib.text.glyphs.faces import faces
from plotlib.text.inbox import boxed
from plotlib.text.letters import lettering
from plotlib.text.measuring import Measure, measure
from plotlib.text.path import along
from plotlib.text.practice import (
    HEIGHTS,
    LetteringWarning,
    Practice,
    check_pen,
    height_for,
    practice,
)

__all__ = [
    "HEIGHTS",
    "LetteringWarning",
    "Measure",
    "Practice",
    "along",
    "axis",
    "boxed",
    "check_pen",
    "faces",
    "height_for",
    "legend",
    "lettering",
    "subscript",
    "measure",
    "measure_outlines",
    "north_arrow",
    "outlines",
    "practice",
    "superscript",
    "scale_bar",
    "table",
]
