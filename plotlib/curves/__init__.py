"""Curves: Bézier and splines, spirals, roulettes, guilloches, oscillations, polar curves,
space-filling and fractal curves, L-systems, any function.
"""

from __future__ import annotations

from plotlib.curves.bezier import bezier
from plotlib.curves.fractals import dragon, koch, koch_snowflake, sierpinski_arrowhead
from plotlib.curves.guilloche import guilloche
from plotlib.curves.lsystem import lsystem
from plotlib.curves.oscillations import Swing, lissajous, pendulum
from plotlib.curves.parametric import parametric
from plotlib.curves.phyllotaxis import phyllotaxis
from plotlib.curves.polar import lemniscate, rose, superellipse
from plotlib.curves.roulettes import epitrochoid, hypotrochoid, trochoid
from plotlib.curves.space_filling import gosper, hilbert, peano
from plotlib.curves.spirals import archimedean_spiral, logarithmic_spiral
from plotlib.curves.spline import catmull_rom
from plotlib.curves.superformula import superformula

__all__ = [
    "Swing",
    "archimedean_spiral",
    "bezier",
    "catmull_rom",
    "dragon",
    "epitrochoid",
    "gosper",
    "guilloche",
    "hilbert",
    "hypotrochoid",
    "koch",
    "koch_snowflake",
    "lemniscate",
    "lissajous",
    "logarithmic_spiral",
    "lsystem",
    "parametric",
    "peano",
    "pendulum",
    "phyllotaxis",
    "rose",
    "sierpinski_arrowhead",
    "superellipse",
    "superformula",
    "trochoid",
]


def __dir__() -> list[str]:
    return sorted(__all__)
