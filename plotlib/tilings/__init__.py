"""Tilings: regular polygons in the eleven Archimedean ways and their duals, rhombs, kites and
hats that never repeat, girih tiles, Truchet's arcs, Wang tiles, star patterns in any of them;
knots, bands over and under.

Begin with ``tiling.py``, the value that the makers return, and ``interlacing.py``.
"""

from __future__ import annotations

from plotlib.tilings.archimedean import archimedean
from plotlib.tilings.girih import girih
from plotlib.tilings.hats import hats
from plotlib.tilings.hyperbolic import DiscTiling, hyperbolic
from plotlib.tilings.interlacing import interlaced
from plotlib.tilings.kites import kites_and_darts
from plotlib.tilings.knots import knot
from plotlib.tilings.multigrid import rhombs
from plotlib.tilings.stars import stars
from plotlib.tilings.tiling import Tiling
from plotlib.tilings.truchet import truchet
from plotlib.tilings.wang import wang, wang_strands
from plotlib.tilings.weave import Weave
from plotlib.tilings.winged import multiscale_truchet

__all__ = [
    "DiscTiling",
    "Tiling",
    "Weave",
    "archimedean",
    "girih",
    "hats",
    "hyperbolic",
    "interlaced",
    "kites_and_darts",
    "knot",
    "multiscale_truchet",
    "rhombs",
    "stars",
    "truchet",
    "wang",
    "wang_strands",
]


def __dir__() -> list[str]:
    return sorted(__all__)
