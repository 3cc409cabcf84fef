"""The way through the tree: which shapes are drawn, where, and how."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NoReturn

import numpy as np

from plotlib.colours import PAPER
from plotlib.errors import SvgError
from plotlib.svg.artwork import SHEET, LeftOut, common_area
from plotlib.svg.reading.basic_shapes import ALONG, SHAPES, shape_outline
from plotlib.svg.reading.clips import Clips, box_area
from plotlib.svg.reading.document import Document, Node
from plotlib.svg.reading.lengths import PX, Scope, length, resolved
from plotlib.svg.reading.lettering import Lettering
from plotlib.svg.reading.outline import Outline
from plotlib.svg.reading.places import Box, Mark, Place, corner_box, moved_by_origin
from plotlib.svg.reading.sheets import rules_of
from plotlib.svg.reading.styles import Cascade, Style, computed
from plotlib.svg.reading.transforms import (
    IDENTITY,
    Matrix,
    apply,
    determinant,
    times,
    transform_list,
    translation,
)
from plotlib.svg.reading.viewports import Page, fitted, view_box

# User units that no drawing has: what is beyond would only overflow.
_FARTHEST = 1e12
_DEEPEST_USE = 100
_COPY = 10  # what each element shown by use counts: a few lines of a file can ask for billions
_GROUPS = frozenset({"g", "a", "svg", "switch"})
# Elements that show nothing by themselves.
_PAINTS = {"hatch", "linearGradient", "meshgradient", "pattern", "radialGradient", "solidcolor"}
_WORDS = {"desc", "metadata", "style", "title"}
_USED = {"clipPath", "cursor", "defs", "filter", "font", "font-face", "marker", "mask", "symbol"}
_SILENT = frozenset(_PAINTS | _WORDS | _USED | {"view"})
_FULL = "it is drawn in full ink"
_REASONS = {
    "text": "text is only lettered on request: pass fonts=",
    "image": "pictures are not taken over",
    "foreignObject": "what is no SVG is not taken over",
    "script": "scripts are never run",
    "animate": "nothing moves: the drawing is read as it stands without animation",
}
_REASONS |= dict.fromkeys(("animateTransform", "animateMotion", "set"), _REASONS["animate"])
_REASONS |= dict.fromkeys(("video", "audio", "iframe", "canvas"), _REASONS["image"])
_LANGUAGE = "en"


class Walk:
    """Goes through a document, keeps what is left out, and counts what it meets.

    Attributes
    ----------
    left_out : list of LeftOut
        What was not taken over so far.
    """

    def __init__(
        self,
        document: Document,
        page: Page,
        budget: int,
        tolerance: float,
        lettering: Lettering | None = None,
    ) -> None:
        self.document = document
        self.page = page
        self.budget = budget
        self.met = 0  # elements and points
        rules = rules_of(document)
        self.cascade = Cascade(rules, self.leave_out)
        self.left_out: list[LeftOut] = [*document.left_out, *rules.left_out]
        self._told: set[tuple[int, str]] = set()
        self.clips = Clips(self, tolerance)
        self.lettering = lettering

    # ---- the whole document

    def marks(self) -> Iterator[Mark]:
        """All shapes that are drawn, in drawing order; text as elements without outline."""
        width, height = self.page.units
        scope = Scope(width, height, 16.0, 16.0, self.page.width / PX, self.page.height / PX)
        root = self.document.root
        place = Place(self.page.matrix, Style(), scope)
        declared = self.cascade.declared(root)
        inner = self.entered(root, declared, place._replace(depth=-1))
        if inner is None or declared.get("display") == "none":
            return
        font = inner.style.font_size
        inner = inner._replace(scope=scope._replace(root_font=font), title="", group="")
        drawn = (child for child in root.inside if not _is_sheet(child))
        yield from self.below([(child, inner) for child in drawn])

    def below(self, first: list[tuple[Node, Place]]) -> Iterator[Mark]:
        """The shapes of elements in their places, and of all below them."""
        waiting = first[::-1]
        while waiting:
            node, place = waiting.pop()
            self.count(_COPY if place.uses else 1, node)
            if node.tag in SHAPES:
                mark = self.shape(node, place)
                if mark is not None:
                    yield mark
            elif node.tag in _GROUPS:
                waiting += self.group(node, place)[::-1]
            elif node.tag == "text" and self.lettering is not None:
                yield from self.text(node, place, self.lettering)
            elif node.tag == "use":
                waiting += self.use(node, place)[::-1]
            elif node.tag not in _SILENT and not node.tag.startswith("{"):
                self.other(node, place)

    def count(self, number: int, node: Node) -> None:
        """Count what costs time and memory, and stop where it is more than the budget."""
        self.met += number
        if self.met > self.budget:
            self.refuse(
                node,
                f"the drawing has more points and elements than budget={self.budget:,}; "
                f"give a higher budget, or a simpler file",
            )

    def refuse(self, node: Node, why: str) -> NoReturn:
        """Stop with the line of an element."""
        raise SvgError(f"line {node.line}: {why}", line=node.line)

    def leave_out(self, node: Node, reason: str) -> None:
        """Say once of an element why it, or something of it, is not taken over."""
        key = (id(node), reason)
        if key not in self._told:
            self._told.add(key)
            name = node.get("id")
            item = LeftOut(element=node.tag, id=name, line=node.line, reason=reason)
            self.left_out.append(item)

    # ---- kinds of elements

    def shape(self, node: Node, place: Place) -> Mark | None:
        """A shape in its place, or None if nothing of it is seen."""
        declared = self.cascade.declared(node)
        if not self.is_shown(node, declared):
            return None
        inner = self.entered(node, declared, place)
        if inner is None or inner.style.visibility != "visible":
            return None
        outline = self.outline(node, declared, inner.scope)
        if outline is None:
            return None
        style = inner.style
        if {style.marker_start, style.marker_mid, style.marker_end} != {"none"}:
            self.leave_out(node, "markers are not taken over")
        non_scaling = declared.get("vector-effect", "").strip() == "non-scaling-stroke"
        return Mark(node, outline, inner, non_scaling)

    def outline(self, node: Node, declared: dict[str, str], scope: Scope) -> Outline | None:
        """The outline of a shape; None where it has none."""

        def given(name: str) -> float | None:
            return self.number(node, name, declared, scope)

        found = shape_outline(node.tag, given, lambda name: node.get(name, ""))
        if found.fault:
            self.leave_out(node, found.fault)
        if not len(found.controls):
            return None
        self.count(len(found.controls), node)
        if not np.abs(found.controls).max() <= _FARTHEST:
            self.leave_out(node, "its coordinates are absurd")
            return None
        return found

    def number(self, node: Node, name: str, declared: dict[str, str], scope: Scope) -> float | None:
        """A length of an element in user units; None where it is not given, or "auto"."""
        text = declared.get(name)
        if text is None:
            text = node.get(name)
        if text is None or text.strip() == "auto":
            return None
        found = length(text)
        if found is None:
            self.leave_out(node, f"{name}={text!r:.40} is no length")
            return None
        return resolved(found, scope, ALONG[name])

    def group(self, node: Node, place: Place) -> list[tuple[Node, Place]]:
        """The children of a group in their places."""
        declared = self.cascade.declared(node)
        if not self.is_shown(node, declared):
            return []
        inner = self.entered(node, declared, place)
        if inner is None:
            return []
        if node.tag == "svg":
            inner = self.nested(node, declared, inner)
        if inner is None:
            return []
        inner = self.named(node, declared, inner)
        if node.tag == "switch":
            chosen = next((child for child in node.inside if _passes(child)), None)
            return [] if chosen is None else [(chosen, inner)]
        return [(child, inner) for child in node.inside]

    def named(self, node: Node, declared: dict[str, str], place: Place) -> Place:
        """The place with the names that a group gives it. Its title names a pen if it says what a
        pen is: a stroke and its width.
        """
        title = node.findtext("title", "")
        if title.strip() and {"stroke", "stroke-width"} <= declared.keys():
            place = place._replace(title=title)
        if place.depth == 1:
            place = place._replace(group=title.strip() or node.get("id", ""))
        return place

    def use(self, node: Node, place: Place) -> list[tuple[Node, Place]]:
        """What a use element shows, in its place."""
        declared = self.cascade.declared(node)
        if not self.is_shown(node, declared):
            return []
        target = self.target(node, place)
        inner = None if target is None else self.entered(node, declared, place)
        if target is None or inner is None:
            return []
        x = self.number(node, "x", declared, inner.scope) or 0.0
        y = self.number(node, "y", declared, inner.scope) or 0.0
        inner = inner._replace(
            matrix=times(inner.matrix, translation(x, y)), uses=(*inner.uses, target)
        )
        if target.tag not in ("symbol", "svg"):
            return [(target, inner)]
        return self.used_viewport(node, target, declared, inner)

    def used_viewport(
        self, node: Node, target: Node, declared: dict[str, str], place: Place
    ) -> list[tuple[Node, Place]]:
        """The children of a symbol or svg that a use element shows, whose size it may set."""
        own = self.cascade.declared(target)
        if not self.is_shown(target, own):
            return []
        for name in ("width", "height"):
            text = declared.get(name) or node.get(name)
            if text is not None and text.strip() != "auto":
                own[name] = text
        inner = self.entered(target, own, place)
        if inner is not None:
            inner = self.nested(target, own, inner)
        return [] if inner is None else [(child, inner) for child in target.inside]

    def target(self, node: Node, place: Place) -> Node | None:
        """The element that a use element names, unless it cannot be shown."""
        name = (node.get("href") or node.get("xlink:href") or "").strip()
        if not name.startswith("#"):
            self.leave_out(node, f"another file is never opened: {name!r:.80}")
            return None
        target = self.document.ids.get(name[1:])
        if target is None:
            self.leave_out(node, f"there is no element {name!r:.80}")
        elif target in place.uses or _is_inside(node, target):
            self.leave_out(node, f"{name!r:.80} uses itself")
            target = None
        elif len(place.uses) >= _DEEPEST_USE:
            self.leave_out(node, f"use elements are followed {_DEEPEST_USE} deep")
            target = None
        return target

    def text(self, node: Node, place: Place, lettering: Lettering) -> Iterator[Mark]:
        """A text in its place."""
        declared = self.cascade.declared(node)
        inner = self.entered(node, declared, place) if self.is_shown(node, declared) else None
        if inner is not None:
            yield from lettering.marks(self, node, inner)

    def thinned(self, node: Node, kind: str, opacity: float) -> None:
        """Say of a fill or stroke that its ink should be thinner than a pen's."""
        if opacity < 1:
            self.leave_out(node, f"its {kind} has an opacity of {opacity:g}: {_FULL}")

    def other(self, node: Node, place: Place) -> None:
        """An element that is not taken over; nothing is said of what would not be seen."""
        declared = self.cascade.declared(node)
        if not self.is_shown(node, declared):
            return
        style = computed(place.style, declared, place.scope)
        if node.tag == "text" and style.visibility != "visible" and len(node) == 0:
            return
        reason = _REASONS.get(node.tag, f"the element {node.tag!r:.40} is not known")
        self.leave_out(node, reason)

    # ---- places

    def is_shown(self, node: Node, declared: dict[str, str]) -> bool:
        """Whether an element is not switched off, by its own word."""
        return declared.get("display", "").strip() != "none" and _passes(node)

    def entered(self, node: Node, declared: dict[str, str], place: Place) -> Place | None:
        """The place inside an element; None where nothing in it can be seen."""
        style = computed(place.style, declared, place.scope)
        inner = place._replace(
            style=style,
            matrix=self.placed(node, declared, place),
            scope=place.scope._replace(font=style.font_size),
            depth=place.depth + 1,
        )
        opacity = _opacity(declared)
        if opacity == 0 or not _can_be_seen(inner.matrix):
            return None
        if opacity < 1:
            self.leave_out(node, f"its opacity of {opacity:g} is not taken over: {_FULL}")
        for name in ("mask", "filter"):
            if declared.get(name, "none").strip().lower() not in ("none", "initial", "unset"):
                self.leave_out(node, f"its {name} is not taken over; it is drawn without")
        return self.clips.applied(node, declared, inner)

    def placed(self, node: Node, declared: dict[str, str], place: Place) -> Matrix:
        """The map to the page inside an element with a transform."""
        text = declared.get("transform")
        if text is None:
            return place.matrix
        own = transform_list(text)
        if own is None:
            self.leave_out(node, f"its transform cannot be read: {text!r:.60}")
            return place.matrix
        box = None
        if declared.get("transform-box", "").strip() == "fill-box":
            box = self.bounds(node, place)
        corner = None if box is None else (box[0], box[1], box[2] - box[0], box[3] - box[1])
        own = moved_by_origin(own, declared.get("transform-origin"), place.scope, corner)
        return times(place.matrix, own)

    def nested(self, node: Node, declared: dict[str, str], place: Place) -> Place | None:
        """The place inside a nested viewport: SVG 2, chapter Coordinates, "Establishing a new SVG
        viewport".
        """
        x = self.number(node, "x", declared, place.scope) or 0.0
        y = self.number(node, "y", declared, place.scope) or 0.0
        width = self.number(node, "width", declared, place.scope)
        height = self.number(node, "height", declared, place.scope)
        width = place.scope.width if width is None else width
        height = place.scope.height if height is None else height
        if not (width > 0 and height > 0):
            return None
        box = view_box(node)
        if box is not None and not (box.width and box.height):
            return None
        clip = place.clip
        if declared.get("overflow", "hidden").strip() not in ("visible", "auto"):
            window = box_area((x, y, x + width, y + height), place.matrix)
            clip = window if clip is None else common_area(clip, window)
        matrix = times(place.matrix, translation(x, y))
        if box is not None:
            matrix = times(matrix, fitted(box, width, height, node.get("preserveAspectRatio", "")))
            width = box.width
            height = box.height
        scope = place.scope._replace(width=width, height=height)
        return place._replace(matrix=matrix, scope=scope, clip=clip)

    def bounds(self, node: Node, place: Place) -> Box | None:
        """(left, top, right, bottom) of all shapes in an element, in its own user units."""
        if node.tag in SHAPES:
            outline = self.outline(node, self.cascade.declared(node), place.scope)
            return None if outline is None else corner_box(outline)
        flat = Place(IDENTITY, place.style, place.scope, uses=place.uses)
        children = (
            self.use(node, flat) if node.tag == "use" else [(one, flat) for one in node.inside]
        )
        boxes = []
        for mark in self.below(children):
            found = corner_box(mark.outline)
            if found is not None:
                boxes.append(_placed_box(mark))
        if not boxes:
            return None
        every = np.array(boxes)
        low = every[:, :2].min(axis=0)
        high = every[:, 2:].max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _placed_box(mark: Mark) -> Box:
    outline = mark.outline._replace(controls=apply(mark.place.matrix, mark.outline.controls))
    return corner_box(outline) or (0.0, 0.0, 0.0, 0.0)


def _passes(node: Node) -> bool:
    """Conditions of SVG 2, chapter Structure, "Conditional processing": no extensions are known,
    and the language is English.
    """
    extensions = node.get("requiredExtensions")
    if extensions is not None:
        return False
    languages = node.get("systemLanguage")
    if languages is None:
        return True
    words = [word.strip().lower() for word in languages.split(",")]
    return any(word == _LANGUAGE or word.startswith(f"{_LANGUAGE}-") for word in words)


def _is_inside(node: Node, target: Node) -> bool:
    around: Node | None = node
    while around is not None:
        if around is target:
            return True
        around = around.around
    return False


def _opacity(declared: dict[str, str]) -> float:
    text = declared.get("opacity", "1").strip()
    found = length(text)
    if found is None or not math.isfinite(found.value):
        return 1.0
    return max(0.0, found.value / 100 if found.unit == "%" else found.value)


def _can_be_seen(matrix: Matrix) -> bool:
    return all(map(math.isfinite, matrix)) and determinant(matrix) != 0


def _is_sheet(node: Node) -> bool:
    """Whether an element is the paper that `plotlib.svg.write` lays below the ink."""
    return node.get("fill") == PAPER and node.findtext("title") == SHEET
