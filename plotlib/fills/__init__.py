"""Fills: strokes that cover an area."""

from plotlib.fills.hatch import cross_hatch, hatch

__all__ = ["cross_hatch", "hatch"]
