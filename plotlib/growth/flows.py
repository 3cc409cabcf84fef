"""Systems of three ordinary differential equations whose orbits stay on strange attractors."""

from __future__ import annotations

from collections.abc import Callable
from math import sin
from typing import NamedTuple

State = tuple[float, float, float]
Rates = Callable[[State, tuple[float, ...]], State]


class Flow(NamedTuple):
    """A system of ordinary differential equations."""

    rates: Rates
    parameters: tuple[float, ...]
    start: State  # near the attractor
    settle: float  # units of time until what is left of the start is gone
    duration: float  # of a good drawing
    view: tuple[float, float]  # degrees: azimuth and elevation that show it well


def _lorenz(at: State, p: tuple[float, ...]) -> State:
    x, y, z = at
    sigma, rho, beta = p
    return sigma * (y - x), x * (rho - z) - y, x * y - beta * z


def _rossler(at: State, p: tuple[float, ...]) -> State:
    x, y, z = at
    a, b, c = p
    return -y - z, x + a * y, b + z * (x - c)


def _thomas(at: State, p: tuple[float, ...]) -> State:
    x, y, z = at
    (b,) = p
    return sin(y) - b * x, sin(z) - b * y, sin(x) - b * z


def _halvorsen(at: State, p: tuple[float, ...]) -> State:
    x, y, z = at
    (a,) = p
    return (
        -a * x - 4 * y - 4 * z - y * y,
        -a * y - 4 * z - 4 * x - z * z,
        -a * z - 4 * x - 4 * y - x * x,
    )


def _langford(at: State, p: tuple[float, ...]) -> State:
    x, y, z = at
    a, b, c, d, e, f = p
    return (
        (z - b) * x - d * y,
        d * x + (z - b) * y,
        c + a * z - z**3 / 3 - (x * x + y * y) * (1 + e * z) + f * z * x**3,
    )


FLOWS = {
    "lorenz": Flow(_lorenz, (10.0, 28.0, 8 / 3), (1.0, 1.0, 20.0), 10.0, 60.0, (-90.0, 0.0)),
    "rossler": Flow(_rossler, (0.2, 0.2, 5.7), (1.0, 1.0, 0.0), 60.0, 250.0, (-60.0, 35.0)),
    "thomas": Flow(_thomas, (0.18,), (1.1, 1.1, -0.01), 100.0, 500.0, (45.0, 35.264)),
    "halvorsen": Flow(_halvorsen, (1.4,), (-5.0, 0.0, 0.0), 20.0, 60.0, (45.0, 35.264)),
    "langford": Flow(
        _langford, (0.95, 0.7, 0.6, 3.5, 0.25, 0.1), (0.1, 0.0, 0.0), 20.0, 160.0, (20.0, 12.0)
    ),
}
