"""Outlines: lines and curves as SVG names them, all as cubic Bézier curves."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray

# An arc becomes curves of at most this much. They leave it by 6.6e-8 of the radius: 2.7e-4 for a
# quarter (a known value, from memory), and the sixth power of their number less.
_ARC_STEP = math.pi / 8


class Outline(NamedTuple):
    """Subpaths in user units.

    Attributes
    ----------
    controls : float array (M, 4, 2)
        The control points of each segment; straight ones have theirs at the ends.
    firsts : int array (K + 1,)
        The first segment of each subpath, and the end; no subpath is empty.
    shut : bool array (K,)
        Which subpaths are closed.
    fault : str
        What breaks the grammar; what came before is kept.
    """

    controls: FloatArray
    firsts: IntArray
    shut: BoolArray
    fault: str = ""


class Pencil:
    """Puts an outline together, segment after segment."""

    def __init__(self) -> None:
        self.numbers: list[float] = []
        self.firsts: list[int] = [0]
        self.shut: list[bool] = []
        self.x = 0.0
        self.y = 0.0
        self._start = (0.0, 0.0)
        self._moved = False

    def move(self, x: float, y: float) -> None:
        """Begin a subpath at (x, y)."""
        self._end(shut=False)
        self._start = (x, y)
        self._moved = True
        self.x = x
        self.y = y

    def line(self, x: float, y: float) -> None:
        """A straight segment to (x, y)."""
        a = self.x
        b = self.y
        self.numbers += (a, b, a, b, x, y, x, y)
        self.x = x
        self.y = y

    def curve(self, a: float, b: float, c: float, d: float, x: float, y: float) -> None:
        """A cubic Bézier curve with the inner control points (a, b) and (c, d)."""
        self.numbers += (self.x, self.y, a, b, c, d, x, y)
        self.x = x
        self.y = y

    def quadratic(self, a: float, b: float, x: float, y: float) -> None:
        """A quadratic Bézier curve; the cubic is the same curve."""
        p = self.x
        q = self.y
        self.numbers += (
            p,
            q,
            p + 2 / 3 * (a - p),
            q + 2 / 3 * (b - q),
            x + 2 / 3 * (a - x),
            y + 2 / 3 * (b - y),
            x,
            y,
        )
        self.x = x
        self.y = y

    def arc(
        self, rx: float, ry: float, turn: float, large: bool, sweep: bool, end: tuple[float, float]
    ) -> None:
        """An elliptical arc by its end, as SVG 2, chapter Paths, "Out-of-range elliptical arc
        parameters" and Implementation Notes, "Conversion from endpoint to center parameterization"
        have it; ``turn`` in degrees.
        """
        x, y = end
        if (x, y) == (self.x, self.y):
            return  # the segment is omitted
        rx = abs(rx)
        ry = abs(ry)
        angle = math.radians(turn % 360) if math.isfinite(turn) else 0.0
        found = _centre(self.x, self.y, rx, ry, angle, large != sweep, end) if rx and ry else None
        if found is None:
            self.line(x, y)
            return
        self._ellipse(found, angle, sweep, end)

    def ring(self, cx: float, cy: float, rx: float, ry: float) -> None:
        """A whole ellipse, from its rightmost point by increasing angles."""
        self.move(cx + rx, cy)
        for x, y in ((cx, cy + ry), (cx - rx, cy), (cx, cy - ry), (cx + rx, cy)):
            self.arc(rx, ry, 0.0, False, True, (x, y))
        self.close()

    def close(self) -> None:
        """Close the subpath; the next segment begins where it began."""
        empty = len(self.numbers) == 8 * self.firsts[-1]
        if (empty and self._moved) or (self.x, self.y) != self._start:
            self.line(*self._start)
        self._end(shut=True)
        self._moved = False
        self.x, self.y = self._start

    def outline(self, fault: str = "") -> Outline:
        """What was drawn."""
        self._end(shut=False)
        controls = np.array(self.numbers, np.float64).reshape(-1, 4, 2)
        return Outline(controls, np.array(self.firsts), np.array(self.shut, np.bool_), fault)

    def _end(self, *, shut: bool) -> None:
        count = len(self.numbers) // 8
        if count > self.firsts[-1]:
            self.firsts.append(count)
            self.shut.append(shut)

    def _ellipse(
        self,
        found: tuple[float, float, float, float, float, float],
        angle: float,
        sweep: bool,
        end: tuple[float, float],
    ) -> None:
        cx, cy, rx, ry, first, last = found
        way = (last - first) % (2 * math.pi)
        if not sweep:
            way -= 2 * math.pi
        count = max(1, math.ceil(abs(way) / _ARC_STEP - 1e-9))
        step = way / count
        reach = 4 / 3 * math.tan(step / 4)
        c = math.cos(angle)
        s = math.sin(angle)

        def place(u: float, v: float) -> tuple[float, float]:
            return cx + rx * u * c - ry * v * s, cy + rx * u * s + ry * v * c

        for k in range(count):
            a = first + k * step
            b = a + step
            one = place(math.cos(a) - reach * math.sin(a), math.sin(a) + reach * math.cos(a))
            two = place(math.cos(b) + reach * math.sin(b), math.sin(b) - reach * math.cos(b))
            point = end if k == count - 1 else place(math.cos(b), math.sin(b))
            self.curve(*one, *two, *point)


def _centre(
    x1: float,
    y1: float,
    rx: float,
    ry: float,
    angle: float,
    is_left: bool,
    end: tuple[float, float],
) -> tuple[float, float, float, float, float, float] | None:
    """Centre, radii (enlarged where they are too small) and both angles of an arc; None where its
    numbers are beyond floating point.
    """
    x2, y2 = end
    c = math.cos(angle)
    s = math.sin(angle)
    dx = (x1 - x2) / 2
    dy = (y1 - y2) / 2
    u = (c * dx + s * dy) / rx
    v = (c * dy - s * dx) / ry
    size = u * u + v * v
    if not math.isfinite(size) or size == 0.0:
        return None
    if size > 1.0:
        rx *= math.sqrt(size)
        ry *= math.sqrt(size)
        u /= math.sqrt(size)
        v /= math.sqrt(size)
        size = 1.0
    far = math.sqrt(max(0.0, 1 / size - 1)) * (1.0 if is_left else -1.0)
    p = far * v
    q = -far * u
    cx = c * rx * p - s * ry * q + (x1 + x2) / 2
    cy = s * rx * p + c * ry * q + (y1 + y2) / 2
    first = math.atan2(v - q, u - p)
    last = math.atan2(-v - q, -u - p)
    found = (cx, cy, rx, ry, first, last)
    return found if all(map(math.isfinite, found)) else None
