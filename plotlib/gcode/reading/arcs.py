"""Arcs of G2 and G3 in the XY plane: by centre or by radius, their length, and points along them.

After sections 3.5.3.1 and 3.5.3.2 of RS274NGC (NISTIR 6556).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plotlib.checks import FloatArray
from plotlib.gcode.reading.lines import Fault

RADIUS_RULE = (
    0.002  # mm: how far the distances of both ends from the centre may differ (section 3.5.3.2)
)
RADIUS_RULE_INCHES = 0.0002 * 25.4  # mm: the same for programs in inches
CHORD_ERROR = 0.002  # mm: how far the chords of ``points`` may lie from the arc
_FARTHEST = 1e9  # mm: a radius beyond it leaves chords no numbers to tell their ends apart
_SAME = 1e-9  # mm: what a distance of decimals may be off

Point = tuple[float, float]


@dataclass(frozen=True)
class Arc:
    """An arc from ``start`` to ``end`` about ``centre``; lengths in mm.

    Attributes
    ----------
    start, end, centre : (float, float)
    sweep : float
        Degrees turned about the centre, positive counter-clockwise, up to 360 in size.
    """

    start: Point
    end: Point
    centre: Point
    sweep: float

    @property
    def radius(self) -> float:
        """The distance of the start from the centre."""
        return math.dist(self.start, self.centre)

    @property
    def length(self) -> float:
        """The way along the arc, with the mean radius where the ends differ within the rule."""
        return math.radians(abs(self.sweep)) * (self.radius + math.dist(self.end, self.centre)) / 2

    def points(self, *, tolerance: float = CHORD_ERROR) -> FloatArray:
        """Points (n, 2) after the start up to the end, chords within ``tolerance`` mm, the
        outermost points of the arc among them.
        """
        first = math.atan2(self.start[1] - self.centre[1], self.start[0] - self.centre[0])
        turn = math.radians(self.sweep)
        radius = max(self.radius, 1e-12)
        step = 2 * math.acos(max(0.0, 1 - tolerance / radius))
        count = max(1, math.ceil(abs(turn) / step - 1e-9))
        share = np.unique(
            np.concatenate([np.linspace(0, 1, count + 1), self._quadrants(first, turn)])
        )[1:]
        reach = radius + (math.dist(self.end, self.centre) - radius) * share
        angle = first + turn * share
        points = np.column_stack(
            [self.centre[0] + reach * np.cos(angle), self.centre[1] + reach * np.sin(angle)]
        )
        points[-1] = self.end
        return points

    def _quadrants(self, first: float, turn: float) -> FloatArray:
        """Shares of the sweep at which the arc runs straight up, down, left or right: there are its
        extrema.
        """
        low, high = sorted((first, first + turn))
        quarter = np.arange(
            math.ceil(low / (math.pi / 2)), math.floor(high / (math.pi / 2)) + 1
        ) * (math.pi / 2)
        share = (quarter - first) / (turn or 1.0)
        return np.asarray(share[(share > 1e-9) & (share < 1 - 1e-9)], np.float64)


def by_centre(
    start: Point, end: Point, centre: Point, *, clockwise: bool, slack: float = RADIUS_RULE
) -> Arc:
    """An arc about a centre; an end equal to the start, but for what offsets and inches do to the
    last bits, is a full circle. Fault if the radii differ by more than ``slack`` mm.
    """
    near = math.dist(start, centre)
    far = math.dist(end, centre)
    if abs(near - far) > slack + _SAME:
        raise Fault(
            f"the arc's start is {near:.4f} mm from its centre and its end {far:.4f} mm; they may "
            f"differ by {slack:g} mm: "
            'write more decimals, or read with ignore={"arc radii"}'
        )
    if near > _FARTHEST:
        raise Fault(
            f"the arc's radius of {near:g} mm is beyond all machines; write a straight line"
        )
    if near == 0:
        raise Fault("the arc's centre is its start; give the distance to the centre in I and J")
    turn = math.atan2(end[1] - centre[1], end[0] - centre[0]) - math.atan2(
        start[1] - centre[1], start[0] - centre[0]
    )
    turn = (-turn if clockwise else turn) % math.tau
    if _is_same(start, end) or turn == 0:
        turn = math.tau
    return Arc(start, end, centre, math.degrees(-turn if clockwise else turn))


def _is_same(start: Point, end: Point) -> bool:
    """Whether two places differ by no more than sums of decimals do; far out floats are coarser."""
    coarse = 4 * max(map(math.ulp, map(abs, (*start, *end))))
    return math.dist(start, end) <= max(_SAME, coarse)


def by_radius(
    start: Point, end: Point, radius: float, *, clockwise: bool, slack: float = RADIUS_RULE
) -> Arc:
    """An arc of a given radius: at most a half circle when it is positive, at least one when it is
    negative.
    """
    half = math.dist(start, end) / 2
    if _is_same(start, end):
        raise Fault("an arc by radius may not end where it starts; give the centre by I and J")
    if half - abs(radius) > slack + _SAME:
        raise Fault(
            f"a radius of {abs(radius):g} mm does not reach: the ends are {2 * half:.4f} mm "
            f"apart; give at least {half:.4f}"
        )
    rise = math.sqrt(max(0.0, radius * radius - half * half))
    side = (
        1.0 if clockwise == (radius > 0) else -1.0
    )  # on the right of the way for a short clockwise arc
    across = ((end[1] - start[1]) / (2 * half), (start[0] - end[0]) / (2 * half))
    centre = (
        (start[0] + end[0]) / 2 + side * rise * across[0],
        (start[1] + end[1]) / 2 + side * rise * across[1],
    )
    return by_centre(start, end, centre, clockwise=clockwise, slack=max(slack, 1e-9 * abs(radius)))
