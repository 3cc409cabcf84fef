"""Strands as bands: their crossings in order, which passes over, their edges, what is hidden."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.tilings.nets import Net, Strands

_SHARPEST = 1e-6  # 1 + the cosine of the turn at a corner; below, a strand turns back on itself


class Passes(NamedTuple):
    """The crossings along the strands; each crossing is passed twice."""

    rows: IntArray  # (P,), places in the rows of the strands, rising
    strand: IntArray  # (P,)
    crossing: IntArray  # (P,), 0 ... P / 2 - 1
    over: BoolArray  # (P,)


class Bands(NamedTuple):
    """Five lines along each strand, point for point beside each other, and its sections: one for
    each pass, which together are all of it.
    """

    lines: FloatArray  # (5, N, 2): the middle, both edges, both edges with the gap
    offsets: IntArray  # (M + 1,)
    closed: BoolArray  # (M,)
    sections: IntArray  # (P, 2), the first and the last row of each


def passes_of(net: Net, strands: Strands) -> Passes:
    """Who passes over whom, in turn along every strand: beginning with over where there is a
    choice.
    """
    counts = np.bincount(net.ends.ravel(), minlength=len(net.points))
    is_pass = counts[strands.places] == 4
    is_pass[strands.offsets[1:][strands.closed] - 1] = False
    rows = np.flatnonzero(is_pass)
    strand = ragged.stroke_of(strands.offsets)[rows]
    points, crossing = np.unique(strands.places[rows], return_inverse=True)
    is_second = np.ones(len(rows), np.bool_)
    is_second[np.unique(crossing, return_index=True)[1]] = False
    following = _following(strand, strands.closed)
    states = _states(crossing, is_second, following)
    torn = np.flatnonzero(states[:, 0] == states[:, 1])
    if len(torn):
        x, y = net.points[points[torn[0]]]
        raise InvalidValue(
            f"the strokes about ({x:.3f}, {y:.3f}) cannot pass over and under in turn: some end "
            f"between others; clip them by an area without holes, or close them",
            name="drawing",
            point=(float(x), float(y)),
        )
    first_over = states[:, 0] < states[:, 1]
    return Passes(rows, strand, crossing, first_over[crossing] != is_second)


def _following(strand: IntArray, closed: BoolArray) -> IntArray:
    """The pass that comes after each along its strand; -1 after the last of an open one."""
    count = len(strand)
    following = np.arange(1, count + 1)
    first = np.flatnonzero(np.diff(strand, prepend=-1))
    last = np.append(first[1:], count)[: len(first)] - 1
    following[last] = np.where(closed[strand[last]], first, -1)
    return following


def _states(crossing: IntArray, is_second: BoolArray, following: IntArray) -> IntArray:
    """What each crossing is tied to (C, 2), where its first pass is over and where it is under.

    Passes that follow each other tie the states of their crossings together. Where over and under
    can alternate, the states of a part of the pattern fall into two parts, and one is taken.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    count = int(crossing.max(initial=-1)) + 1
    here = np.flatnonzero(following >= 0)
    there = following[here]
    # state 0: the first pass is over; the next pass is under where this one is over
    same = is_second[here] == is_second[there]
    one = 2 * crossing[here]
    other = 2 * crossing[there] + same
    rows = np.concatenate([one, one + 1])
    columns = np.concatenate([other, other + 1 - 2 * same])
    links = coo_array((np.ones(len(rows), np.int8), (rows, columns)), shape=(2 * count, 2 * count))
    return np.asarray(connected_components(links, directed=False)[1].reshape(count, 2))


def bands_of(net: Net, strands: Strands, passes: Passes, half: float, gap: float) -> Bands:
    """The edges of bands ``2 * half`` wide along the strands, in one section for each pass."""
    middle = net.points[strands.places]
    normals = _mitres(middle, strands)
    lines = np.stack([middle + far * normals for far in (0, half, -half, half + gap, -half - gap)])
    _not_too_tight(lines, strands)
    spots = _between(middle, strands, passes)
    return _divided(lines, strands, passes, spots)


def _mitres(middle: FloatArray, strands: Strands) -> FloatArray:
    """For each row the step (N, 2) to a line at the distance 1 on the left that is mitred."""
    before, after = _neighbours(strands)
    way = middle[after] - middle[before]
    ahead = middle[after] - middle
    back = middle - middle[before]
    ahead = np.where((ahead == 0).all(axis=1)[:, None], way, ahead)
    back = np.where((back == 0).all(axis=1)[:, None], way, back)
    left = np.column_stack([-ahead[:, 1], ahead[:, 0]]) / np.hypot(*ahead.T)[:, None]
    right = np.column_stack([-back[:, 1], back[:, 0]]) / np.hypot(*back.T)[:, None]
    sharp = 1 + (left * right).sum(axis=1)
    if (sharp < _SHARPEST).any():
        x, y = middle[np.argmin(sharp)]
        raise InvalidValue(
            f"a strand turns back on itself at ({x:.3f}, {y:.3f}); round or cut the strokes there",
            name="drawing",
            point=(float(x), float(y)),
        )
    return np.asarray((left + right) / sharp[:, None])


