"""Laying out: where the pen stands for every glyph of a block of text."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from plotlib.arrays.ragged import offsets_of
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.text.glyphs.characters import Slots, slots_of
from plotlib.text.glyphs.faces import glyph_of
from plotlib.text.glyphs.glyph import CAP, Glyph
from plotlib.text.setting.breaking import Lines, paragraphs, wrapped
from plotlib.text.setting.style import Style


@dataclass(frozen=True, eq=False)
class Layout:
    """A block of text; mm, the first base line on y = 0, the block from x = 0 to ``width``.

    Attributes
    ----------
    glyphs : tuple of Glyph
        Distinct glyphs.
    index : ndarray (n,), int64
        The glyph of each placed slot.
    pen : ndarray (n,), float64
        The pen position x of each slot: where its left bearing stands.
    line : ndarray (n,), int64
        The line of each slot.
    starts, advances : ndarray (L,), float64
        Where each line begins, and how far it runs.
    widths : ndarray (n,), float64
        Factor on the width of each slot, where justified lines widen or narrow their letters.
    width : float
        Of the block: what it was wrapped to, else the longest advance.
    texts : tuple of str
        What each line says.
    """

    glyphs: tuple[Glyph, ...]
    index: IntArray
    pen: FloatArray
    line: IntArray
    starts: FloatArray
    advances: FloatArray
    widths: FloatArray
    width: float
    texts: tuple[str, ...]


def laid_out(
    text: str, style: Style, *, align: str = "left", wrap: float | None = None, stretch: float = 0.0
) -> Layout:
    """Break, measure, align."""
    slots = slots_of(text, style.face, style.missing)
    advance = _advances(slots, style)
    if wrap is None:
        lines = paragraphs(slots)
    else:
        hyphen = glyph_of(style.face, "-") or Glyph(0.0, 0.0)
        run = np.concatenate([[0.0], np.cumsum(advance)])
        lines = wrapped(
            slots,
            run,
            wrap,
            hyphen=hyphen.advance * style.scale[0],
            tracking=style.tracking,
            stretch=stretch,
        )
        slots, advance = _hyphenated(slots, lines, advance, hyphen, style)
    return _placed(slots, lines, advance, style, align=align, wrap=wrap, stretch=stretch)


def _advances(slots: Slots, style: Style) -> FloatArray:
    across, _ = style.scale
    room = np.array([glyph.advance * across for glyph in slots.glyphs])
    if style.word_space is not None:
        room[[key in (" ", "\u00a0") for key in slots.keys]] = style.word_space
    return (
        np.where(slots.counts, room + style.tracking, 0.0)[slots.index]
        if len(room)
        else np.zeros(0)
    )


def _hyphenated(
    slots: Slots, lines: Lines, advance: FloatArray, hyphen: Glyph, style: Style
) -> tuple[Slots, FloatArray]:
    """Soft hyphens at the end of a line that goes on become hyphens."""
    at = lines.last[~lines.final] - 1
    at = at[slots.soft[slots.index[at]]]
    if not len(at):
        return slots, advance
    index = slots.index.copy()
    advance = advance.copy()
    index[at] = len(slots.keys)
    advance[at] = hyphen.advance * style.scale[0] + style.tracking
    more = {
        name: np.append(getattr(slots, name), name == "counts")
        for name in ("newline", "space", "breaks", "counts", "soft")
    }
    return replace(
        slots, keys=(*slots.keys, "-"), glyphs=(*slots.glyphs, hyphen), index=index, **more
    ), advance


def _placed(
    slots: Slots,
    lines: Lines,
    advance: FloatArray,
    style: Style,
    *,
    align: str,
    wrap: float | None,
    stretch: float,
) -> Layout:
    sizes = lines.last - lines.first
    offsets = offsets_of(sizes)
    line = np.repeat(np.arange(len(sizes)), sizes)
    chosen = np.arange(offsets[-1]) - offsets[line] + lines.first[line]
    index = slots.index[chosen]
    step = advance[chosen]
    run = np.concatenate([[0.0], np.cumsum(step)])
    counts = slots.counts[index] if len(index) else np.zeros(0, np.bool_)
    spoken = np.bincount(line[counts], minlength=len(sizes)) > 0
    advances = run[offsets[1:]] - run[offsets[:-1]] - np.where(spoken, style.tracking, 0.0)
    pen = run[:-1] - run[offsets[line]]
    width = wrap if wrap is not None else float(advances.max(initial=0.0))
    factor = _stretched(advances, lines.final, width, stretch)
    pen = pen * factor[line]
    advances = advances * factor
    starts = {"centre": (width - advances) / 2, "right": width - advances}.get(
        align, np.zeros(len(sizes))
    )
    if align == "justified":
        spaces = slots.space[index] if len(index) else np.zeros(0, np.bool_)
        pen, starts, advances = _justified(
            slots, index, pen, offsets, spaces, advances, lines.final, style, width, factor
        )
    texts = tuple(
        slots.written(int(a), int(b)) for a, b in zip(lines.first, lines.last, strict=True)
    )
    return Layout(
        slots.glyphs, index, pen + starts[line], line, starts, advances, factor[line], width, texts
    )


def _stretched(advances: FloatArray, final: BoolArray, width: float, stretch: float) -> FloatArray:
    """Factors (L,) on the width of each line's letters that bring it nearer to ``width``."""
    if not stretch:
        return np.ones(len(advances))
    wanted = np.divide(width, advances, out=np.ones(len(advances)), where=advances > 0)
    most = np.where(final, 1.0, 1.0 + stretch)
    return np.clip(wanted, 1.0 - stretch, most)


