"""The program of a plot, line by line; it remembers what the controller knows already, so that no word is said twice."""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, IntArray
from plotlib.gcode.comments import message_line
from plotlib.gcode.numbers import dwell_line, feed_word, fixed, to_controller
from plotlib.machine import ServoLift
from plotlib.machine.words import words
from plotlib.pen import Pen
from plotlib.planning.feeds import direction_limits, stroke_feeds
from plotlib.planning.legs import PARK
from plotlib.planning.plot import Plot


class Program:
    """One pass over a plot."""

    def __init__(self, plot: Plot) -> None:
        self.plot, self.machine = plot, plot.machine
        drawing = plot.drawing
        self.steps = _ink_lines(plot)
        self.feeds = stroke_feeds(plot.units, drawing.offsets, drawing.pen_index, drawing.pens, self.machine).tolist()
        self.out: list[str] = []
        self.known: dict[str, str] = {}
        self.at = self.machine.to_units(self.machine.home)

    def lines(self) -> list[str]:
        """All lines, from the prologue to the epilogue."""
        drawing, legs = self.plot.drawing, self.plot.legs
        self.out += [*self.machine.prologue, *self.machine.setup]
        self.lift("up")
        offsets, drawn = drawing.offsets.tolist(), 0
        for end, stroke in zip(legs.end, legs.stroke.tolist(), strict=True):
            self.travel(end)
            if stroke >= 0:
                self.draw(offsets[stroke], offsets[stroke + 1], self.feeds[stroke])
                drawn = stroke + 1
            elif stroke == PARK and drawn < len(drawing):
                self.change(drawing.pens[drawing.pen_index[drawn]])
        return [*self.out, *self.machine.epilogue]

    def lift(self, state: str) -> None:
        """Raise or lower the pen as declared, and wait until it has settled."""
        lift = self.machine.lift
        target = getattr(lift, state)
        if isinstance(lift, ServoLift):
            self.out += target
            if _touches_motion(target):
                self.known = {}
        else:
            height = fixed("Z", self.machine.to_units([target]), self.machine.decimals)[0]
            self.say("G1", height, feed_word(lift.feed))
        settle = lift.settle_up if state == "up" else lift.settle_down
        if settle > 0:
            self.out.append(dwell_line(settle, self.machine))

    def say(self, motion: str, words: str, feed: str = "") -> None:
        """One move; motion word and feed are left out while they hold."""
        parts = [motion if self.known.get("G") != motion else "", words, feed if self.known.get("F") != feed else ""]
        self.known["G"] = motion
        if feed:
            self.known["F"] = feed
        self.out.append(" ".join(part for part in parts if part))

    def travel(self, target: IntArray) -> None:
        """A pen-up move to ``target`` in bed units; nothing when the carriage stands there."""
        step = target - self.at
        if not step.any():
            return
        place = to_controller(target, self.machine)
        words = " ".join(fixed(letter, place[k : k + 1], self.machine.decimals)[0] for k, letter in enumerate("XY") if step[k])
        feed = ""
        if self.machine.travel_feed is not None:
            feed = feed_word(min(self.machine.travel_feed, float(direction_limits(step[None], self.machine)[0]) * (1 - 1e-12)))
        self.say(self.machine.travel, words, feed)
        self.at = target

    def draw(self, first: int, end: int, feed: float) -> None:
        """Pen down, along the points after ``first``, pen up."""
        self.lift("down")
        if end - first > 1:
            self.say("G1", self.steps[first + 1], feed_word(feed))
            self.out += self.steps[first + 2 : end]
        self.at = self.plot.units[end - 1]
        self.lift("up")

    def change(self, pen: Pen) -> None:
        """Stop for the next pen, parked; afterwards pen up, distance mode and feed are said again."""
        if self.machine.comments:
            self.out.append(message_line(f"put in pen {pen.name}, {pen.width:g} mm", longest=self.machine.longest_line))
        self.out += ["M0", "G90"]
        self.known = {}
        self.lift("up")


def _touches_motion(lines: tuple[str, ...]) -> bool:
    """Whether declared lines may change the motion mode or the feed."""
    return any(letter == "F" or (letter == "G" and number != 4) for line in lines for letter, number in words(line))


def _ink_lines(plot: Plot) -> list[str]:
    """For each point the axis words that lead there from the point before: only those that change."""
    place = to_controller(plot.units, plot.machine)
    across, up = (fixed(letter, place[:, k], plot.machine.decimals) for k, letter in enumerate("XY"))
    moved: BoolArray = np.ones(place.shape, np.bool_)
    moved[1:] = np.diff(place, axis=0) != 0
    right, both = moved[:, 0].tolist(), (moved[:, 0] & moved[:, 1]).tolist()
    return [f"{x} {y}" if two else x if one else y for x, y, one, two in zip(across, up, right, both, strict=True)]
