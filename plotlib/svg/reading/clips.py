"""Clips: which part of the page an element may show."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely import MultiPolygon, Polygon

from plotlib.svg.artwork import common_area, joined_area, ring_area
from plotlib.svg.reading.basic_shapes import SHAPES
from plotlib.svg.reading.css_colours import reference
from plotlib.svg.reading.document import Node
from plotlib.svg.reading.places import Box, Place, on_page, outline_area
from plotlib.svg.reading.styles import Style, computed
from plotlib.svg.reading.transforms import Matrix, apply, times, translation

if TYPE_CHECKING:
    from plotlib.svg.reading.walking import Walk

Area = Polygon | MultiPolygon


class Clips:
    """Makes areas of clipPath elements (CSS Masking Level 1, section 5; SVG 2 refers to it)."""

    def __init__(self, walk: Walk, tolerance: float) -> None:
        self.walk = walk
        self.tolerance = tolerance
        self._known: dict[tuple[int, Matrix], Area] = {}
        self._open: list[Node] = []

    def applied(self, node: Node, declared: dict[str, str], place: Place) -> Place | None:
        """The place with the clip of an element in it; None where nothing is left to be seen."""
        area = self.of(node, declared, place)
        if area is None:
            return place
        clip = area if place.clip is None else common_area(place.clip, area)
        return None if clip.is_empty else place._replace(clip=clip)

    def of(self, node: Node, declared: dict[str, str], place: Place) -> Area | None:
        """The area on the page that ``clip-path`` leaves, or None for no clip."""
        text = declared.get("clip-path", "none").strip()
        if text.lower() in ("none", "initial", "unset", "inherit"):
            return None
        name = reference(text)
        if name is None:
            self.walk.leave_out(node, f"its clip-path is not taken over: {text!r:.60}")
            return None
        target = self.walk.document.ids.get(name)
        if target is None or target.tag != "clipPath":
            self.walk.leave_out(node, f"there is no clipPath {name!r:.60}; nothing is clipped")
            return None
        if target in self._open:
            self.walk.leave_out(node, f"the clipPath {name!r:.60} clips itself")
            return Polygon()
        return self._area(target, node, place)

    def _area(self, target: Node, node: Node, place: Place) -> Area:
        matrix = place.matrix
        if target.get("clipPathUnits", "").strip() == "objectBoundingBox":
            box = self.walk.bounds(node, place)
            if box is None:
                return Polygon()
            sides = (box[2] - box[0], 0.0, 0.0, box[3] - box[1])
            matrix = times(matrix, times(translation(box[0], box[1]), (*sides, 0.0, 0.0)))
        key = (id(target), matrix)
        if key not in self._known:
            self._open.append(target)
            self._known[key] = self._made(target, place._replace(matrix=matrix))
            self._open.pop()
        return self._known[key]

    def _made(self, target: Node, place: Place) -> Area:
        """The union of the children of a clipPath, cut by its own clip."""
        declared = self.walk.cascade.declared(target)
        inner = place._replace(style=self._style(target, place), clip=None, uses=())
        matrix = self.walk.placed(target, declared, inner)
        parts = []
        for child in target.inside:
            part = self._part(child, inner._replace(matrix=matrix))
            if part is not None and not part.is_empty:
                parts.append(part)
        whole = joined_area(parts) if parts else Polygon()
        own = self.of(target, declared, inner)
        return whole if own is None else common_area(whole, own)

    def _style(self, target: Node, place: Place) -> Style:
        """The style inside a clipPath, which comes from what is around it, not from what uses
        it.
        """
        chain: list[Node] = []
        node: Node | None = target
        while node is not None:
            chain.append(node)
            node = node.around
        style = Style()
        for one in reversed(chain):
            style = computed(style, self.walk.cascade.declared(one), place.scope)
        return style

    def _part(self, child: Node, place: Place) -> Area | None:
        """The area of one child: a shape, or a use element that shows one."""
        walk = self.walk
        walk.count(1, child)
        if child.tag == "use":
            declared = walk.cascade.declared(child)
            shown = walk.use(child, place)
            if len(shown) != 1 or shown[0][0].tag not in SHAPES:
                if walk.is_shown(child, declared):
                    walk.leave_out(child, "in a clipPath only shapes clip")
                return None
            inner = shown[0][1]
            part = self._part(shown[0][0], inner._replace(clip=None))
            if part is None or inner.clip is None:
                return part
            return common_area(part, inner.clip)
        if child.tag not in SHAPES:
            if child.tag in ("text", "g", "image"):
                walk.leave_out(child, "in a clipPath only shapes clip")
            return None
        mark = walk.shape(child, place)
        if mark is None:
            return None
        rule = mark.place.style.clip_rule
        part = outline_area(mark.outline, mark.place.matrix, rule, self.tolerance)
        return part if mark.place.clip is None else common_area(part, mark.place.clip)


def box_area(box: Box, matrix: Matrix) -> Area:
    """The area of a box (left, top, right, bottom) on the page."""
    left, top, right, bottom = box
    corners = np.array([(left, top), (right, top), (right, bottom), (left, bottom), (left, top)])
    return ring_area(on_page(apply(matrix, corners)), np.array([0, 5]), "nonzero")
