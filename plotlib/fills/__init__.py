"""Fills: strokes that cover an area."""

from plotlib.fills.contour import contour
from plotlib.fills.coverage import Coverage, coverage
from plotlib.fills.hatch import cross_hatch, hatch
from plotlib.fills.solid import SolidFill, measured_solid, solid

__all__ = ["Coverage", "SolidFill", "contour", "coverage", "cross_hatch", "hatch", "measured_solid", "solid"]
