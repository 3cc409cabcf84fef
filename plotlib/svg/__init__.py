"""SVG files in true size."""

from plotlib.svg.writer import write

__all__ = ["write"]
