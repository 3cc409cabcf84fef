"""Areas: whatever has one, made smaller, larger or round, and laid one upon another."""

from plotlib.regions.door import as_region
from plotlib.regions.offsets import inset

__all__ = ["as_region", "inset"]
