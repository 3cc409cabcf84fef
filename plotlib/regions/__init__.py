"""Areas: whatever has one, made smaller, larger or round, outlined, and laid one upon another."""

from plotlib.regions.centre import centre_lines
from plotlib.regions.door import as_region
from plotlib.regions.offsets import inset, outset, rounded
from plotlib.regions.outlines import compensated, inked, outline
from plotlib.regions.stacking import silhouette, stack

__all__ = [
    "as_region",
    "centre_lines",
    "compensated",
    "inked",
    "inset",
    "outline",
    "outset",
    "rounded",
    "silhouette",
    "stack",
]
