"""Text: single-stroke lettering and outline fonts, measured before they are drawn; tables, axes and
other lettered parts of charts.
"""

from __future__ import annotations

from plotlib.text.charts.axes import axis
from plotlib.text.charts.legends import legend
from plotlib.text.charts.parts import north_arrow, scale_bar
from plotlib.text.charts.tables import table
from plotlib.text.fonts.area import font_area, measure_font
from plotlib.text.glyphs.composed import subscript, superscript
from plotlib.text.glyphs.faces import faces
from plotlib.text.inbox import boxed
from plotlib.text.labelling import labelled
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
    "font_area",
    "height_for",
    "labelled",
    "legend",
    "lettering",
    "measure",
    "measure_font",
    "north_arrow",
    "practice",
    "scale_bar",
    "subscript",
    "superscript",
    "table",
]


def __dir__() -> list[str]:
    return sorted(__all__)
