"""The time of a plot on its machine: what the motion model needs, said by the machine."""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import IntArray
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.bending import Arcs
from plotlib.planning.lifting import mean_seconds
from plotlib.planning.moving.feeds import stroke_feeds
from plotlib.planning.moving.legs import Legs
from plotlib.planning.moving.motion import Controller, MotionTimes, bytes_of_lines, motion_times


def times_of(
    points: IntArray,
    offsets: IntArray,
    pen_index: IntArray,
    pens: tuple[Pen, ...],
    legs: Legs,
    machine: Machine,
    arcs: Arcs,
) -> MotionTimes:
    """The times of ordered strokes and of the legs between them; bytes of the lines are
    estimated. Arcs are driven along their points, and come in one line each.
    """
    has_arcs = arcs.strokes(offsets) if len(arcs) else None
    ways = np.stack([legs.begin, legs.end], axis=1).reshape(-1, 2)
    return motion_times(
        points,
        offsets,
        controller_of(machine),
        unit=machine.unit,
        feed=stroke_feeds(points, offsets, pen_index, pens, machine, has_arcs),
        ways=(ways, np.arange(0, len(ways) + 1, 2)),
        travel_feed=machine.travel_feed,
        lift=mean_seconds(pens, pen_index, machine),
        line_bytes=_bytes(points, arcs, machine),
    )


def _bytes(points: IntArray, arcs: Arcs, machine: Machine) -> IntArray:
    """Bytes of the line that leads to each point (N,); an arc's line comes before its first."""
    sizes = bytes_of_lines(points, decimals=machine.decimals)
    if not len(arcs):
        return sizes
    whole = sizes[arcs.last]
    way = arcs.centre - points[arcs.first]
    whole = whole + bytes_of_lines(way, decimals=machine.decimals, more=0) + 1
    sizes[arcs.inner(len(points))] = 0
    sizes[arcs.last] = 0
    sizes[arcs.first + 1] = whole
    return sizes


def controller_of(machine: Machine) -> Controller:
    """The limits of a machine as the motion model takes them; accelerations that are not declared
    are infinite.
    """
    x = machine.x
    y = machine.y
    accelerations = (x.acceleration or math.inf, y.acceleration or math.inf)
    return Controller(
        rates=(x.rate, y.rate),
        accelerations=accelerations,
        path_tolerance=machine.path_tolerance,
        corner_model=machine.corner_model,
        look_ahead=machine.look_ahead,
        baud=machine.baud,
    )
