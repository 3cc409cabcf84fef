"""How long a plot takes, every straight run from rest to rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.feeds import stroke_feeds
from plotlib.planning.legs import Legs


@dataclass(frozen=True)
class Times:
    """Seconds of a plot: ``drawing`` with the pen down, ``travel`` with it up, ``lifting`` with settling."""

    drawing: float
    travel: float
    lifting: float

    @property
    def total(self) -> float:
        """All of them together."""
        return self.drawing + self.travel + self.lifting


def times_of(points: IntArray, offsets: IntArray, pen_index: IntArray, pens: tuple[Pen, ...], legs: Legs, machine: Machine) -> Times:
    """The times of ordered strokes and their legs."""
    lift = machine.lift
    lifting = (len(offsets) - 1) * (lift.seconds_up + lift.seconds_down)
    feeds = np.repeat(stroke_feeds(points, offsets, pen_index, pens, machine), np.diff(offsets))
    steps = np.zeros(points.shape)
    if len(points):
        steps[:-1] = np.diff(points, axis=0) * machine.unit
        steps[offsets[1:] - 1] = 0.0
    travel_feed = np.inf if machine.travel_feed is None else machine.travel_feed
    moves = (legs.end - legs.begin) * machine.unit
    return Times(_seconds(steps, feeds, machine), _seconds(moves, np.full(len(moves), travel_feed), machine), lifting)


def _seconds(steps: FloatArray, feeds: FloatArray, machine: Machine) -> float:
    """Trapezoids from rest to rest (textbook kinematics): ``a`` at top speed, ``b`` = length / acceleration."""
    across, up = np.abs(steps).T
    a = np.maximum(np.maximum(across * 60 / machine.x.rate, up * 60 / machine.y.rate), np.hypot(across, up) * 60 / np.maximum(feeds, 1e-12))
    b = np.maximum(across / (machine.x.acceleration or np.inf), up / (machine.y.acceleration or np.inf))
    cruise = a + np.divide(b, a, out=np.zeros_like(a), where=a > 0)
    return float(np.where(a * a >= b, cruise, 2 * np.sqrt(b)).sum())
