"""A plain writer and a plain replay of drawing programs, slow and obvious, that share nothing with
the package's own.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, fields, replace
from decimal import Decimal
from itertools import pairwise
from typing import Any

import numpy as np

from plotlib.drawing import Drawing
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Axis, Lift, Machine, ServoLift, SolenoidLift, ZLift
from plotlib.pen import Pen
from plotlib.planning.clock import clock
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot

SERVO = ServoLift("M5", "M3 S90", 0.2, 0.1)
ZED = ZLift(4, -0.5, 600, 0.1, 0.1)
COIL = SolenoidLift(
    pull="M3 S255",
    hold="M3 S70",
    release="M5",
    pull_time=0.05,
    holds="down",
    settle_up=0.2,
    settle_down=0.1,
)
HELD_UP = SolenoidLift(
    pull="M42 P4 S255",
    hold="M42 P4 S70",
    release="M42 P4 S0",
    pull_time=0.12,
    holds="up",
    settle_up=0.2,
    settle_down=0.1,
)
RAMP = ServoLift(("M42 P40", "M42 P30"), ("M42 P60", "M42 P90"), 0.25, 0.15)


def bench(lift: Lift = SERVO, **changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 100,
        "height": 80,
        "x": Axis(10_000, 500),
        "y": Axis(4_000, 250, reversed=True),
        "feed": 3_000,
    }
    values |= {"zero": (10, 80), "home": (10, 80), "park": (5, 70), "lift": lift}
    return Machine(**values | changes)


INK = Drawing(
    [[(10, 10), (20, 10), (20, 25.5)], [(30, 30), (41.25, 31), (30, 30)], [(50, 50)]],
    pen=Pen("thin", 0.2, feed=2_000),
) + Drawing([[(60, 10), (60, 20)], [(70, 12.125), (72, 40)]], pen=Pen("blue", 0.8))


def job(machine: Machine, drawing: Drawing = INK) -> Plot:
    """A plot, also for a machine whose declared lines ``plan`` would refuse."""
    plain = replace(machine, prologue=(), epilogue=None)
    return replace(plan(drawing, plain, keep_order=True), machine=machine)


def handwritten(plot: Plot) -> list[str]:
    """A correct program of a plot, every word said in full."""
    machine = plot.machine
    out = ["(written by hand, 1.0: a - b)", *_header(plot)] if machine.comments else []
    out += [*machine.prologue, *machine.setup, *_lift(machine, "up")]
    offsets = plot.drawing.offsets.tolist()
    index = plot.drawing.pen_index.tolist()
    for number in range(len(plot.drawing)):
        points = plot.units[offsets[number] : offsets[number + 1]].tolist()
        if number and index[number] != index[number - 1]:
            pen = plot.drawing.pens[index[number]]
            told = [f"(MSG, put in pen {pen.name}, {pen.width:g} mm)"] * machine.comments
            out += [
                _travel(machine, machine.to_units(machine.park).tolist()),
                *told,
                "M0",
                "G90",
                *_lift(machine, "up"),
            ]
        out += [_travel(machine, points[0]), *_lift(machine, "down")]
        feed = _feed(machine, points, plot.drawing.pens[index[number]].feed or machine.feed)
        out += [f"G1 {_xy(machine, point)} F{feed}" for point in points[1:]]
        out += _lift(machine, "up")
    return [*out, _travel(machine, machine.to_units(machine.park).tolist()), *machine.epilogue]


def _header(plot: Plot) -> list[str]:
    """What the person at the machine is told, for pens whose names are plain; cut by hand."""
    told = [
        "Caution: make the first run with the pen lifted or taken out.",
        "Keep the mains plug within reach.",
        "Keep fingers, long hair, cords and sleeves out of carriage",
        "and belts. Never leave a moving machine alone.",
        "Check homing and lift by hand before the first file.",
        "Ventilate for solvent inks.",
        "On food only inks, pens and surfaces made for it.",
        "Mains wiring is for those licensed for it.",
        "The instructions of the machine maker",
        "and local rules come first.",
    ]
    if not len(plot.drawing):
        return [f"({line})" for line in ["empty drawing", *told]]
    scale = 10**plot.machine.decimals
    low, high = ([int(value) for value in side] for side in (plot.units.min(0), plot.units.max(0)))

    def mm(units: int) -> str:
        return f"{Decimal(units) / scale:.{plot.machine.decimals}f}"

    pens = [f"{pen.name} {pen.width:g} mm" for pen in plot.drawing.pens]
    facts = [
        f"size {mm(high[0] - low[0])} x {mm(high[1] - low[1])} mm,",
        f"on the bed x {mm(low[0])} to {mm(high[0])}, y {mm(low[1])} to {mm(high[1])}",
        f"pens: {', '.join(pens)}. Begin with {plot.drawing.pens[0].name}.",
        f"{len(plot.drawing)} strokes, expected time {clock(plot.duration)}.",
    ]
    return [f"({line})" for line in facts + told]


def text(lines: list[str]) -> str:
    return "".join(f"{line}\n" for line in lines)


def _lift(machine: Machine, state: str) -> list[str]:
    lift: Any = machine.lift
    settle = getattr(machine.lift, f"settle_{state}")
    if lift.kind == "z":
        lines = [f"G1 Z{getattr(lift, state):.{machine.decimals}f} F{lift.feed:g}"]
    elif lift.kind == "servo":
        lines = list(getattr(lift, state))
    elif lift.holds == state:
        lines = [lift.pull, _wait(machine, lift.pull_time), lift.hold]
    else:
        lines = [lift.release]
    return lines + [_wait(machine, settle)] * (settle > 0)


def _wait(machine: Machine, seconds: float) -> str:
    millis = math.ceil(round(seconds * 1000, 6))
    return f"G4 P{millis}" if machine.dwell == "milliseconds" else f"G4 P{millis / 1000:g}"


def _bare_lines(lift: Any) -> dict[str, list[str]]:
    """The lines of each state without blanks; none for a lift along Z."""
    if lift.kind == "z":
        return {}
    lines = {"up": lift.up, "down": lift.down} if lift.kind == "servo" else {}
    if lift.kind == "solenoid":
        other = "down" if lift.holds == "up" else "up"
        lines = {lift.holds: [lift.pull, lift.hold], other: [lift.release]}
    return {state: [line.replace(" ", "") for line in said] for state, said in lines.items()}


def _travel(machine: Machine, point: list[int]) -> str:
    feed = (
        ""
        if machine.travel_feed is None
        else f" F{_thousandths(min(machine.travel_feed, machine.x.rate, machine.y.rate))}"
    )
    return f"{machine.travel_word} {_xy(machine, point)}{feed}"


def _xy(machine: Machine, point: list[int]) -> str:
    words = []
    for letter, value, zero, axis in zip(
        "XY", point, machine.zero, (machine.x, machine.y), strict=True
    ):
        count = value - round(zero * 10**machine.decimals)
        number = Decimal(-count if axis.reversed else count).scaleb(-machine.decimals)
        words.append(f"{letter}{number + 0:.{machine.decimals}f}")
    return " ".join(words)


def _feed(machine: Machine, points: list[list[int]], feed: float) -> str:
    for (ax, ay), (bx, by) in pairwise(points):
        length = math.hypot(bx - ax, by - ay)
        for way, axis in ((abs(bx - ax), machine.x), (abs(by - ay), machine.y)):
            if way:
                feed = min(feed, axis.rate * length / way)
    return _thousandths(feed)


def _thousandths(feed: float) -> str:
    return f"{Decimal(math.floor(feed * 1000 + 1e-6)).scaleb(-3).normalize():f}"


@dataclass
class Outcome:
    """What a machine is left with: strokes in grid units, and every way in which it was treated
    badly.
    """

    strokes: list[list[tuple[int, int]]] = field(default_factory=list)
    stops: list[int] = field(default_factory=list)
    bad: list[str] = field(default_factory=list)
    end: tuple[int, int] = (0, 0)
    up: bool = False


def replay(program: str, machine: Machine) -> Outcome:
    """Run a program as a simple controller would."""
    out = Outcome()
    lift: Any = machine.lift
    wanted = _bare_lines(lift)
    is_coil = lift.kind == "solenoid"
    at_full = is_powered = False
    scale = 10**machine.decimals
    zero = [round(value * scale) for value in machine.zero]
    sign = [-1 if axis.reversed else 1 for axis in (machine.x, machine.y)]
    at = [round(value * scale) for value in machine.home]
    motion = ""
    feed = 0.0
    up = False
    rest = 0.0
    past = []
    ended = False
    handled = True
    for line in program.split("\n"):
        code = re.sub(r"\([^)]*\)", "", line).replace(" ", "")
        if not code:
            continue
        if ended:
            out.bad.append("words after the end")
        if (
            code in {bare.replace(" ", "") for bare in (*machine.prologue, *machine.setup)}
            and code != "G90"
        ):
            past.append(code)
            continue
        words = re.findall(r"([A-Z])(-?\d+\.?\d*)", code)
        if "".join(map("".join, words)) != code:
            out.bad.append(f"unreadable {line!r}")
        values = {letter: number for letter, number in words if letter not in "GM"}
        codes = [letter + number for letter, number in words if letter in "GM"]
        if not (is_coil and code.startswith("G4")):
            past.append(code)
        before = up
        if at_full and not code.startswith("G4") and code != lift.hold.replace(" ", ""):
            out.bad.append("left at full power")
        touched = False
        if wanted:
            if code in wanted["up"] + wanted["down"]:
                touched = True
                up = past[-len(wanted["up"]) :] == wanted["up"]
                up = up or (
                    handled and before and code in wanted["up"]
                )  # a ramp after a stop begins anywhere
                codes = []
                values = {}
                if is_coil:
                    was_full = at_full
                    at_full = code == lift.pull.replace(" ", "")
                    if at_full and is_powered and not handled:
                        out.bad.append("pulled twice")
                    if code == lift.hold.replace(" ", "") and (
                        not was_full or not lift.pull_time - 1e-9 <= rest <= lift.pull_time + 0.0011
                    ):
                        out.bad.append("held without a pull, or pulled too long")
                    is_powered = code != lift.release.replace(" ", "")
            elif "S" in values or any(item in ("M3", "M4", "M5") for item in codes):
                out.bad.append(f"odd spindle {line!r}")
        elif "Z" in values:
            touched = True
            up = Decimal(values["Z"]) == Decimal(str(lift.up))
            if Decimal(values["Z"]) not in (Decimal(str(lift.up)), Decimal(str(lift.down))):
                out.bad.append("half a lift")
        motion = next((item for item in codes if item in ("G0", "G1")), motion)
        feed = float(values.get("F", feed))
        for item in codes:
            if item not in ("G0", "G1", "G4", "G90", "M0", "M2", "G21", "G17", "G94"):
                out.bad.append(f"word {item}")
        if touched:
            if before and not up:
                out.strokes.append([(at[0], at[1])])
            rest = 0.0
            if "Z" in values and motion == "G1" and feed > lift.feed:
                out.bad.append("fast lift")
        if "G4" in codes:
            rest += float(values["P"]) / (1000 if machine.dwell == "milliseconds" else 1)
        if "X" in values or "Y" in values:
            goal = list(at)
            for k, letter in enumerate("XY"):
                if letter in values:
                    goal[k] = zero[k] + sign[k] * int(
                        Decimal(values[letter]).scaleb(machine.decimals)
                    )
            if rest < (lift.settle_up if up else lift.settle_down) - 1e-9:
                out.bad.append("moves before it is settled")
            if not motion:
                out.bad.append("no motion word")
            if touched:
                out.bad.append("drags")
            way = [abs(goal[0] - at[0]), abs(goal[1] - at[1])]
            length = math.hypot(*way)
            if motion == "G1" and length:
                if not feed:
                    out.bad.append("no feed")
                for part, axis in zip(way, (machine.x, machine.y), strict=True):
                    if feed * part / length > axis.rate * (1 + 1e-9):
                        out.bad.append("an axis is driven too fast")
            if not up and motion == "G0":
                out.bad.append("drags by G0")
            if not all(
                0 <= value <= round(size * scale)
                for value, size in zip(goal, (machine.width, machine.height), strict=True)
            ):
                out.bad.append("off the bed")
            at = goal
            if not up:
                if not out.strokes:
                    out.bad.append("moves before the pen is up")
                else:
                    out.strokes[-1].append((at[0], at[1]))
        if up and touched:
            handled = handled and bool(wanted) and past[-1] != wanted["up"][-1]
        if "M0" in codes:
            handled = True
            out.stops.append(len(out.strokes))
            if not up:
                out.bad.append("stops with the pen down")
        ended = ended or "M2" in codes
    out.end = (at[0], at[1])
    out.up = up
    return out


def reach(
    lines: list[str], *, scale: float = 1.0, start: tuple[float, float] = (0.0, 0.0)
) -> tuple[float, float, float, float]:
    """Where a program of G0, G1, G2, G3 with I and J, G90, G91, G92 and G92.1 goes, in the
    controller's own mm: (left, bottom, right, top), arcs walked in degrees, all in exact decimals.

    An arc that ends where it starts, in the numbers of the program, is a full circle.
    """
    at = [Decimal(repr(value)) for value in start]
    shift = [Decimal(0), Decimal(0)]
    unit = Decimal(repr(scale))
    absolute = True
    seen = [(float(at[0]), float(at[1]))]
    for line in lines:
        words = dict(re.findall(r"([A-Z])(-?[\d.]+)", line))
        motion = re.search(r"G([0-3])(?![\d.])", line)
        if "G90" in line or "G91" in line:
            absolute = "G90" in line
        if "G92.1" in line:
            shift = [Decimal(0), Decimal(0)]
            continue
        said = [Decimal(words[axis]) * unit if axis in words else None for axis in "XY"]
        if "G92" in line:
            shift = [
                was if value is None else here - value
                for was, value, here in zip(shift, said, at, strict=True)
            ]
            continue
        goal = [
            here if value is None else value + (off if absolute else here)
            for value, here, off in zip(said, at, shift, strict=True)
        ]
        if motion and motion[1] in "23":
            centre = [
                here + Decimal(words.get(letter, "0")) * unit
                for here, letter in zip(at, "IJ", strict=True)
            ]
            seen += _around(at, goal, centre, clockwise=motion[1] == "2")
        at = goal
        seen.append((float(at[0]), float(at[1])))
    across, up = zip(*seen, strict=True)
    return min(across), min(up), max(across), max(up)


def _around(
    start: list[Decimal], end: list[Decimal], centre: list[Decimal], *, clockwise: bool
) -> list[tuple[float, float]]:
    """A point for each tenth of a degree of an arc."""
    spokes = [[float(point[k] - centre[k]) for k in (0, 1)] for point in (start, end)]
    first, last = (math.atan2(y, x) for x, y in spokes)
    turn = (first - last if clockwise else last - first) % math.tau
    if start == end:
        turn = math.tau
    radius = math.hypot(*spokes[0])
    steps = math.ceil(math.degrees(turn) * 10)
    angles = [first + (-turn if clockwise else turn) * k / steps for k in range(1, steps + 1)]
    x, y = (float(value) for value in centre)
    return [(x + radius * math.cos(angle), y + radius * math.sin(angle)) for angle in angles]


def assert_same(one: Toolpath, two: Toolpath) -> None:
    """Two toolpaths are the same to the last bit."""
    for table in ("moves", "pens", "stops", "dwells", "glimpses", "turns"):
        mine = getattr(one, table)
        theirs = getattr(two, table)
        for column in fields(mine):
            np.testing.assert_array_equal(
                getattr(mine, column.name), getattr(theirs, column.name), err_msg=column.name
            )
    np.testing.assert_array_equal(one.points, two.points)
    np.testing.assert_array_equal(one.offsets, two.offsets)
    np.testing.assert_array_equal(one.point_lines, two.point_lines)
    assert {word: lines.tolist() for word, lines in one.said.items()} == {
        word: lines.tolist() for word, lines in two.said.items()
    }
    assert one.finish == two.finish
