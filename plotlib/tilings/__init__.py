"""Tilings: regular polygons in the eleven Archimedean ways and their duals, rhombs and kites that
never repeat, Truchet's arcs, star patterns in any of them.

Begin with ``tiling.py``, the value that the makers return.
"""

from __future__ import annotations

from plotlib.tilings.archimedean import archimedean
from plotlib.tilings.kites import kites_and_darts
from plotlib.tilings.multigrid import rhombs
from plotlib.tilings.stars import stars
from plotlib.tilings.tiling import Tiling
from plotlib.tilings.truchet import truchet

__all__ = ["Tiling", "archimedean", "kites_and_darts", "rhombs", "stars", "truchet"]


def __dir__() -> list[str]:
    return sorted(__all__)
