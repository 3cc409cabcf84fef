"""Pen-up moves, against a carriage that is led from place to place by hand."""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.planning.moving.legs import PARK, Legs, legs_of, travel

HOME = np.array([0, 0])
AWAY = np.array([90, 70])


def led(strokes: list[list[tuple[int, int]]], pens: list[int]) -> list[tuple[object, object, int]]:
    """Where each pen-up move begins and ends, and the stroke that follows."""
    at = tuple(HOME.tolist())
    moves: list[tuple[object, object, int]] = []
    for number, stroke in enumerate(strokes):
        if number and pens[number] != pens[number - 1]:
            moves.append((at, tuple(AWAY.tolist()), PARK))
            at = tuple(AWAY.tolist())
        moves.append((at, stroke[0], number))
        at = stroke[-1]
    return [*moves, (at, tuple(AWAY.tolist()), PARK)]


def legs(strokes: list[list[tuple[int, int]]], pens: list[int]) -> Legs:
    points = np.array([point for stroke in strokes for point in stroke])
    offsets = np.cumsum([0, *map(len, strokes)])
    return legs_of(points, offsets, np.array(pens), HOME, AWAY)


@pytest.mark.parametrize("pens", [[0, 0, 0, 0], [0, 0, 1, 1], [0, 1, 2, 3], [0, 1, 1, 2]])
def test_legs_are_those_of_a_carriage_led_by_hand(pens: list[int]) -> None:
    strokes = [[(1, 2), (3, 4)], [(3, 4), (5, 9), (6, 6)], [(7, 7)], [(20, 1), (2, 30)]]
    found = legs(strokes, pens)
    moves = zip(found.begin.tolist(), found.end.tolist(), found.stroke.tolist(), strict=True)
    assert [(tuple(a), tuple(b), k) for a, b, k in moves] == led(strokes, pens)


def test_a_plot_of_nothing_goes_from_home_to_the_park_point() -> None:
    found = legs_of(np.zeros((0, 2), int), np.zeros(1, int), np.zeros(0, int), HOME, AWAY)
    assert (found.begin.tolist(), found.end.tolist()) == ([[0, 0]], [[90, 70]])
    assert found.stroke.tolist() == [PARK]


def test_travel_is_the_length_of_all_legs() -> None:
    found = legs([[(3, 4), (10, 10)], [(10, 22)]], [0, 0])
    assert travel(found) == 5.0 + 12.0 + np.hypot(80, 48)
