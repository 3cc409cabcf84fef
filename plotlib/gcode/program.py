"""The program of a plot, line by line; it remembers what the controller knows already, so that no
word is said twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property, lru_cache

import numpy as np

from plotlib.checks import FloatArray
from plotlib.gcode.bending import ArcLine, arc_lines
from plotlib.gcode.comments import pen_labels, pen_message
from plotlib.gcode.coordinates import AxisWords, Climb, axis_words
from plotlib.gcode.correcting import FINER, Spoken, spoken
from plotlib.gcode.numbers import dwell_line, feed_word, fixed, to_controller
from plotlib.machine import Machine
from plotlib.machine.lifts import State
from plotlib.machine.words import words
from plotlib.planning.moving.feeds import direction_limits, stroke_feeds
from plotlib.planning.moving.legs import PARK
from plotlib.planning.placing.pressing import pressed
from plotlib.planning.plot import Plot

_AT_ONCE = 1 << 16  # points whose words are made together: 4 MB of text and tables
_MODES = {("G", number) for number in (17, 20, 21, 90, 94)}


class Program:
    """One pass over a plot."""

    def __init__(self, plot: Plot) -> None:
        self.plot = plot
        self.machine = plot.machine
        self.lift_lines = {
            "up": _lift_lines(self.machine, "up"),
            "down": _lift_lines(self.machine, "down"),
        }
        self.height_words = _height_words(self.machine)
        self.out: list[str] = []
        self.motion = self.feed = ""
        self.drawn = 0  # strokes so far
        self.bent = 0  # arcs so far

    def pieces(self) -> Iterator[str]:
        """The program from the prologue to the epilogue, some thousand lines at a time, without
        the last line feed of each piece.
        """
        self.out += [*self.machine.prologue, *self.machine.setup]
        self.lift("up")
        for first, end in self._blocks():
            self._go(first, end)
            if self.out:
                yield "\n".join(self.out)
            self.out.clear()
        if self.machine.epilogue:
            yield "\n".join(self.machine.epilogue)

    def _blocks(self) -> Iterator[tuple[int, int]]:
        """Legs ``first`` … ``end - 1`` whose strokes have about as many points as are worth
        putting into words together.
        """
        legs = self.plot.legs
        drawn = np.maximum.accumulate(np.maximum(legs.stroke + 1, 0))
        said = self.plot.drawing.offsets[drawn] + np.arange(len(drawn))
        first = 0
        while first < len(said):
            end = int(np.searchsorted(said, said[first] + _AT_ONCE, side="right"))
            yield first, end
            first = end

    def _go(self, first: int, end: int) -> None:
        """Say the legs ``first`` … ``end - 1``, each with the stroke after it."""
        drawing = self.plot.drawing
        strokes = self.plot.legs.stroke[first:end].tolist()
        own = [stroke for stroke in strokes if stroke >= 0]
        low = own[0] if own else 0
        high = own[-1] + 1 if own else 0
        offsets = drawing.offsets[low : high + 1].tolist()
        self.ink = self._ink_words(offsets[0], offsets[-1])
        ways = self._travel_words(first, end)
        feeds = self.travel_feeds[first:end]
        for leg, (stroke, feed) in enumerate(zip(strokes, feeds, strict=True)):
            axes = ways.lines(leg, leg + 1)
            if axes:
                self.say(self.machine.travel_word, axes, feed)
            if stroke >= 0:
                self.draw(offsets[stroke - low], offsets[stroke - low + 1], self.ink_feeds[stroke])
                self.drawn = stroke + 1
            elif stroke == PARK and self.drawn < len(drawing):
                self.change(int(drawing.pen_index[self.drawn]))

    @cached_property
    def spoken(self) -> Spoken | None:
        """The places as a machine with corrections is told them."""
        return None if self.machine.corrections is None else spoken(self.plot)

    @property
    def decimals(self) -> int:
        """Decimals of X and Y."""
        return self.machine.decimals + (0 if self.machine.corrections is None else FINER)

    def _ink_words(self, first: int, end: int) -> AxisWords:
        """For each of some points the axis words that lead there from the point before."""
        climb = self._climb(first, end)
        if self.spoken is not None:
            said = self.spoken.ink[first:end]
            moved = said != self.spoken.ink_before[first:end]
            return axis_words(said, moved, self.decimals, first=first, climb=climb)
        before = max(first - 1, 0)
        place = to_controller(self.plot.units[before:end], self.machine)
        moved = np.ones(place.shape, np.bool_)
        moved[1:] = place[1:] != place[:-1]
        here = slice(first - before, None)
        return axis_words(place[here], moved[here], self.decimals, first=first, climb=climb)

    def _climb(self, first: int, end: int) -> Climb | None:
        """Where Z stands on some points, and where that is higher or lower than on the point
        before; None where the bed is flat.
        """
        if self.machine.height_map is None:
            return None
        before = max(first - 1, 0)
        z = pressed(self.plot.units[before:end], self.machine)
        moved = np.diff(z, prepend=z[:1]) != 0
        here = slice(first - before, None)
        return Climb(z[here], moved[here], self.machine.decimals)

    @cached_property
    def lowered(self) -> dict[int, str]:
        """The Z word that lowers the pen on the first point of each stroke."""
        first = self.plot.drawing.offsets[:-1]
        z = pressed(self.plot.units[first], self.machine)
        return dict(zip(first.tolist(), fixed("Z", z, self.machine.decimals), strict=True))

    @cached_property
    def ink_feeds(self) -> list[str]:
        """The feed word of each stroke."""
        drawing = self.plot.drawing
        arrays = (self.plot.units, drawing.offsets, drawing.pen_index)
        arcs = self.plot.arcs
        has_arcs = arcs.strokes(drawing.offsets) if len(arcs) else None
        return _feed_words(stroke_feeds(*arrays, drawing.pens, self.machine, has_arcs))

    @cached_property
    def arcs(self) -> list[ArcLine]:
        """The arcs of the plot, as they are said."""
        return arc_lines(self.plot)

    def _travel_words(self, first: int, end: int) -> AxisWords:
        """The axis words of some legs, counted from 0; empty where nothing moves."""
        begin = self.plot.legs.begin[first:end]
        goal = self.plot.legs.end[first:end]
        moved = begin != goal
        if not first and _loses_place(self.machine.setup):
            moved[0] = True  # say where the first place is, even at home
        place = to_controller(goal, self.machine)
        if self.spoken is not None:
            place = self.spoken.travel[first:end]
            moved = (place != self.spoken.travel_before[first:end]) | (moved & (begin == goal))
        return axis_words(place, moved, self.decimals)

    @cached_property
    def travel_feeds(self) -> list[str]:
        """The feed word of each leg, empty for G0."""
        legs = self.plot.legs
        if self.machine.travel_feed is None:
            return [""] * len(legs.stroke)
        able = direction_limits(legs.end - legs.begin, self.machine) * (1 - 1e-12)
        return _feed_words(np.minimum(able, self.machine.travel_feed))

    def say(self, motion: str, words: str, feed: str = "") -> None:
        """One move; motion word and feed are left out while they hold."""
        line = words if motion == self.motion else f"{motion} {words}"
        self.motion = motion
        if feed and feed != self.feed:
            line += f" {feed}"
            self.feed = feed
        self.out.append(line)

    def lift(self, state: State, point: int = 0) -> None:
        """Raise the pen, or lower it on a point, as declared, and wait until it has settled."""
        if self.height_words is not None:
            up, down, feed = self.height_words
            if self.machine.height_map is not None and state == "down":
                down = self.lowered[point]
            self.say("G1", up if state == "up" else down, feed)
        lines = self.lift_lines[state]
        self.out += lines
        if _touches_motion(lines):
            self.motion = self.feed = ""

    def draw(self, first: int, end: int, feed: str) -> None:
        """Pen down, along the points after ``first``, pen up."""
        self.lift("down", first)
        self.follow(first, end, feed)
        self.lift("up")

    def follow(self, first: int, end: int, feed: str) -> None:
        """Along the points after ``first``, by lines and arcs."""
        while self.bent < len(self.arcs) and self.arcs[self.bent].last < end:
            arc = self.arcs[self.bent]
            self.straight(first, arc.first + 1, feed)
            self.say(arc.motion, arc.words, feed)
            first = arc.last
            self.bent += 1
        self.straight(first, end, feed)

    def straight(self, first: int, end: int, feed: str) -> None:
        """Along the points after ``first`` by lines."""
        if end - first > 1:
            self.say("G1", self.ink.lines(first + 1, first + 2), feed)
        if end - first > 2:
            self.out.append(self.ink.lines(first + 2, end))

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """What each pen is called."""
        return pen_labels(self.plot.drawing.pens, longest=self.machine.longest_line)

    def change(self, number: int) -> None:
        """Stop for the next pen, parked; afterwards pen up, distance mode and feed are said
        again.
        """
        if self.machine.comments:
            pen = self.plot.drawing.pens[number]
            longest = self.machine.longest_line
            self.out.append(pen_message(self.labels[number], pen, longest=longest))
        self.out += ["M0", "G90"]
        self.motion = self.feed = ""
        self.lift("up")


def _height_words(machine: Machine) -> tuple[str, str, str] | None:
    """The Z words of both states and the feed word between them; None without a Z axis."""
    heights = machine.lift.heights
    if heights is None:
        return None
    units = machine.to_units([heights.up, heights.down])
    up, down = fixed("Z", units, machine.decimals)
    return up, down, feed_word(heights.feed)


def _lift_lines(machine: Machine, state: State) -> tuple[str, ...]:
    """The declared lines of a change, each with the dwell after it, and the settle time last."""
    out: list[str] = []
    for line, wait in zip(*machine.lift.change(state), strict=True):
        out.append(line)
        if wait > 0:
            out.append(dwell_line(wait, machine))
    settle = machine.lift.settle(state)
    if settle > 0:
        out.append(dwell_line(settle, machine))
    return tuple(out)


@lru_cache(maxsize=64)
def _touches_motion(lines: tuple[str, ...]) -> bool:
    """Whether declared lines may change the motion mode or the feed."""
    return any(
        letter == "F" or (letter == "G" and number != 4)
        for line in lines
        for letter, number in words(line)
    )


def _loses_place(setup: tuple[str, ...]) -> bool:
    """Whether a setup holds words of the controller's own, after which nothing says where the
    carriage is.
    """
    return any(
        letter != "N" and (letter, number) not in _MODES
        for line in setup
        for letter, number in words(line)
    )


def _feed_words(feeds: FloatArray) -> list[str]:
    """The words of many feeds, of which most are the same."""
    different, which = np.unique(feeds, return_inverse=True)
    words = np.array([feed_word(feed) for feed in different.tolist()], np.object_)
    found: list[str] = words[which].tolist()
    return found
