"""Where a turtle can stand when it turns by parts of a full turn: whole-number vectors, so that
paths that meet do so exactly.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

import numpy as np

from plotlib.arrays.affine import cosine_sine
from plotlib.checks import FloatArray, IntArray

MOST_AXES = 8


def directions(angle: float) -> int:
    """How many directions turns of ``angle`` degrees reach, when the positions fit a lattice of at
    most eight axes; else 0.
    """
    try:
        turns = Fraction(repr(angle)) / 360
    except ValueError:  # no plain decimal
        return 0
    return (
        turns.denominator
        if turns.denominator <= 60 and totient(turns.denominator) <= MOST_AXES
        else 0
    )


def totient(count: int) -> int:
    """How many numbers below ``count`` share no divisor with it: the axes that its directions
    need.
    """
    return sum(math.gcd(k, count) == 1 for k in range(1, count + 1))


@lru_cache(maxsize=64)
def lattice(count: int) -> tuple[IntArray, FloatArray]:
    """The steps in ``count`` even directions as whole numbers of few axes.

    Returns
    -------
    steps : int array (count, axes)
        Step k is the k-th power of a root of unity, reduced by its minimal (cyclotomic) polynomial:
        sums of steps are equal places if and only if they are equal numbers.
    axes : float array (axes, 2)
        The first powers of the root themselves.
    """
    minimal = _cyclotomic(count)
    size = len(minimal) - 1
    steps = np.zeros((count, size), np.int64)
    power = [1] + [0] * (size - 1) if size > 1 else [1]
    for k in range(count):
        steps[k] = power
        carry = power[-1]
        power = [0, *power[:-1]]
        power = [value - carry * factor for value, factor in zip(power, minimal, strict=False)]
    axes = np.array([_exact(360.0 * k / count) for k in range(size)])
    return steps, axes


def _exact(angle: float) -> tuple[float, float]:
    """Cosine and sine; a half where it is one (the only rational values are 0, 1/2 and 1)."""
    c, s = (
        round(2 * value) / 2 if abs(2 * value - round(2 * value)) < 1e-12 else value
        for value in cosine_sine(angle)
    )
    return c, s


@lru_cache(maxsize=64)
def _cyclotomic(count: int) -> tuple[int, ...]:
    """The polynomial, lowest power first, whose roots are the primitive ``count``-th roots of
    unity.
    """
    poly = [-1] + [0] * (count - 1) + [1]
    for divisor in range(1, count):
        if count % divisor == 0:
            poly = _quotient(poly, _cyclotomic(divisor))
    return tuple(poly)


def _quotient(poly: list[int], by: tuple[int, ...]) -> list[int]:
    """Exact division of polynomials whose leading factor is 1."""
    rest = list(poly)
    result = [0] * (len(poly) - len(by) + 1)
    for k in reversed(range(len(result))):
        result[k] = rest[k + len(by) - 1]
        for j, factor in enumerate(by):
            rest[k + j] -= result[k] * factor
    return result
