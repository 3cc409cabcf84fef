"""The room on a sheet that is no rectangle, or that lies turned, and the ways into it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from plotlib.checks import FloatArray
from plotlib.planning.placing.envelope import edges_of
from plotlib.planning.placing.fault import halves
from plotlib.planning.placing.grid import GridStrokes
from plotlib.planning.placing.room import FINE, Mend, Room, Task, both, cut, fitted, moved, number

_STEPS = 16  # of the way to the middle: the first that mends it is told
_HALVINGS = 30  # in search of the largest box


class OutlinedRoom(Room):
    """The outline less the widest pen's half, the margin where it counts, and what hangs off the
    bed; ``parts`` has each of them as code and as an area in sheet mm.
    """

    def __init__(self, task: Task, strokes: GridStrokes) -> None:
        assert task.sheet is not None
        self.task = task
        self.sheet = task.sheet
        self.half = float(halves(strokes, task.drawing.pens).max())
        self.is_large_enough = True  # where no move helps, the sizes alone do not say why
        self.parts = [self._inside_edge(), *self._inside_margin(), *self._on_bed(strokes)]
        self.free = self._in_common()

    def _in_common(self) -> Any:
        """The area that all parts share, without bare lines and points."""
        common = shapely.intersection_all([area for _, area in self.parts])
        pieces = shapely.get_parts(common)
        return shapely.union_all(pieces[shapely.area(pieces) > 0])

    def _inside_edge(self) -> tuple[str, Any]:
        rim = math.ceil(self.half * FINE) / FINE
        code = f'sheet.paper.buffer({number(-rim)}, join_style="mitre")'
        return code, self.sheet.paper.buffer(-rim, join_style="mitre")

    def _inside_margin(self) -> Iterator[tuple[str, Any]]:
        if self.task.margin:
            yield "sheet.area", self.sheet.area

    def _on_bed(self, strokes: GridStrokes) -> Iterator[tuple[str, Any]]:
        """The bed, less the offsets of the pens, where the sheet hangs off it."""
        machine = self.task.machine
        pens = self.task.drawing.pens
        edges = edges_of(strokes, machine, self.sheet, pens, margin=False)
        low = np.max([edge.room[0] for edge in edges], axis=0) * machine.unit
        high = np.min([edge.room[1] for edge in edges], axis=0) * machine.unit
        room = shapely.box(*low, *high) if (low < high).all() else shapely.Polygon()
        if room.covers(self.sheet.on_bed):
            return
        numbers = ", ".join(number(value) for value in (*low.tolist(), *high.tolist()))
        yield self.in_drawing(f"shapely.box({numbers})", room)

    @property
    def is_empty(self) -> bool:
        return bool(self.free.is_empty)

    def moves(self) -> Iterator[Mend]:
        """Moves into the extent of the room, else towards a middle of it, the shortest first."""
        if self.is_empty:
            return
        decimals = self.task.machine.decimals
        scale = 10.0**decimals
        for way in sorted(self._wishes(), key=lambda way: float(np.hypot(*way))):
            away = np.sign(way) * np.ceil(np.abs(way) * scale - 1e-6)
            dx, dy = (away / scale + 0.0).tolist()
            if dx or dy:
                yield moved(dx, dy, decimals)

    def _wishes(self) -> list[FloatArray]:
        left, bottom, right, top = self._bounds
        x0, y0, x1, y1 = self.free.bounds
        least = np.array([x0 - left, y0 - bottom])
        most = np.array([x1 - right, y1 - top])
        wishes = [np.clip(np.zeros(2), least, most)] if (least <= most).all() else []
        middle = np.array([left + right, bottom + top]) / 2
        for place in self._middles():
            wishes += [(place - middle) * k / _STEPS for k in range(1, _STEPS + 1)]
        return wishes

    def _middles(self) -> list[FloatArray]:
        """The centroid, and the middle of the largest circle inside."""
        circle = shapely.maximum_inscribed_circle(self.free)
        return [shapely.get_coordinates(self.free.centroid)[0], shapely.get_coordinates(circle)[0]]

    @property
    def _bounds(self) -> tuple[float, float, float, float]:
        return self.task.drawing.bounds or (0.0, 0.0, 0.0, 0.0)

    def fits(self) -> Iterator[Mend]:
        """Scaling, where no move helps: into the area, or the largest box of these proportions."""
        task = self.task
        left, bottom, right, top = self._bounds
        size = np.array([right - left, top - bottom])
        if self.is_empty or not size.any():
            return
        if any(task.fault(move.change(task.drawing)) is None for move in self.moves()):
            return
        yield fitted("sheet.area", self.sheet.area)
        half = np.maximum(size, size.max() / 100) / 2
        boxes = [self._largest(place, half) for place in self._middles()]
        box = max(boxes, key=lambda box: float(box.area))
        if not box.is_empty:
            numbers = ", ".join(number(value) for value in box.bounds)
            yield fitted(f"shapely.box({numbers})", box)

    def _largest(self, place: FloatArray, half: FloatArray) -> Any:
        """The largest box inside around a place, of given proportions."""
        x0, y0, x1, y1 = self.free.bounds
        low = 0.0
        high = max(x1 - x0, y1 - y0) / float(half.max())
        found = shapely.Polygon()
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            corners = np.concatenate([place - middle * half, place + middle * half])
            box = shapely.box(*(np.rint(corners * 1e3) / 1e3).tolist())
            if self.free.covers(box) and box.area > 0:
                low = middle
                found = box
            else:
                high = middle
        return found

    def cuts(self) -> Iterator[Mend]:
        """Leaving out what lies outside, inside the keep-outs, or both."""
        if self.is_empty:
            return
        clip = cut("clipped", *self.parts[0])
        for part in self.parts[1:]:
            clip = both(clip, cut("clipped", *part))
        erasers = [cut("erased", *area) for area in self.closed()]
        yield from erasers
        yield clip
        for eraser in erasers:
            yield both(clip, eraser)
