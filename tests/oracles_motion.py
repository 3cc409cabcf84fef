"""A slow simulation of a controller with look-ahead, for the kernels of the motion model.

It shares no formula with them: the circle at a corner is found by bisection on its centre, the
acceleration on it by trying directions, the speed at the end of each move by planning the known
moves afresh while that move is made, and the seconds by adding up small pieces of way.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


def simulated_seconds(
    points: np.ndarray,
    *,
    feed: float,
    rates: Sequence[float],
    accelerations: Sequence[float],
    path_tolerance: float,
    look_ahead: int,
    model: str,
) -> float:
    """Seconds of one polyline in mm, from rest to rest (mm/s, mm/s²)."""
    steps = np.diff(np.asarray(points, dtype=float), axis=0)
    steps = steps[np.hypot(*steps.T) > 0]
    lengths = np.hypot(*steps.T)
    ways = steps / lengths[:, None]
    with np.errstate(divide="ignore"):
        tops = np.minimum((np.asarray(rates) / np.abs(ways)).min(axis=1), feed)
        pulls = (np.asarray(accelerations) / np.abs(ways)).min(axis=1)
    turns = [
        corner_speed(
            ways[i], ways[i + 1], lengths[i : i + 2].min(), path_tolerance, accelerations, model
        )
        for i in range(len(ways) - 1)
    ]
    entry = np.minimum(np.minimum(tops[:-1], tops[1:]), turns)  # speed allowed between moves
    now = 0.0
    total = 0.0
    for i in range(len(ways)):
        known = slice(i + 1, i + look_ahead)  # beside the move that is being made
        safe = stopping_speed(lengths[known], pulls[known], entry[i:][: look_ahead - 1])
        then = min(safe, np.sqrt(now**2 + 2 * pulls[i] * lengths[i]))
        total += move_seconds(lengths[i], tops[i], pulls[i], now, then)
        now = then
    return total


def stopping_speed(lengths: np.ndarray, pulls: np.ndarray, entry: np.ndarray) -> float:
    """Highest speed into moves so that each is entered as allowed and the last one ends at rest."""
    speed = 0.0
    for length, pull, allowed in zip(lengths[::-1], pulls[::-1], entry[::-1], strict=True):
        speed = min(allowed, np.sqrt(speed**2 + 2 * pull * length))
    return float(speed)


def corner_speed(
    u: np.ndarray,
    w: np.ndarray,
    shorter: float,
    path_tolerance: float,
    accelerations: Sequence[float],
    model: str,
) -> float:
    """Speed from unit direction u to unit direction w."""
    inward = w - u
    if not inward.any():
        return np.inf
    if not (w + u).any():
        return 0.0
    inward /= np.hypot(*inward)
    across = abs(u[0] * inward[1] - u[1] * inward[0])  # radius of the circle centred 1 mm inward
    along = abs(u @ inward)  # and how far from the corner it touches
    low = 0.0
    high = path_tolerance * 1e12 + 1e-12
    for _ in range(200):
        middle = (low + high) / 2
        gap = middle * along**2 / (1 + across)  # = middle - radius, without cancellation
        fits = model == "deviation" or middle * along <= shorter / 2
        if gap <= path_tolerance and fits:
            low = middle
        else:
            high = middle
    arc = inward[None, :]
    if model == "arc":
        weights = np.linspace(0, 1, 4001)[:, None]
        sides = np.array([(-u[1], u[0]), (-w[1], w[0])])
        sides *= np.sign(sides @ inward)[:, None]
        arc = sides[0] * (1 - weights) + sides[1] * weights
        arc = arc / np.hypot(*arc.T)[:, None]
    with np.errstate(divide="ignore"):
        pull = (np.asarray(accelerations) / np.abs(arc)).min()
    return float(np.sqrt(pull * low * across))


def move_seconds(length: float, top: float, pull: float, v0: float, v1: float) -> float:
    """Add up pieces of one straight move, finest at both ends, where it may be at rest."""
    angles = (np.arange(4000) + 0.5) * np.pi / 4000
    gone = length * (1 - np.cos(angles)) / 2
    pieces = length * np.sin(angles) / 2 * np.pi / 4000
    rising = np.sqrt(v0**2 + 2 * pull * gone)
    falling = np.sqrt(v1**2 + 2 * pull * (length - gone))
    return float((pieces / np.minimum(np.minimum(rising, falling), top)).sum())
