"""From a layout to strokes: all glyphs at once, as ragged arrays."""

from __future__ import annotations

import numpy as np

from plotlib.arrays.ragged import Ragged, empty, offsets_of, stroke_of, take
from plotlib.checks import FloatArray, IntArray
from plotlib.text.glyphs.glyph import Glyph
from plotlib.text.setting.layout import Layout
from plotlib.text.setting.style import Style


def strokes_of(layout: Layout, style: Style) -> Ragged:
    """Strokes in mm of a block whose first base line begins at the origin."""
    points, offsets, slot = placed(layout.glyphs, layout.index)
    if not len(points):
        return empty()
    across, up = style.scale
    lefts = np.array([glyph.left for glyph in layout.glyphs])[layout.index]
    owner = slot[stroke_of(offsets)]
    units = points[:, 0] - lefts[owner]
    x = units * across * layout.widths[owner] + layout.pen[owner] + points[:, 1] * (up * style.lean)
    y = points[:, 1] * up - layout.line[owner] * style.leading
    result = np.column_stack([x, y])
    if style.face.joins and style.tracking == 0.0:
        advances = np.array([glyph.advance for glyph in layout.glyphs])[layout.index]
        return _written(
            result, offsets, slot, np.column_stack([units, points[:, 1]]), advances, layout
        )
    return result, offsets


def placed(glyphs: tuple[Glyph, ...], index: IntArray) -> tuple[FloatArray, IntArray, IntArray]:
    """Points in units of the glyphs ``index``, one after the other, their offsets, and for each
    stroke its slot.
    """
    counts = np.array([len(glyph.strokes) for glyph in glyphs], np.int64)
    if not len(index) or not counts[index].any():
        return np.empty((0, 2)), np.zeros(1, np.int64), np.zeros(0, np.int64)
    strokes = [stroke for glyph in glyphs for stroke in glyph.strokes]
    source = np.concatenate(strokes)
    where = offsets_of(np.array([len(stroke) for stroke in strokes], np.int64))
    begins = offsets_of(counts)
    per_slot = offsets_of(counts[index])
    slot = stroke_of(per_slot)
    chosen = begins[index][slot] + np.arange(per_slot[-1]) - per_slot[slot]
    rows, offsets = take(where, chosen)
    return source[rows], offsets, slot


def _written(
    points: FloatArray,
    offsets: IntArray,
    slot: IntArray,
    units: FloatArray,
    advances: FloatArray,
    layout: Layout,
) -> Ragged:
    """Handwriting: a stroke that leaves a letter where the next one's begins goes on in one go."""
    leaves = units[offsets[1:] - 1]
    enters = units[offsets[:-1]]
    outgoing = np.full(len(layout.index) + 1, -1)
    ends = np.flatnonzero(leaves[:, 0] == advances[slot])
    outgoing[slot[ends]] = ends
    before = np.where(enters[:, 0] == 0.0, outgoing[slot - 1], -1)
    before[(slot == 0) | (layout.line[slot] != layout.line[slot - 1])] = -1
    same = before >= 0
    same[same] = leaves[before[same], 1] == enters[same, 1]
    root = np.where(same, before, np.arange(len(slot)))
    while True:  # pointer doubling: a line of writing is as long as it likes
        further = root[root]
        if (further == root).all():
            break
        root = further
    order = np.argsort(root, kind="stable")
    rows, fresh = take(offsets, order)
    goes_on = same[order]
    keep = np.ones(len(rows), np.bool_)
    keep[fresh[:-1][goes_on]] = False
    sizes = np.diff(fresh) - goes_on
    return points[rows[keep]], offsets_of(np.add.reduceat(sizes, np.flatnonzero(~goes_on)))
