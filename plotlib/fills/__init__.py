"""Fills: strokes that cover an area. Each name's own page says what it does."""

from plotlib.fills.broken import dashed_hatch, dotted_hatch
from plotlib.fills.circles import circles
from plotlib.fills.contour import contour
from plotlib.fills.coverage import Coverage, coverage
from plotlib.fills.dots import dots
from plotlib.fills.graded import graded_hatch
from plotlib.fills.hatch import cross_hatch, hatch
from plotlib.fills.one_stroke import OneStrokeWarning, one_stroke
from plotlib.fills.round import concentric, radial, spiral
from plotlib.fills.solid import SolidFill, measured_solid, solid
from plotlib.fills.tiles import pattern, tiles
from plotlib.fills.waves import wave, zigzag
from plotlib.fills.winding import scribble, space_filling

__all__ = [
    "Coverage",
    "OneStrokeWarning",
    "SolidFill",
    "circles",
    "concentric",
    "contour",
    "coverage",
    "cross_hatch",
    "dashed_hatch",
    "dots",
    "dotted_hatch",
    "graded_hatch",
    "hatch",
    "measured_solid",
    "one_stroke",
    "pattern",
    "radial",
    "scribble",
    "solid",
    "space_filling",
    "spiral",
    "tiles",
    "wave",
    "zigzag",
]


def __dir__() -> list[str]:
    return sorted(__all__)