def _neighbours(strands: Strands) -> tuple[IntArray, IntArray]:
    """The rows before and after each one; ends of open strands are their own neighbours."""
    count = len(strands.places)
    first = strands.offsets[:-1]
    last = strands.offsets[1:] - 1
    before = np.arange(-1, count - 1)
    after = np.arange(1, count + 1)
    before[first] = np.where(strands.closed, last - 1, first)
    after[last] = np.where(strands.closed, first + 1, last)
    return before, after


def _not_too_tight(lines: FloatArray, strands: Strands) -> None:
    """Refuse bends that an edge cannot follow without running back."""
    steps = np.diff(lines, axis=1)
    runs_back = ((steps[1:] * steps[0]).sum(axis=2) < 0).any(axis=0)
    runs_back[strands.offsets[1:-1] - 1] = False
    if runs_back.any():
        raise TooWide(lines[0, np.argmax(runs_back)], "bend more tightly than bands can")


class TooWide(InvalidValue):
    """Bands that have no room at a point; the maker says how wide they may be."""

    def __init__(self, point: FloatArray, problem: str) -> None:
        x = float(point[0])
        y = float(point[1])
        super().__init__(f"near ({x:.3f}, {y:.3f}) strokes {problem}", name="width", point=(x, y))
        self.problem = problem


def _between(middle: FloatArray, strands: Strands, passes: Passes) -> FloatArray:
    """Where each section ends, in rows and parts of rows: between a pass and the one after, nearer
    to the one whose crossing is less acute.
    """
    steps = ragged.segment_lengths(middle, strands.offsets)
    run = np.concatenate([[0.0], np.cumsum(steps)])[:-1]
    here = np.arange(len(passes.rows))
    there = _following(passes.strand, strands.closed)
    end = strands.offsets[1:][passes.strand] - 1
    begin = strands.offsets[:-1][passes.strand]
    lap = run[end] - run[begin]
    reach = _reach(middle, strands, passes)
    from_here = run[passes.rows]
    to_there = run[passes.rows[there]] + np.where(there <= here, lap, 0.0)
    share = reach / (reach + reach[there])
    spot = from_here + share * (to_there - from_here)
    spot = np.where(spot > run[end], spot - lap, spot)
    spot = np.where(there < 0, run[end], spot)
    row = np.searchsorted(run, spot, side="right") - 1
    row = np.clip(row, begin, end - 1)
    part = (spot - run[row]) / np.maximum(steps[row], 1e-300)
    return np.asarray(row + np.clip(part, 0.0, 1.0))


def _reach(middle: FloatArray, strands: Strands, passes: Passes) -> FloatArray:
    """How far a pass hides or is hidden, in half widths: more where bands cross acutely."""
    before, after = _neighbours(strands)
    way = middle[after[passes.rows]] - middle[before[passes.rows]]
    partner = _partner(passes)
    dot = (way * way[partner]).sum(axis=1)
    cross = way[:, 0] * way[partner, 1] - way[:, 1] * way[partner, 0]
    return np.asarray((np.hypot(dot, cross) + np.abs(dot)) / np.maximum(np.abs(cross), 1e-12))


def _partner(passes: Passes) -> IntArray:
    """The other pass of the same crossing."""
    order = np.argsort(passes.crossing, kind="stable").reshape(-1, 2)
    partner = np.empty(len(passes.rows), np.int64)
    partner[order[:, 0]] = order[:, 1]
    partner[order[:, 1]] = order[:, 0]
    return partner


def _divided(lines: FloatArray, strands: Strands, passes: Passes, spots: FloatArray) -> Bands:
    """The lines with a row at each end of a section; closed strands begin at one."""
    row = spots.astype(np.int64)
    row = np.minimum(row, strands.offsets[1:][passes.strand] - 2)
    part = (spots - row)[:, None]
    fresh = lines[:, row] + part * (lines[:, row + 1] - lines[:, row])
    order = np.argsort(spots, kind="stable")
    points = np.insert(lines, row[order] + 1, fresh[:, order], axis=1)
    counts = np.diff(strands.offsets) + np.bincount(passes.strand, minlength=len(strands.closed))
    offsets = ragged.offsets_of(counts)
    place = np.empty(len(spots), np.int64)  # the rows at which sections end
    place[order] = row[order] + 1 + np.arange(len(spots))
    last = np.flatnonzero(np.diff(passes.strand, append=-1))
    start = np.zeros(len(counts), np.int64)
    own = passes.strand[last]
    start[own] = np.where(strands.closed[own], place[last] - offsets[own], 0)
    points = _begun(points, offsets, start)
    lap = (counts - 1)[passes.strand]
    first_row = offsets[passes.strand]
    end = first_row + (place - first_row - start[passes.strand] - 1) % lap + 1
    begin = np.concatenate([[0], end[:-1]])[: len(end)]
    is_first = np.diff(passes.strand, prepend=-1) != 0
    begin = np.where(is_first, first_row, begin)
    return Bands(points, offsets, strands.closed, np.column_stack([begin, end]))


def _begun(lines: FloatArray, offsets: IntArray, start: IntArray) -> FloatArray:
    """Closed lines begun at row ``start`` (M,); those with 0 stay as they are."""
    rows = np.arange(lines.shape[1])
    return np.asarray(lines[:, ragged.rotated(rows, offsets, start)])
