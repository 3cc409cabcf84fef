"""Arcs of G2 and G3 in the XY plane: by centre or by radius, their length, and points along them,
of many at once too.

After sections 3.5.3.1 and 3.5.3.2 of RS274NGC (NISTIR 6556).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.gcode.reading.lines import Fault

RADIUS_RULE = (
    0.002  # mm: how far the distances of both ends from the centre may differ (section 3.5.3.2)
)
RADIUS_RULE_INCHES = 0.0002 * 25.4  # mm: the same for programs in inches
CHORD_ERROR = 0.002  # mm: how far the chords of arcs may lie from them
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

    def points(self) -> FloatArray:
        """Points (n, 2) after the start up to the end, chords within ``CHORD_ERROR``, the outermost
        points of the arc among them.
        """
        ends = np.array([[*self.start, *self.end, *self.centre, self.sweep]])
        start, end, centre, sweep = np.split(ends, [2, 4, 6], axis=1)
        return Bends(start, end, centre, np.sign(sweep[:, 0])).chords()[0]


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


class Bends(NamedTuple):
    """Many arcs (A) at once, of which each end is right; mm.

    Attributes
    ----------
    start, end, centre : ndarray (A, 2)
    side : ndarray (A,)
        1 counter-clockwise, -1 clockwise.
    """

    start: FloatArray
    end: FloatArray
    centre: FloatArray
    side: FloatArray

    @property
    def radii(self) -> tuple[FloatArray, FloatArray]:
        """How far both ends are from the centre (A,), (A,)."""
        near = self.start - self.centre
        far = self.end - self.centre
        return np.hypot(*near.T), np.hypot(*far.T)

    @property
    def sweeps(self) -> FloatArray:
        """Radians turned (A,), positive counter-clockwise; ends at one place are a full circle."""
        near = self.start - self.centre
        far = self.end - self.centre
        turn = np.arctan2(far[:, 1], far[:, 0]) - np.arctan2(near[:, 1], near[:, 0])
        turn = (turn * self.side) % math.tau
        coarse = 4 * np.spacing(np.abs(np.hstack([self.start, self.end])).max(axis=1, initial=0.0))
        is_same = np.hypot(*(self.end - self.start).T) <= np.maximum(_SAME, coarse)
        return np.asarray(np.where(is_same | (turn == 0), math.tau, turn) * self.side)

    @property
    def lengths(self) -> FloatArray:
        """The ways along the arcs (A,), with the mean radius where the ends differ."""
        near, far = self.radii
        return np.asarray(np.abs(self.sweeps) * (near + far) / 2)

    def chords(self) -> tuple[FloatArray, IntArray]:
        """Points (K, 2) after the start of each arc up to its end, chords within ``CHORD_ERROR``,
        its outermost points among them; and how many of each arc (A,).
        """
        turn = self.sweeps
        near, far = self.radii
        near = np.maximum(near, 1e-12)
        first = np.arctan2(*(self.start - self.centre).T[::-1])
        owner, share = _shares(first, turn, near)
        reach = near[owner] + (far - near)[owner] * share
        angle = first[owner] + turn[owner] * share
        away = np.column_stack([np.cos(angle), np.sin(angle)])
        points = self.centre[owner] + reach[:, None] * away
        counts = np.bincount(owner, minlength=len(turn))
        points[np.cumsum(counts) - 1] = self.end
        return points, counts


def _shares(first: FloatArray, turn: FloatArray, radius: FloatArray) -> tuple[IntArray, FloatArray]:
    """The arc (K,) of each point, and the share (K,) of its turn that is done there, from above 0
    to 1: even steps, and the places where it runs straight up, down, left or right.
    """
    step = 2 * np.arccos(np.maximum(0.0, 1 - CHORD_ERROR / radius))
    counts = np.maximum(1, np.ceil(np.abs(turn) / step - 1e-9)).astype(np.int64)
    begun = np.cumsum(counts) - counts
    owner = np.repeat(np.arange(len(turn)), counts)
    share = (np.arange(1, len(owner) + 1) - begun[owner]) / counts[owner]
    who, where = _extremes(first, turn)
    steps = where * counts[who]
    is_new = np.abs(steps - np.rint(steps)) > _SAME * counts[who]
    who = who[is_new]
    at = begun[who] + steps[is_new].astype(np.int64)
    return np.insert(owner, at, who), np.insert(share, at, where[is_new])


def _extremes(first: FloatArray, turn: FloatArray) -> tuple[IntArray, FloatArray]:
    """The arc (E,) of each place where one runs along an axis, and the share (E,) of its turn that
    is done there, one after another.
    """
    quarter = math.pi / 2
    side = np.sign(turn)
    begin = np.ceil(first / quarter * side) * side
    angle = (begin[:, None] + side[:, None] * np.arange(5)) * quarter
    share = (angle - first[:, None]) / turn[:, None]
    owner, column = np.nonzero((share > _SAME) & (share < 1 - _SAME))
    return owner, share[owner, column]
