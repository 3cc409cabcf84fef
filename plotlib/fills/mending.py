"""Bare places inked: the strokes beside them lean over where that does, else make short detours, so
that the pen is not lifted.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import shapely

from plotlib.arrays import overlay
from plotlib.arrays.fromshapely import to_lines
from plotlib.arrays.pieces import Shapes
from plotlib.arrays.ragged import pack
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.fills.bare import SOUGHT, bare_middles, middles_in
from plotlib.fills.leaning import Ground, leaned
from plotlib.fills.segments import Segments, segments_of
from plotlib.pen import Pen
from plotlib.regions import medial_axis

_ROUNDS = 8
_DISC = 0.4  # of the pen's width: a dot inks all that lies so near to its middle
_LONGEST = 6.0  # pen widths of a detour to its far end; longer ones are strokes of their own
_STEPS = np.linspace(0.0, 1.0, 21)[1:]  # of the way to a bare place
_HAIR = 0.01  # of the pen's width
_CLOSE = 1.5  # pen widths from the end of a stroke to a line that it goes on along


def owners(drawing: Drawing, parts: Shapes) -> IntArray:
    """The part of an area that each stroke lies in, by its first point."""
    first = shapely.points(drawing.points[drawing.offsets[:-1]])
    stroke, part = shapely.STRtree(parts).query_nearest(first, all_matches=False)
    owner = np.zeros(len(drawing), np.int64)
    owner[stroke] = part
    return owner


def mended(drawing: Drawing, tracks: Shapes, reach: Shapes, pen: Pen, *, overlap: float) -> Drawing:
    """A drawing that leaves no bare disc wider than a tenth of the pen's width in ``reach``.

    ``tracks`` is for each part of the area where the middle of the pen may be, ``overlap`` that of
    neighbouring strokes in mm.
    """
    if not len(drawing):
        return drawing
    owner = owners(drawing, tracks)
    inner = middles_in(reach, pen.width)
    bare, home = bare_middles(drawing, owner, inner, pen.width)
    ground = Ground(bare, home, tracks, inner)
    if len(bare):
        drawing, ground = leaned(drawing, owner, ground, pen.width, overlap)
    return _detoured(drawing, owner, ground, pen)


def _detoured(drawing: Drawing, owner: IntArray, ground: Ground, pen: Pen) -> Drawing:
    """A drawing with detours to all bare places."""
    bare, home, tracks, _ = ground
    wide = (1.0 + SOUGHT) * pen.width / 2
    for turn in range(_ROUNDS):
        if not len(bare):
            break
        lines = [
            _dot(shape, tracks[k])
            if turn >= _ROUNDS // 2
            else _middles(shape, tracks[k], pen.width)
            for shape, k in zip(bare, home, strict=True)
        ]
        found = segments_of(drawing, pen.width)
        lines = _nearer(lines, bare, found, wide - _HAIR * pen.width)
        mends = [_Mend(line, int(k)) for some, k in zip(lines, home, strict=True) for line in some]
        drawing, owner = _attached(drawing, found, owner, mends, tracks, pen)
        # Detours only add ink, so that nothing but the bare places needs another look.
        ink = [shapely.GeometryCollection(list(to_lines(*pack(some)))) for some in lines]
        rest = overlay.difference(bare, shapely.buffer(ink, wide, quad_segs=16))
        bare, part = shapely.get_parts(rest, return_index=True)
        flat = (shapely.get_type_id(bare) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(bare)
        bare = bare[flat]
        home = home[part[flat]]
    return drawing


def _nearer(
    lines: list[list[FloatArray]], bare: Shapes, found: Segments, wide: float
) -> list[list[FloatArray]]:
    """Single dots moved towards the stroke beside them, as far as all of the bare place stays
    within ``wide`` of them: the detour is the shorter.
    """
    single = [k for k, some in enumerate(lines) if len(some) == 1 and len(some[0]) == 1]
    if not single:
        return lines
    dots = np.concatenate([lines[k][0] for k in single])
    _, feet = found.nearest(dots)
    for k, dot, foot in zip(single, dots, feet, strict=True):
        corners = shapely.get_coordinates(bare[k])
        steps = foot + _STEPS[:, None] * (dot - foot)
        far = np.hypot(*(steps[:, None] - corners).transpose(2, 0, 1)).max(axis=1)
        enough = np.flatnonzero(far <= wide)
        if len(enough):
            lines[k] = [steps[enough[:1]]]
    return lines


def _dot(shape: Any, track: Any) -> list[FloatArray]:
    """The point of ``track`` nearest to the middle of a bare place."""
    middle = shapely.get_coordinates(shapely.point_on_surface(shape))
    return [_onto(middle, track)]


def _middles(shape: Any, track: Any, width: float) -> list[FloatArray]:
    """Lines (n, 2) within ``track`` from which a pen inks a bare place: a dot if it is small."""
    frame = shapely.oriented_envelope(shape)
    corners = shapely.get_coordinates(frame)
    sides = np.diff(corners, axis=0)[:2] if len(corners) >= 4 else np.diff(corners, axis=0)
    lengths = np.hypot(*sides.T)
    middle = corners[:-1].mean(axis=0) if len(corners) > 2 else corners.mean(axis=0)
    long = sides[int(np.argmax(lengths))] if len(sides) else np.zeros(2)
    extent = float(lengths.max(initial=0.0))
    thick = float(lengths.min(initial=extent)) if len(sides) > 1 else 0.0
    if float(np.hypot(extent, thick)) <= 2 * _DISC * width:
        return [_onto(middle[None], track)]
    if thick <= _DISC * width:  # straight: its axis, as far as a round end must go
        half = (0.5 - 0.25 * width / extent) * long
        return _within(np.array([middle - half, middle + half]), track, width)
    broad = shapely.buffer(shape, width / 4, quad_segs=4)
    lines = medial_axis(broad, step=width / 8, branch=width / 2)
    found = []
    for line in lines.simplified(width / 50):
        found += _within(line, track, width)
    return found


def _onto(points: FloatArray, track: Any) -> FloatArray:
    """Points (n, 2), those outside moved to the nearest of ``track``."""
    nearest = shapely.shortest_line(track, shapely.points(points))
    return np.asarray(shapely.get_coordinates(nearest)[::2])


def _within(line: FloatArray, track: Any, width: float) -> list[FloatArray]:
    """A line moved into ``track``; its points by themselves where that does not do."""
    if len(line) < 2:
        return [_onto(line, track)]
    fine = shapely.get_coordinates(shapely.segmentize(shapely.linestrings(line), width / 2))
    moved = _onto(fine, track)
    steps = shapely.linestrings(np.stack([moved[:-1], moved[1:]], axis=1))
    shapely.prepare(track)
    inside = shapely.covers(track, steps)
    if (moved == fine).all() and inside.all():
        return [line]
    cuts = np.flatnonzero(~inside) + 1
    return np.split(moved, cuts)


class _Mend(NamedTuple):
    """A line (n, 2) to be drawn, and the number of its part of the area."""

    line: FloatArray
    home: int


def _attached(
    drawing: Drawing,
    found: Segments,
    owner: IntArray,
    mends: list[_Mend],
    tracks: Shapes,
    pen: Pen,
) -> tuple[Drawing, IntArray]:
    """Strokes that go on along lines near their ends, and make detours along others beside them;
    what is far from any or too long becomes strokes of its own. Gives each stroke's part too.
    """
    mends = sorted(mends, key=lambda mend: -len(mend.line))
    drawing, rest = _continued(drawing, mends, tracks, pen)
    if not rest:
        return drawing, owner
    if len(rest) < len(mends):
        found = segments_of(drawing, pen.width)
    tips = np.concatenate([mend.line[[0, -1]] for mend in rest])
    hit, feet = found.nearest(tips)
    far = np.hypot(*(tips - feet).T).reshape(-1, 2)
    detours: dict[int, list[tuple[int, float, FloatArray]]] = {}
    own: list[_Mend] = []
    for k, mend in enumerate(rest):
        end = int(np.argmin(far[k]))
        at = 2 * k + end
        path = np.concatenate([feet[at : at + 1], mend.line[::-1] if end else mend.line])
        if _extent(path) > _LONGEST * pen.width or not _free(path, tracks[mend.home]):
            own.append(mend)
            continue
        segment = hit[at]
        place = float(np.hypot(*(feet[at] - found.begins[segment])))
        detour = (int(found.number[segment]), place, path)
        detours.setdefault(int(found.stroke[segment]), []).append(detour)
    strokes = [
        _with_detours(points, detours[k]) if k in detours else points
        for k, points in enumerate(drawing)
    ]
    strokes += [mend.line for mend in own]
    homes = np.array([mend.home for mend in own], np.int64)
    return Drawing.from_arrays(*pack(strokes), pen=pen), np.append(owner, homes)


def _continued(
    drawing: Drawing, mends: list[_Mend], tracks: Shapes, pen: Pen
) -> tuple[Drawing, list[_Mend]]:
    """Each stroke continued along at most one line near its end; and the lines left."""
    last = drawing.points[drawing.offsets[1:] - 1]
    tree = shapely.STRtree(np.asarray(shapely.points(last)))
    tips = np.concatenate([mend.line[[0, -1]] for mend in mends])
    tip, near = tree.query_nearest(
        shapely.points(tips), all_matches=False, max_distance=_CLOSE * pen.width
    )
    stroke_of = dict(zip(tip.tolist(), near.tolist(), strict=True))
    tails: dict[int, FloatArray] = {}
    rest = []
    for k, mend in enumerate(mends):
        for end in (0, 1):
            stroke = stroke_of.get(2 * k + end, -1)
            line = mend.line[::-1] if end else mend.line
            path = np.concatenate([last[stroke : stroke + 1], line])
            if stroke >= 0 and stroke not in tails and _free(path, tracks[mend.home]):
                tails[stroke] = line
                break
        else:
            rest.append(mend)
    strokes = [
        np.concatenate([points, tails[k]]) if k in tails else points
        for k, points in enumerate(drawing)
    ]
    return Drawing.from_arrays(*pack(strokes), pen=pen), rest


def _extent(path: FloatArray) -> float:
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


def _free(path: FloatArray, track: Any) -> bool:
    """Whether the first step of a path stays in ``track``."""
    return bool(shapely.covers(track, shapely.linestrings(path[:2])))


def _with_detours(points: FloatArray, detours: list[tuple[int, float, FloatArray]]) -> FloatArray:
    """A stroke with paths, each drawn there and back from where it begins."""
    parts = []
    done = 0
    for number, _, path in sorted(detours, key=lambda item: item[:2]):
        parts += [points[done : number + 1], path, path[-2::-1]]
        done = number + 1
    return np.concatenate([*parts, points[done:]])
