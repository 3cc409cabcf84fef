"""Fills: strokes that cover an area."""

from plotlib.fills.hatch import hatch

__all__ = ["hatch"]
