"""The program of a plot, line by line; it remembers what the controller knows already, so that no
word is said twice.
"""

from __future__ import annotations

from functools import cached_property, lru_cache

import numpy as np

from plotlib.checks import BoolArray, IntArray
from plotlib.gcode.comments import pen_labels, pen_message
from plotlib.gcode.correcting import FINER, Spoken, spoken
from plotlib.gcode.numbers import dwell_line, feed_word, fixed, to_controller
from plotlib.machine import Machine
from plotlib.machine.lifts import State
from plotlib.machine.words import words
from plotlib.planning.moving.feeds import direction_limits, stroke_feeds
from plotlib.planning.moving.legs import PARK
from plotlib.planning.plot import Plot

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

    def lines(self) -> list[str]:
        """All lines, from the prologue to the epilogue."""
        drawing = self.plot.drawing
        legs = self.plot.legs
        self.out += [*self.machine.prologue, *self.machine.setup]
        self.lift("up")
        offsets = drawing.offsets.tolist()
        feeds = self.ink_feeds
        drawn = 0
        for axes, feed, stroke in zip(*self.travels, legs.stroke.tolist(), strict=True):
            if axes:
                self.say(self.machine.travel_word, axes, feed)
            if stroke >= 0:
                self.draw(offsets[stroke], offsets[stroke + 1], feeds[stroke])
                drawn = stroke + 1
            elif stroke == PARK and drawn < len(drawing):
                self.change(int(drawing.pen_index[drawn]))
        return [*self.out, *self.machine.epilogue]

    @cached_property
    def spoken(self) -> Spoken | None:
        """The places as a machine with corrections is told them."""
        return None if self.machine.corrections is None else spoken(self.plot)

    @property
    def decimals(self) -> int:
        """Decimals of X and Y."""
        return self.machine.decimals + (0 if self.machine.corrections is None else FINER)

    @cached_property
    def ink_words(self) -> list[str]:
        """For each point the axis words that lead there from the point before."""
        if self.spoken is not None:
            said = self.spoken
            return _axis_words(said.ink, said.ink != said.ink_before, self.decimals)
        place = to_controller(self.plot.units, self.machine)
        moved: BoolArray = np.ones(place.shape, np.bool_)
        moved[1:] = np.diff(place, axis=0) != 0
        return _axis_words(place, moved, self.machine.decimals)

    @cached_property
    def ink_feeds(self) -> list[str]:
        """The feed word of each stroke."""
        drawing = self.plot.drawing
        feeds = stroke_feeds(
            self.plot.units, drawing.offsets, drawing.pen_index, drawing.pens, self.machine
        )
        return [feed_word(feed) for feed in feeds.tolist()]

    @cached_property
    def travels(self) -> tuple[list[str], list[str]]:
        """For each leg its axis words, empty where nothing moves, and its feed word, empty for
        G0.
        """
        begin = self.plot.legs.begin
        end = self.plot.legs.end
        moved = begin != end
        if _loses_place(self.machine.setup):
            moved[0] = True  # say where the first place is, even at home
        place = to_controller(end, self.machine)
        if self.spoken is not None:
            place = self.spoken.travel
            moved = (place != self.spoken.travel_before) | (moved & (begin == end))
        spoken = _axis_words(place, moved, self.decimals)
        if self.machine.travel_feed is None:
            return spoken, [""] * len(spoken)
        limits = np.minimum(
            direction_limits(end - begin, self.machine) * (1 - 1e-12), self.machine.travel_feed
        )
        return spoken, [feed_word(feed) for feed in limits.tolist()]

    def say(self, motion: str, words: str, feed: str = "") -> None:
        """One move; motion word and feed are left out while they hold."""
        line = words if motion == self.motion else f"{motion} {words}"
        self.motion = motion
        if feed and feed != self.feed:
            line += f" {feed}"
            self.feed = feed
        self.out.append(line)

    def lift(self, state: State) -> None:
        """Raise or lower the pen as declared, and wait until it has settled."""
        if self.height_words is not None:
            up, down, feed = self.height_words
            self.say("G1", up if state == "up" else down, feed)
        lines = self.lift_lines[state]
        self.out += lines
        if _touches_motion(lines):
            self.motion = self.feed = ""

    def draw(self, first: int, end: int, feed: str) -> None:
        """Pen down, along the points after ``first``, pen up."""
        self.lift("down")
        if end - first > 1:
            self.say("G1", self.ink_words[first + 1], feed)
            self.out += self.ink_words[first + 2 : end]
        self.lift("up")

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


def _axis_words(place: IntArray, moved: BoolArray, decimals: int) -> list[str]:
    """The X and Y words (N,) of places in controller units: only the axes that ``moved``."""
    words = []
    for letter, place_along, moves in zip("XY", place.T, moved.T, strict=True):
        said = fixed(letter, place_along, decimals)
        words.append(
            [word if moves else "" for word, moves in zip(said, moves.tolist(), strict=True)]
        )
    return [f"{x} {y}" if x and y else x or y for x, y in zip(*words, strict=True)]
