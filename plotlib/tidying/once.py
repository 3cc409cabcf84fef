"""Drawing overlapping ink once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from plotlib import progress
from plotlib.arrays import ragged
from plotlib.arrays.ragged import MEET, Ragged
from plotlib.checks import BoolArray, FloatArray, IntArray, between
from plotlib.drawing import Drawing, as_drawing

if TYPE_CHECKING:
    from plotlib.tidying.once_kernel import Rules, State

_BUDGET = 3_000_000  # looks at ink between two chances of Ctrl-C: about a tenth of a second
_COARSEST = 100.0  # mm; a tolerance beyond it is a slip
# Tolerances that a run of merely near parts must be long to be left out. Lines that cross at less
# than atan(2 / 25), 5 degrees, are cut; a shorter run would buy its lift with less ink than that.
_WORTH_A_CUT = 25.0
_FINEST = 2.0**-20  # of the extent: numbers of cells stay small
_CELLS = 2.0  # cells that the ink may lie in for each segment


def once(drawing: Drawing, *, tolerance: float = 0.02) -> Drawing:
    """Draw ink once that strokes of one pen draw twice: duplicates, overlaps along a line, borders
    that neighbouring areas share, curves that are traced again.

    Parameters
    ----------
    drawing : Drawing
        The strokes. Ink of different pens is never taken for the same.
    tolerance : float, default 0.02
        How far from ink that is kept a second line may run and still be the same ink, in mm, 0 to
        100. The default is the chord error of curves: two ways to flatten a curve are no farther
        apart.

    Returns
    -------
    Drawing
        What is left of the strokes, in their order. The longest strokes stay whole; of a closed
        stroke that loses its start the rest is one piece. Dots on other ink go.

    Raises
    ------
    InvalidValue
        If ``drawing`` is no Drawing, or ``tolerance`` is out of its range.

    Notes
    -----
    Every point that is left out lies within the tolerance of ink that is kept. Overlaps that are
    exact (within 1e-6 mm) go, however short they are. Of ink that is merely near, runs go that are
    longer than 25 tolerances, and whole strokes, so that lines which cross are not cut apart: lines
    that meet at less than atan(2 / 25), 4.6 degrees, are. A line that leaves such a run, or an
    exact overlap, loses its start there too. Where two segments meet at an angle no more than
    ``2 * tolerance / tan(angle) + 2 * tolerance`` of one of them goes, and nothing above 31 degrees
    (a tangent of 0.6).

    Examples
    --------
    >>> left, right = [(0, 0), (5, 0), (5, 5), (0, 5)], [(5, 0), (9, 0), (9, 5), (5, 5)]
    >>> both = Drawing([[*left, left[0]], [*right, right[0]]])
    >>> both.length, once(both).length, len(once(both))
    (38.0, 33.0, 2)
    """
    strokes = as_drawing("drawing", drawing)
    limit = between("tolerance", tolerance, 0.0, _COARSEST, unit="mm")
    parts = []
    sources = []
    with progress.stage("finding ink that is drawn twice") as work:
        for index, pen in enumerate(strokes.pens):
            mine = np.flatnonzero(strokes.pen_index == index)
            done = work.done if len(strokes.pens) == 1 else _ignored
            points, offsets, source = _layer_once(strokes[mine], limit, done)
            parts.append(Drawing.from_arrays(points, offsets, pen=pen))
            sources.append(mine[source])
    if not parts:
        return strokes
    order = np.argsort(np.concatenate(sources), kind="stable")
    return Drawing(parts)[order]


def _ignored(share: float) -> None:
    """Progress of one pen among several."""


def _layer_once(
    strokes: Drawing, tolerance: float, done: Any
) -> tuple[FloatArray, IntArray, IntArray]:
    """What is left of the strokes of one pen, and the stroke (M,) that each piece comes from."""
    given, offsets = ragged.without_repeats(strokes.points, strokes.offsets)
    lengths = ragged.lengths(given, offsets)
    order = np.argsort(-lengths, kind="stable")
    rows, laid_offsets = ragged.take(offsets, order)
    points, laid_offsets = _without_extent(given[rows], laid_offsets, lengths[order])
    rules = _rules(points, float(lengths.sum()), tolerance)
    state = _laid(points, laid_offsets, rules, done)
    pieces, piece_offsets, stroke = _pieces(state, points, laid_offsets)
    source = order[stroke]
    back = np.argsort(source, kind="stable")
    rows, sorted_offsets = ragged.take(piece_offsets, back)
    return pieces[rows], sorted_offsets, source[back]


def _without_extent(points: FloatArray, offsets: IntArray, lengths: FloatArray) -> Ragged:
    """Strokes shorter than `MEET` as dots."""
    keep = np.ones(len(points), np.bool_)
    short = lengths <= MEET
    owner = ragged.stroke_of(offsets)
    keep[short[owner]] = False
    keep[offsets[:-1]] = True
    counts = np.where(short, 1, np.diff(offsets))
    return points[keep], ragged.offsets_of(counts)


def _rules(points: FloatArray, total: float, tolerance: float) -> Rules:
    from plotlib.tidying.once_kernel import Rules

    left, bottom, right, top = ragged.bounds(points) or (0.0, 0.0, 0.0, 0.0)
    cell = max(
        4.0 * max(tolerance, MEET),
        _FINEST * max(right - left, top - bottom),
        total / (_CELLS * len(points)),
    )
    return Rules(tolerance, MEET, _WORTH_A_CUT * tolerance, cell, left, bottom)


def _laid(points: FloatArray, offsets: IntArray, rules: Rules, done: Any) -> State:
    from plotlib.tidying import once_kernel as kernel

    state = _state(len(points))
    while True:
        ending = kernel.lay(state, points, offsets, rules, _BUDGET)
        if ending == kernel.DONE:
            return state
        if ending == kernel.FULL:
            state = _enlarged(state, ("ink", "seen", "entry", "part", "kind"))
        if ending == kernel.CROWDED:
            state = _enlarged(state, ("exact", "near"))
        done(min(1.0, float(state.counts[kernel.POINT]) / len(points)))


def _state(points: int) -> State:
    from plotlib.tidying.once_kernel import State

    room = points + 64
    slots = 1 << (2 * room).bit_length()
    return State(
        ink=np.zeros((room, 4)),
        seen=np.full(room, -1, np.int64),
        head=np.full(slots, -1, np.int64),
        entry=np.zeros((4 * room, 2), np.int64),
        part=np.zeros((room, 6)),
        kind=np.zeros((room, 2), np.int64),
        exact=np.zeros((64, 6)),
        near=np.zeros((64, 6)),
        counts=np.zeros(7, np.int64),
        run=np.zeros(1),
    )


def _enlarged(state: State, names: tuple[str, ...]) -> State:
    """The same state with room for twice as much in some of its arrays."""
    grown: dict[str, Any] = {}
    for name in names:
        old = getattr(state, name)
        new = np.zeros((2 * len(old), *old.shape[1:]), old.dtype)
        new[: len(old)] = old
        grown[name] = new
    return state._replace(**grown)


def _pieces(
    state: State, points: FloatArray, offsets: IntArray
) -> tuple[FloatArray, IntArray, IntArray]:
    """The kept records put together: points, offsets, and the stroke of each piece."""
    from plotlib.tidying.once_kernel import KEPT, RECORDS

    count = int(state.counts[RECORDS])
    kept = np.flatnonzero(state.kind[:count, 0] == KEPT)
    part = state.part[kept]
    stroke = ragged.stroke_of(offsets)[state.kind[kept, 1]]
    begins = np.ones(len(kept), np.bool_)
    begins[1:] = (np.diff(kept) > 1) | (np.diff(stroke) > 0)
    # the second of two parts of one segment goes on straight: no point between them
    is_split = np.zeros(len(kept), np.bool_)
    is_split[:-1] = ~begins[1:] & (part[1:, 4] > 0.0)
    is_dot = np.diff(offsets)[stroke] == 1
    pieces, piece_offsets = _strung(part, begins, ~is_split & ~is_dot)
    owner = stroke[begins]
    joined, whole = _closed_again(pieces, piece_offsets, owner, points, offsets)
    return _without_crumbs(*joined, owner[whole], offsets)


def _strung(part: FloatArray, begins: BoolArray, ends: BoolArray) -> Ragged:
    """The start of each piece and the ends of its parts as ragged strokes."""
    points = np.stack([part[:, 0:2], part[:, 2:4]], axis=1)
    keep = np.stack([begins, ends], axis=1)
    piece = np.cumsum(begins) - 1
    counts = np.bincount(piece, weights=keep.sum(axis=1)).astype(np.int64)
    return points[keep], ragged.offsets_of(counts)


def _closed_again(
    pieces: FloatArray,
    piece_offsets: IntArray,
    owner: IntArray,
    points: FloatArray,
    offsets: IntArray,
) -> tuple[Ragged, IntArray]:
    """The last piece of a closed stroke goes on in its first where both meet at its start; and
    which pieces (M,) the result has.
    """
    every = np.arange(len(owner))
    first = np.searchsorted(owner, owner, side="left")
    last = np.searchsorted(owner, owner, side="right") - 1
    starts = pieces[piece_offsets[first]] == points[offsets[owner]]
    stops = pieces[piece_offsets[last + 1] - 1] == points[offsets[owner + 1] - 1]
    ring = ragged.closed(points, offsets)[owner] & (first < last)
    meets = ring & starts.all(axis=1) & stops.all(axis=1)
    wraps = np.flatnonzero(meets & (every == first))
    # the last piece takes the place of the first, which follows it without its own first point
    source = every.copy()
    source[wraps] = last[wraps]
    gone = np.insert(meets & (every == last), wraps + 1, False)
    order = np.insert(source, wraps + 1, wraps)[~gone]
    follows = np.insert(np.zeros(len(owner), np.bool_), wraps + 1, True)[~gone]
    rows, fresh = ragged.take(piece_offsets, order)
    keep = np.ones(len(rows), np.bool_)
    keep[fresh[:-1][follows]] = False
    piece = np.cumsum(~follows) - 1
    counts = np.bincount(piece, weights=np.diff(fresh) - follows).astype(np.int64)
    return (pieces[rows[keep]], ragged.offsets_of(counts)), order[~follows]


def _without_crumbs(
    pieces: FloatArray, piece_offsets: IntArray, owner: IntArray, offsets: IntArray
) -> tuple[FloatArray, IntArray, IntArray]:
    """Leave out what is no longer than `MEET` and no dot."""
    lengths = ragged.lengths(pieces, piece_offsets)
    stays = np.flatnonzero((lengths > MEET) | (np.diff(offsets)[owner] == 1))
    rows, fresh = ragged.take(piece_offsets, stays)
    return pieces[rows], fresh, owner[stays]
