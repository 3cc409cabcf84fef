"""Growth: reaction and diffusion as a field, curves that grow, uniform spanning trees and mazes as
strokes.

Begin with ``reaction_diffusion.py``, ``differential_growth.py`` or ``mazes.py``; what is compiled
stands beside them.
"""

from __future__ import annotations

from plotlib.growth.differential_growth import differential_growth
from plotlib.growth.mazes import maze, spanning_tree
from plotlib.growth.reaction_diffusion import reaction_diffusion

__all__ = ["differential_growth", "maze", "reaction_diffusion", "spanning_tree"]


def __dir__() -> list[str]:
    return sorted(__all__)
