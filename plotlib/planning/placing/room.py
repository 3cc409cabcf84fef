"""The room that a refused drawing has, and the ways into it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import affinity

from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.machine import Machine
from plotlib.planning.placing.envelope import edges_of, first_fault
from plotlib.planning.placing.fault import Fault, halves
from plotlib.planning.placing.grid import GridStrokes, to_grid
from plotlib.sheet import Sheet

FINE = 1e6  # areas in advice are given in millionths of a mm


@dataclass(frozen=True)
class Task:
    """What was asked of ``plan``, as far as the envelope matters."""

    drawing: Drawing
    machine: Machine
    sheet: Sheet | None
    margin: bool

    def fault(self, drawing: Drawing) -> Fault | None:
        """What keeps ``drawing`` out, if anything does."""
        strokes = to_grid(drawing, self.machine, self.sheet)
        return first_fault(strokes, self.machine, self.sheet, drawing.pens, margin=self.margin)


@dataclass(frozen=True)
class Mend:
    """Code to put behind a drawing, and what it does."""

    code: str
    change: Callable[[Drawing], Drawing]


class Room:
    """The room that a refused drawing has, in its own mm, and the ways into it."""

    def __init__(self, task: Task, strokes: GridStrokes) -> None:
        self.task = task
        machine = task.machine
        edges = edges_of(strokes, machine, task.sheet, task.drawing.pens, margin=task.margin)
        over = [edge.excess(strokes).max(axis=0) - edge.slack for edge in edges]
        beyond = np.max(over, axis=0)  # left, bottom, right, top, in units
        self.least = np.ceil(beyond[:2] - 1e-9)
        self.most = np.floor(-beyond[2:] + 1e-9)
        self.is_large_enough = bool((self.least <= self.most).all())
        self.half = float(halves(strokes, task.drawing.pens).max())
        self.window = self._window([edge.room for edge in edges])

    def _window(self, corners: list[tuple[FloatArray, FloatArray]]) -> FloatArray:
        """Left, bottom, right and top of where the widest pen may draw, in the drawing's mm."""
        unit = self.task.machine.unit
        low = np.max([low for low, _ in corners], axis=0) * unit - self.at
        high = np.min([high for _, high in corners], axis=0) * unit - self.at
        inner = np.concatenate([np.ceil(low * FINE - 1e-3), np.floor(high * FINE + 1e-3)])
        return np.asarray(inner / FINE + 0.0)

    @property
    def at(self) -> FloatArray:
        sheet = self.task.sheet
        return np.zeros(2) if sheet is None else np.asarray(sheet.at)

    @property
    def too_small(self) -> str:
        """That no move can mend it."""
        left, bottom, right, top = self.task.drawing.bounds or (0.0, 0.0, 0.0, 0.0)
        across, up = np.maximum(self.window[2:] - self.window[:2], 0.0)
        return (
            f"the drawing, {right - left:g} x {top - bottom:g} mm, is larger than the room of "
            f"{across:g} x {up:g} mm"
        )

    @property
    def hopeless(self) -> str:
        """What to say where nothing mends it."""
        if self.is_empty:
            return (
                f"bed and sheet have no room in common for a pen {2 * self.half:g} mm wide: lay "
                f"the sheet elsewhere, or take a finer pen"
            )
        return "nothing of it can be drawn there: change the machine's keep-outs or the sheet"

    @property
    def is_empty(self) -> bool:
        return bool((self.window[:2] > self.window[2:]).any())

    def moves(self) -> Iterator[Mend]:
        """Moves into the room, the shortest first."""
        if not self.is_large_enough:
            return
        ways = [np.clip(way, self.least, self.most) for way in self._wishes()]
        seen = set()
        for way in sorted(ways, key=lambda way: float(np.abs(way).max())):
            dx, dy = (way / 10.0**self.task.machine.decimals + 0.0).tolist()
            if (dx, dy) not in seen and (dx or dy):
                seen.add((dx, dy))
                yield moved(dx, dy, self.task.machine.decimals)

    def _wishes(self) -> list[FloatArray]:
        """Moves in units that the edges may cut short: none at all, one unit more than needed for
        ties of rounding, and just past each keep-out.
        """
        machine = self.task.machine
        stay = np.clip(np.zeros(2), self.least, self.most)
        wishes = [stay, stay + np.sign(stay)]
        left, bottom, right, top = self.task.drawing.moved(*self.at).bounds or (0, 0, 0, 0)
        away = self.half + 2 * machine.unit
        for keep_out in machine.keep_outs:
            x0, y0, x1, y1 = keep_out.area.bounds
            for dx, dy in (
                (x0 - right - away, 0.0),
                (x1 - left + away, 0.0),
                (0.0, y0 - top - away),
                (0.0, y1 - bottom + away),
            ):
                wishes.append(machine.to_units([dx, dy]).astype(np.float64))
        return wishes

    def fits(self) -> Iterator[Mend]:
        """Scaling, where no move helps."""
        if self.is_large_enough or self.is_empty:
            return
        if self.task.sheet is not None:
            yield fitted("sheet.area", self.task.sheet.area)
        yield fitted(*self.area())

    def cuts(self) -> Iterator[Mend]:
        """Leaving out what lies outside, inside the keep-outs, or both."""
        if self.is_empty:
            return
        clip = cut("clipped", *self.area())
        erasers = [cut("erased", *area) for area in self.closed()]
        yield from erasers
        yield clip
        for eraser in erasers:
            yield both(clip, eraser)

    def area(self) -> tuple[str, Any]:
        """The room as code and as an area."""
        if self.task.sheet is None:
            return "machine.bed", self.task.machine.bed
        left, bottom, right, top = self.window.tolist()
        numbers = ", ".join(number(value) for value in (left, bottom, right, top))
        return f"shapely.box({numbers})", shapely.box(left, bottom, right, top)

    def closed(self) -> Iterator[tuple[str, Any]]:
        """What has to be cut out, as code and as an area, with a rim that survives the rounding to
        the grid; a wider one next.
        """
        machine = self.task.machine
        if not machine.keep_outs:
            return
        code = "machine.keep_outs[0].area"
        area = machine.keep_outs[0].area
        if len(machine.keep_outs) > 1:
            code = "shapely.union_all([item.area for item in machine.keep_outs])"
            area = shapely.union_all([item.area for item in machine.keep_outs])
        code, area = self.in_drawing(code, area)
        for units in (1, 2, 8):
            rim = math.ceil((self.half + units * machine.unit) * FINE) / FINE
            yield (
                f'{code}.buffer({number(rim)}, join_style="mitre")',
                area.buffer(rim, join_style="mitre"),
            )

    def in_drawing(self, code: str, area: Any) -> tuple[str, Any]:
        """An area of the bed in the drawing's mm, as code and as an area."""
        x, y = (-self.at + 0.0).tolist()
        if x or y:
            code = f"shapely.affinity.translate({code}, {number(x)}, {number(y)})"
            area = affinity.translate(area, x, y)
        angle = 0.0 if self.task.sheet is None else self.task.sheet.angle
        if angle:
            code = f"shapely.affinity.rotate({code}, {number(-angle)}, origin=(0, 0))"
            area = affinity.rotate(area, -angle, origin=(0, 0))
        return code, area


def moved(dx: float, dy: float, places: int) -> Mend:
    code = f".moved({dx:.{places}f}, {dy:.{places}f})"
    return Mend(code, lambda drawing: drawing.moved(dx, dy))


def fitted(name: str, area: Any) -> Mend:
    return Mend(f".fitted({name})", lambda drawing: drawing.fitted(area))


def cut(verb: str, name: str, area: Any) -> Mend:
    if verb == "clipped":
        return Mend(f".clipped({name})", lambda drawing: drawing.clipped(area))
    return Mend(f".erased({name})", lambda drawing: drawing.erased(area))


def both(first: Mend, second: Mend) -> Mend:
    code = first.code + second.code
    return Mend(code, lambda drawing: second.change(first.change(drawing)))


def number(value: float) -> str:
    """A number as short as it can be read back without loss."""
    return f"{value:.0f}" if value == round(value) and abs(value) < 1e9 else repr(value)
