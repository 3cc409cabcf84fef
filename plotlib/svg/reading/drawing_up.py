"""From marks to strokes on pens and filled areas."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from shapely import MultiPolygon, Polygon

from plotlib.arrays.cutting import cut
from plotlib.arrays.ragged import offsets_of, segment_lengths, without_repeats
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, PlotlibError
from plotlib.pen import DEFAULT_PEN, Pen
from plotlib.progress import Stage
from plotlib.regions.stacking import stack
from plotlib.svg.artwork import Area, Artwork, Ink, common_area, joined_area
from plotlib.svg.reading.css_colours import paint_of
from plotlib.svg.reading.dashes import Pattern, dashed, pattern_of
from plotlib.svg.reading.lengths import PX, Length, Scope, resolved
from plotlib.svg.reading.pens import Chooser, chooser
from plotlib.svg.reading.places import Mark, flattened
from plotlib.svg.reading.stroking import stroked
from plotlib.svg.reading.styles import ink_colour
from plotlib.svg.reading.transforms import apply, inverse, scale_of
from plotlib.svg.reading.walking import Walk

_FARTHEST = 1e6  # mm on the page: a kilometre
_THINNEST = 1e-6  # mm: a line of less is none
# Dashes are measured along the polyline, whose chords are shorter than the curve: by a third of
# the tolerance over the radius, which a dashed spiral of many turns adds up.
_FINER = 20.0


class Options(NamedTuple):
    """What the caller wants to become of the ink."""

    strokes: str | None
    fills: str | Callable[..., Any] | None
    hide: bool
    pens: Any
    tolerance: float


class Drawn(NamedTuple):
    """A mark on the page: its subpaths as polylines in mm, and what it is painted with."""

    mark: Mark
    points: FloatArray
    offsets: IntArray
    fill: Ink | None
    stroke: Ink | None


def drawn_up(walk: Walk, marks: list[Mark], options: Options, work: Stage) -> Artwork:
    """Strokes and areas of all marks."""
    drawn = _on_page(walk, marks, options.tolerance)
    inks = [ink for one in drawn for ink in (one.fill, one.stroke) if ink is not None]
    making = _Making(walk, options, chooser(options.pens, inks))
    fills = tuple(_area_of(one) for one in drawn if one.fill is not None)
    layers = making.layers(drawn, iter(fills), work)
    drawing = stack(layers) if options.hide else making.sheet.drawing()
    size = (walk.page.width, walk.page.height)
    return Artwork(drawing=drawing, left_out=tuple(walk.left_out), size=size, _fills=fills)


def _on_page(walk: Walk, marks: list[Mark], tolerance: float) -> list[Drawn]:
    """The marks flattened, all at once."""
    placed = []
    kept = []
    for mark in marks:
        controls = apply(mark.place.matrix, mark.outline.controls)
        if not np.abs(controls).max() <= _FARTHEST:
            walk.leave_out(mark.node, f"it reaches beyond {_FARTHEST:,.0f} mm")
            continue
        placed.append(controls)
        kept.append(mark)
    if not kept:
        return []
    counts = np.concatenate([np.diff(mark.outline.firsts) for mark in kept])
    every = np.concatenate(placed)
    points, offsets = _flattened(walk, every, offsets_of(counts), tolerance)
    found = []
    first = 0
    for mark in kept:
        last = first + len(mark.outline.shut)
        ends = offsets[first : last + 1]
        own = points[ends[0] : ends[-1]]
        fill, stroke = _inks(walk, mark)
        if fill is not None or stroke is not None:
            found.append(Drawn(mark, own, ends - ends[0], fill, stroke))
        first = last
    return found


def _flattened(
    walk: Walk, controls: FloatArray, firsts: IntArray, tolerance: float
) -> tuple[FloatArray, IntArray]:
    try:
        points, offsets = flattened(controls, firsts, tolerance)
    except InvalidValue as error:
        walk.refuse(walk.document.root, str(error))
    walk.count(max(0, len(points) - len(controls)), walk.document.root)
    return points, offsets


def _inks(walk: Walk, mark: Mark) -> tuple[Ink | None, Ink | None]:
    """What a mark is filled and stroked with."""
    style = mark.place.style
    fill = None
    stroke = None
    if mark.node.tag != "line" and not _served(walk, mark, "fill", style.fill):
        colour = ink_colour(style.fill, style.fill_opacity, style)
        if colour is not None:
            fill = _ink(mark, "fill", colour.value, None)
            walk.thinned(mark.node, "fill", colour.alpha * style.fill_opacity)
    width = _stroke_width(mark)
    if width > 0 and not _served(walk, mark, "stroke", style.stroke):
        colour = ink_colour(style.stroke, style.stroke_opacity, style)
        if colour is not None:
            stroke = _ink(mark, "stroke", colour.value, width)
            walk.thinned(mark.node, "stroke", colour.alpha * style.stroke_opacity)
    return fill, stroke


def _served(walk: Walk, mark: Mark, kind: str, text: str) -> bool:
    """Whether a gradient or pattern paints the mark, which is left out then."""
    if "url(" not in text:
        return False
    paint = paint_of(text)
    server = None if paint is None else paint.server
    target = walk.document.ids.get(server or "")
    if target is None:
        return False
    walk.leave_out(mark.node, f"its {kind} is a {target.tag}, which is not taken over")
    return True


def _ink(mark: Mark, kind: str, colour: str, width: float | None) -> Ink:
    node = mark.node
    return Ink(
        kind=kind,
        colour=colour,
        width=width,
        group=mark.place.group,
        title=mark.place.title,
        element=node.tag,
        id=node.get("id"),
        line=node.line,
    )


def _stroke_width(mark: Mark) -> float:
    """Width of the line on the page in mm."""
    width = _length(mark.place.style.stroke_width, mark.place.scope)
    scale = PX if mark.non_scaling else scale_of(mark.place.matrix)
    wide = width if scale == 1 else float(f"{width * scale:.12g}")
    return wide if _THINNEST <= wide <= _FARTHEST else 0.0


def _length(given: Length, scope: Scope) -> float:
    return resolved(given, scope, "diagonal")


def _area_of(one: Drawn) -> Area:
    node = one.mark.node
    place = one.mark.place
    assert one.fill is not None
    return Area(
        colour=one.fill.colour,
        group=place.group,
        element=node.tag,
        id=node.get("id"),
        line=node.line,
        _points=one.points,
        _offsets=one.offsets,
        _rule=place.style.fill_rule,
        _clip=place.clip,
    )


class _Sheet:
    """Collects strokes and drawings in their order."""

    def __init__(self) -> None:
        self.done: list[Drawing] = []
        self.points: list[FloatArray] = []
        self.counts: list[IntArray] = []
        self.index: list[int] = []
        self.pens: dict[Pen, int] = {}

    def strokes(self, points: FloatArray, offsets: IntArray, pen: Pen) -> None:
        """Add strokes of one pen."""
        if len(offsets) > 1:
            self.points.append(points)
            self.counts.append(np.diff(offsets))
            self.index.append(self.pens.setdefault(pen, len(self.pens)))

    def add(self, drawing: Drawing) -> None:
        """Add a drawing."""
        self._finish()
        self.done.append(drawing)

    def drawing(self) -> Drawing:
        """All of it, and an empty sheet from then on."""
        self._finish()
        done = self.done
        self.done = []
        return Drawing(done) if done else Drawing()

    def _finish(self) -> None:
        if self.points:
            counts = np.concatenate(self.counts)
            index = np.repeat(np.array(self.index), [len(part) for part in self.counts])
            points = np.concatenate(self.points)
            made = Drawing._make(points, offsets_of(counts), index, tuple(self.pens))
            self.done.append(made)
        self.points = []
        self.counts = []
        self.index = []
        self.pens = {}


class _Making:
    """Puts the ink of marks on the sheet, one after the other."""

    def __init__(self, walk: Walk, options: Options, choose: Chooser) -> None:
        self.walk = walk
        self.options = options
        self.choose = choose
        self.sheet = _Sheet()

    def layers(self, drawn: list[Drawn], fills: Any, work: Stage) -> list[tuple[Drawing, Any]]:
        """Draw everything; with ``hide`` a drawing and its silhouette for each mark."""
        layers = []
        for number, one in enumerate(drawn):
            work.done(0.5 + 0.5 * number / len(drawn))
            mask = []
            if one.fill is not None:
                area = next(fills)
                self.fill(one.fill, area)
                if self.options.hide:
                    mask.append(area.region)
            if one.stroke is not None and self.options.strokes is not None:
                mask += self.stroke(one, one.stroke)
            if self.options.hide:
                silhouette = joined_area(mask) if mask else Polygon()
                layers.append((self.sheet.drawing(), silhouette))
        return layers

    def fill(self, ink: Ink, area: Area) -> None:
        """Draw a filled area as the caller wants it."""
        fills = self.options.fills
        if fills is None or area.region.is_empty:
            return
        pen = self.choose(ink)
        if pen is None:
            return
        if callable(fills):
            self.sheet.add(_filled(fills, area, pen))
        else:
            self.sheet.add(Drawing(area.region, pen=pen))

    def stroke(self, one: Drawn, ink: Ink) -> list[Polygon | MultiPolygon]:
        """Draw a stroke, and return the area that it covers if it is drawn as its outline."""
        pen = self.choose(ink)
        if pen is None:
            return []
        points, offsets = self.lines(one)
        if self.options.strokes == "outline":
            area = _stroked(one, points, offsets)
            if not area.is_empty:
                self.sheet.add(Drawing(area, pen=pen))
            return [area]
        if one.mark.place.clip is not None:
            points, offsets, _ = cut(points, offsets, one.mark.place.clip, keep="inside")
        self.sheet.strokes(points, offsets, pen)
        return []

    def lines(self, one: Drawn) -> tuple[FloatArray, IntArray]:
        """The lines of a stroke, cut into dashes; those of no length are dots, or nothing where
        they have no cap.
        """
        style = one.mark.place.style
        points = one.points
        offsets = one.offsets
        if style.stroke_dasharray:
            points, offsets = self._dashes(one)
        points, offsets = without_repeats(points, offsets)
        if style.stroke_linecap == "butt":
            points, offsets = _without_dots(points, offsets)
        return points, offsets

    def _dashes(self, one: Drawn) -> tuple[FloatArray, IntArray]:
        mark = one.mark
        matrix = mark.place.matrix
        fine = self.options.tolerance / _FINER
        points, offsets = _flattened(
            self.walk, apply(matrix, mark.outline.controls), mark.outline.firsts, fine
        )
        along = points / PX if mark.non_scaling else apply(inverse(matrix), points)
        pattern = _pattern(mark, float(segment_lengths(along, offsets).sum()))
        if pattern is None:
            return one.points, one.offsets
        most = self.walk.budget - self.walk.met
        try:
            points, offsets = dashed(points, offsets, along, pattern, most)
        except InvalidValue:
            self.walk.count(most + 1, mark.node)
        self.walk.count(len(points), mark.node)
        return points, offsets


def _pattern(mark: Mark, whole: float) -> Pattern | None:
    """The dashes of a mark whose outline is ``whole`` user units long."""
    style = mark.place.style
    scope = mark.place.scope
    lengths = tuple(_length(item, scope) for item in style.stroke_dasharray)
    told = mark.node.get("pathLength")
    scale = 1.0
    if told is not None:
        try:
            scale = whole / float(told)
        except (ValueError, ZeroDivisionError):
            scale = 1.0
    if not (0 < scale < math.inf):
        scale = 1.0
    return pattern_of(lengths, _length(style.stroke_dashoffset, scope), scale)


def _without_dots(points: FloatArray, offsets: IntArray) -> tuple[FloatArray, IntArray]:
    counts = np.diff(offsets)
    kept = counts > 1
    if kept.all():
        return points, offsets
    return points[np.repeat(kept, counts)], offsets_of(counts[kept])


def _filled(fills: Callable[..., Any], area: Area, pen: Pen) -> Drawing:
    """What the caller's function makes of an area; strokes on the default pen get its pen."""
    try:
        drawing = fills(area.region, area.colour)
    except PlotlibError as error:
        kind = type(error)
        raise kind(f"fills, for line {area.line}: {error}", **error.facts) from error
    if not isinstance(drawing, Drawing):
        raise InvalidValue(
            f"fills must give a Drawing for each area and its colour; for line {area.line} it gave "
            f"{type(drawing).__name__}",
            name="fills",
            value=drawing,
        )
    return drawing.inked(pen) if drawing.pens == (DEFAULT_PEN,) else drawing


def _stroked(one: Drawn, points: FloatArray, offsets: IntArray) -> Polygon | MultiPolygon:
    """The area that a wide stroke covers, as its clip leaves it."""
    mark = one.mark
    width = _length(mark.place.style.stroke_width, mark.place.scope)
    matrix = (PX, 0.0, 0.0, PX, 0.0, 0.0) if mark.non_scaling else mark.place.matrix
    area = stroked(points, offsets, width, mark.place.style, matrix)
    return area if mark.place.clip is None else common_area(area, mark.place.clip)