def _justified(
    slots: Slots,
    index: IntArray,
    pen: FloatArray,
    offsets: IntArray,
    spaces: BoolArray,
    advances: FloatArray,
    final: BoolArray,
    style: Style,
    width: float,
    factor: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Stretch the spaces so that the ink of each line reaches from edge to edge; last lines and
    lines without spaces keep theirs.
    """
    sizes = np.diff(offsets)
    line = np.repeat(np.arange(len(sizes)), sizes)
    full = np.flatnonzero(sizes)
    left = np.zeros(len(sizes))
    right = advances.copy()
    edges = _edges(
        slots.glyphs,
        np.unique(index[np.concatenate([offsets[full], offsets[full + 1] - 1])]),
        style,
    )
    left[full] = [edges[key][0] for key in index[offsets[full]]]
    right[full] = [edges[key][1] for key in index[offsets[full + 1] - 1]]
    left[full] *= factor[full]
    right[full] = pen[offsets[full + 1] - 1] + right[full] * factor[full]
    number = np.bincount(line[spaces], minlength=len(sizes))
    stretch = ~final & (number > 0)
    share = np.where(stretch, (width - (right - left)) / np.maximum(number, 1), 0.0)
    before = np.concatenate([[0], np.cumsum(spaces)])
    passed = before[:-1] - before[offsets[line]]
    return pen + passed * share[line], -left, advances + share * number


def _edges(
    glyphs: tuple[Glyph, ...], keys: IntArray, style: Style
) -> dict[int, tuple[float, float]]:
    """From the pen position to the outermost ink between base line and cap height, left and right;
    so loops hang over the edge.
    """
    across, up = style.scale
    result = {}
    for key in keys.tolist():
        glyph = glyphs[key]
        leaning = Glyph(
            0.0,
            0.0,
            tuple(
                np.column_stack([s[:, 0] * across + s[:, 1] * up * style.lean, s[:, 1]])
                for s in glyph.strokes
            ),
        )
        found = leaning.band(0.0, CAP)
        if found is None and len(leaning.points):
            found = float(leaning.points[:, 0].min()), float(leaning.points[:, 0].max())
        low, high = found or (glyph.left * across, glyph.right * across)
        result[key] = (low - glyph.left * across, high - glyph.left * across)
    return result
