"""SVG files in true size, written and read."""

from plotlib.svg.artwork import Area, Artwork, Ink, LeftOut, SvgWarning
from plotlib.svg.reader import read
from plotlib.svg.writer import write

__all__ = ["Area", "Artwork", "Ink", "LeftOut", "SvgWarning", "read", "write"]


def __dir__() -> list[str]:
    return sorted(__all__)
