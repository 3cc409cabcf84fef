"""Fills: strokes that cover an area."""

from plotlib.fills.contour import contour
from plotlib.fills.coverage import Coverage, coverage
from plotlib.fills.hatch import cross_hatch, hatch

__all__ = ["Coverage", "contour", "coverage", "cross_hatch", "hatch"]
