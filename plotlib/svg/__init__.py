"""SVG files in true size."""

from plotlib.svg.writer import write

__all__ = ["write"]


def __dir__() -> list[str]:
    return sorted(__all__)
