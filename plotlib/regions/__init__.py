"""Areas: whatever has one, made smaller, larger or round, outlined, and laid one upon another."""

from plotlib.regions.door import as_region
from plotlib.regions.medial_axis import medial_axis
from plotlib.regions.offsets import inset, outset, rounded
from plotlib.regions.outlines import compensated, outline, swept
from plotlib.regions.stacking import silhouette, stack

__all__ = [
    "as_region",
    "compensated",
    "inset",
    "medial_axis",
    "outline",
    "outset",
    "rounded",
    "silhouette",
    "stack",
    "swept",
]


def __dir__() -> list[str]:
    return sorted(__all__)
