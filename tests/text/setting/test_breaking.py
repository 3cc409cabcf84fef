"""Line breaking against an exhaustive search."""

from itertools import combinations, pairwise

import numpy as np
import pytest

from plotlib.text import measure

WORDS = ["the", "harbour", "lamp", "is", "lit", "at", "half-past", "four", "in", "winter"]


def best_by_trying_all(words, width):
    """Least sum of squared room over all ways to break, last line free."""
    space = measure(" ").advance
    taken = [measure(word).advance for word in words]
    best = np.inf
    for count in range(len(words)):
        for cuts in combinations(range(1, len(words)), count):
            bounds = [0, *cuts, len(words)]
            lines = [sum(taken[a:b]) + space * (b - a - 1) for a, b in pairwise(bounds)]
            if max(lines) <= width:
                best = min(best, sum((width - line) ** 2 for line in lines[:-1]))
    return best


@pytest.mark.parametrize("width", [50, 61, 75, 90, 140])
def test_the_breaks_are_the_best_of_all(width):
    words = [word for word in WORDS if "-" not in word]
    found = measure(" ".join(words), wrap=width)
    cost = sum((width - advance) ** 2 for advance in found.advances[:-1])
    assert cost == pytest.approx(best_by_trying_all(words, width), rel=1e-9)
    assert max(found.advances) <= width


def test_a_line_may_be_filled_exactly():
    whole = measure("half tide")
    assert measure("half tide", wrap=whole.advance).lines == ("half tide",)
