"""Growth: reaction and diffusion and the trails of agents as fields; curves that grow, veins and
branches, aggregates, uniform spanning trees and mazes as strokes.

Begin with ``reaction_diffusion.py``, ``differential_growth.py``, ``veins.py``, ``aggregate.py`` or
``mazes.py``; what is compiled stands beside them.
"""

from __future__ import annotations

from plotlib.growth.aggregate import aggregate
from plotlib.growth.attractors import attractor, orbit
from plotlib.growth.automata import automaton
from plotlib.growth.cracks import cracks
from plotlib.growth.differential_growth import differential_growth
from plotlib.growth.mazes import maze, spanning_tree
from plotlib.growth.reaction_diffusion import reaction_diffusion
from plotlib.growth.trails import trails
from plotlib.growth.veins import branches, veins
from plotlib.growth.wanderers import wanderers

__all__ = [
    "aggregate",
    "attractor",
    "automaton",
    "branches",
    "cracks",
    "differential_growth",
    "maze",
    "orbit",
    "reaction_diffusion",
    "spanning_tree",
    "trails",
    "veins",
    "wanderers",
]


def __dir__() -> list[str]:
    return sorted(__all__)
