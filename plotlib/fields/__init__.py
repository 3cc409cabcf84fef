"""Fields: noise, flow, iso-lines, and lines that keep their distance. Each name's own page says
what it does.
"""

from __future__ import annotations

from plotlib.fields.apollonian import apollonian, apollonian_gap
from plotlib.fields.arrays import from_array, from_arrays, sampled
from plotlib.fields.circle_packing import circle_packing, circles
from plotlib.fields.distance import distance, distance_to_point, distance_to_strokes
from plotlib.fields.evenly import streamlines
from plotlib.fields.evenness import Evenness, evenness
from plotlib.fields.flows import attractors, flow, heading, saddle, source, uniform, vortex
from plotlib.fields.isolines import bands, isolines
from plotlib.fields.lloyd import lloyd
from plotlib.fields.obstacles import around, held
from plotlib.fields.particles import particles
from plotlib.fields.perlin import perlin
from plotlib.fields.poisson_disk import poisson_disk
from plotlib.fields.ridgelines import ridgelines
from plotlib.fields.scalar import ScalarField, constant
from plotlib.fields.simple import from_function, ramp, ridge
from plotlib.fields.simplex import simplex
from plotlib.fields.streamline import streamline
from plotlib.fields.tessellation import delaunay, voronoi, voronoi_cells
from plotlib.fields.vector import VectorField

__all__ = [
    "Evenness",
    "ScalarField",
    "VectorField",
    "apollonian",
    "apollonian_gap",
    "around",
    "attractors",
    "bands",
    "circle_packing",
    "circles",
    "constant",
    "delaunay",
    "distance",
    "distance_to_point",
    "distance_to_strokes",
    "evenness",
    "flow",
    "from_array",
    "from_arrays",
    "from_function",
    "heading",
    "held",
    "isolines",
    "lloyd",
    "particles",
    "perlin",
    "poisson_disk",
    "ramp",
    "ridge",
    "ridgelines",
    "saddle",
    "sampled",
    "simplex",
    "source",
    "streamline",
    "streamlines",
    "uniform",
    "voronoi",
    "voronoi_cells",
    "vortex",
]


def __dir__() -> list[str]:
    return sorted(__all__)
