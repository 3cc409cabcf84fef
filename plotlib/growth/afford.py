"""What a length costs, foreseen, and which one to take where that is too much."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from plotlib import checks

_HALVINGS = 12  # of the way from a length that is too small to its double


class Limit(NamedTuple):
    """How many of something there may be."""

    number: Callable[[float], float]  # foreseen for a length, never more for a longer one
    most: float
    what: str

    def allows(self, length: float) -> bool:
        return self.number(length) <= self.most


def affordable(
    name: str, value: float, *limits: Limit, remedy: str = "take a wider one, {} mm or more"
) -> None:
    """Refuse a length that is beyond one of the limits, and say which one is within all."""
    beyond = [limit for limit in limits if not limit.allows(value)]
    if not beyond:
        return
    fits = value
    while not all(limit.allows(fits) for limit in limits):
        fits *= 2
    small = fits / 2
    for _ in range(_HALVINGS):
        middle = (small + fits) / 2
        if all(limit.allows(middle) for limit in limits):
            fits = middle
        else:
            small = middle
    first = beyond[0]
    told = remedy.format(checks.two_digits(fits))
    checks.affordable(name, value, first.number(value), first.most, first.what, told)


def squares(area: float) -> Callable[[float], float]:
    """How many squares of a side an area comes to."""
    return lambda side: area / side / side


def cells(
    bounds: tuple[float, float, float, float], share: float = 1.0
) -> Callable[[float], float]:
    """How many cells of a ``share`` of a length the bounds take, and one more each way."""
    width = bounds[2] - bounds[0]
    height = bounds[3] - bounds[1]

    def count(length: float) -> float:
        side = length * share
        if not side > 0:
            return math.inf
        return (math.ceil(min(width / side, 1e12)) + 1) * (math.ceil(min(height / side, 1e12)) + 1)

    return count
