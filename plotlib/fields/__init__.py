"""Fields: noise, flow, iso-lines, and lines that keep their distance. Each name's own page says what it does."""

from __future__ import annotations

from plotlib.fields.distance import distance, distance_to_strokes
from plotlib.fields.evenly import streamlines
from plotlib.fields.evenness import Evenness, evenness
from plotlib.fields.isolines import bands, isolines
from plotlib.fields.perlin import perlin
from plotlib.fields.scalar import ScalarField, constant
from plotlib.fields.simple import from_function, radial, ramp, ridge
from plotlib.fields.vector import VectorField

__all__ = [
    "Evenness",
    "ScalarField",
    "VectorField",
    "bands",
    "constant",
    "distance",
    "distance_to_strokes",
    "evenness",
    "from_function",
    "isolines",
    "perlin",
    "radial",
    "ramp",
    "ridge",
    "streamlines",
]
