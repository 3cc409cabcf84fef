"""Fields: noise, flow, iso-lines, and lines that keep their distance. Each name's own page says
what it does.
"""

from __future__ import annotations

from plotlib.fields.arrays import from_array, from_arrays, sampled
from plotlib.fields.distance import distance, distance_to_strokes
from plotlib.fields.evenly import streamlines
from plotlib.fields.evenness import Evenness, evenness
from plotlib.fields.flows import along, attractors, flow, saddle, source, uniform, vortex
from plotlib.fields.isolines import bands, isolines
from plotlib.fields.obstacles import around, held
from plotlib.fields.packing import circles, packed
from plotlib.fields.particles import particles
from plotlib.fields.perlin import perlin
from plotlib.fields.ridgelines import ridgelines
from plotlib.fields.scalar import ScalarField, constant
from plotlib.fields.scattering import relaxed, scattered
from plotlib.fields.simple import from_function, radial, ramp, ridge
from plotlib.fields.simplex import simplex
from plotlib.fields.streamline import streamline
from plotlib.fields.tessellation import delaunay, voronoi, voronoi_cells
from plotlib.fields.vector import VectorField

__all__ = [
    "Evenness",
    "ScalarField",
    "VectorField",
    "along",
    "around",
    "attractors",
    "bands",
    "circles",
    "constant",
    "delaunay",
    "distance",
    "distance_to_strokes",
    "evenness",
    "flow",
    "from_array",
    "from_arrays",
    "from_function",
    "held",
    "isolines",
    "packed",
    "particles",
    "perlin",
    "radial",
    "ramp",
    "relaxed",
    "ridge",
    "ridgelines",
    "saddle",
    "sampled",
    "scattered",
    "simplex",
    "source",
    "streamline",
    "streamlines",
    "uniform",
    "voronoi",
    "voronoi_cells",
    "vortex",
]
