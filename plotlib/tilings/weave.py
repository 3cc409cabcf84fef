"""A weave as a value: strands that pass over and under, each with the edges of its band."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapely import Polygon

from plotlib import checks
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.tilings.bands import Bands, Passes

_SHORT = 1e-9  # mm; shorter steps of a line are left out
_MIDDLE = 0
_LEFT = 1
_RIGHT = 2


class Weave:
    """Strands that pass over and under each other in turn.

    Made by ``interlaced``; immutable. A strand is named by its number, from 0 on.

    Attributes
    ----------
    crossings : float array (C, 2)
        Where strands cross, in mm; read-only.
    closed : bool array (M,)
        Which strands are closed; read-only.
    """

    __slots__ = ("_bands", "_cuts", "_passes", "closed", "crossings")

    closed: BoolArray
    crossings: FloatArray
    _bands: Bands
    _passes: Passes
    _cuts: FloatArray  # (C, 3, 2), where the lines of each pass that is under are hidden

    def __init__(
        self, bands: Bands, passes: Passes, cuts: FloatArray, crossings: FloatArray
    ) -> None:
        closed = np.ascontiguousarray(bands.closed)
        closed.flags.writeable = False
        crossings.flags.writeable = False
        object.__setattr__(self, "_bands", bands)
        object.__setattr__(self, "_passes", passes)
        object.__setattr__(self, "_cuts", cuts)
        object.__setattr__(self, "closed", closed)
        object.__setattr__(self, "crossings", crossings)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"a Weave does not change; {name} cannot be set")

    def __len__(self) -> int:
        return len(self.closed)

    def __repr__(self) -> str:
        strands = checks.counted(len(self), "strand")
        return f"<Weave: {strands} with {checks.counted(len(self.crossings), 'crossing')}>"

    def passes(self, strand: int) -> tuple[FloatArray, BoolArray]:
        """What a strand crosses, in its order.

        Parameters
        ----------
        strand : int
            The number of the strand.

        Returns
        -------
        points : float array (K, 2)
            The crossings, in mm; a strand that crosses itself passes one twice.
        over : bool array (K,)
            Where the strand is above: every second one.

        Raises
        ------
        InvalidValue
            If there is no such strand.
        """
        wanted = self._wanted(strand)
        mine = self._passes.strand == wanted[0]
        return self.crossings[self._passes.crossing[mine]], self._passes.over[mine]

    def edges(
        self, strands: int | Sequence[int] | None = None, *, pen: Pen | None = None
    ) -> Drawing:
        """Both edges of the bands, with gaps where a band passes under another.

        Parameters
        ----------
        strands : int or several, optional
            Only these strands, so that each may have a pen of its own.
        pen : Pen, optional
            The pen; without it the default one.

        Returns
        -------
        Drawing
            Strand by strand, for each part that is seen its left edge and its right edge; closed
            strokes where a band is never hidden.

        Raises
        ------
        InvalidValue
            If an argument is invalid.
        """
        wanted = self._wanted(strands)
        left = self._seen(wanted, _LEFT)
        right = self._seen(wanted, _RIGHT)
        both = [line for pair in zip(left, right, strict=True) for line in pair]
        return Drawing(both, pen=as_pen(pen))

    def centre_lines(
        self, strands: int | Sequence[int] | None = None, *, pen: Pen | None = None
    ) -> Drawing:
        """The middles of the bands, with gaps where a band passes under another.

        Parameters
        ----------
        strands : int or several, optional
            Only these strands.
        pen : Pen, optional
            The pen; without it the default one.

        Returns
        -------
        Drawing
            Strand by strand one stroke for each part that is seen.

        Raises
        ------
        InvalidValue
            If an argument is invalid.
        """
        return Drawing(self._seen(self._wanted(strands), _MIDDLE), pen=as_pen(pen))

    def areas(self, strands: int | Sequence[int] | None = None) -> list[Polygon]:
        """What is seen of the bands, for fills.

        Parameters
        ----------
        strands : int or several, optional
            Only these strands.

        Returns
        -------
        list of Polygon
            Strand by strand one for each part that is seen; under a curved band their ends are
            straight.

        Raises
        ------
        InvalidValue
            If there is no such strand.
        """
        wanted = self._wanted(strands)
        whole = ~np.isin(wanted, self._passes.strand[~self._passes.over]) & self.closed[wanted]
        parts = self._parts(wanted)
        rings = np.repeat(whole, parts)
        pairs = zip(self._seen(wanted, _LEFT), self._seen(wanted, _RIGHT), rings, strict=True)
        return [_ring(left, right) if ring else _strip(left, right) for left, right, ring in pairs]

    def _wanted(self, strands: int | Sequence[int] | None) -> IntArray:
        if strands is None:
            return np.arange(len(self))
        several = [strands] if isinstance(strands, (int, np.integer)) else strands
        numbers = checks.several("strands", several, "numbers of strands")
        found = [checks.whole("strands", number, low=0) for number in numbers]
        if max(found, default=0) >= len(self):
            raise InvalidValue(
                f"there is no strand {max(found)}; there are {len(self)}, from 0 on",
                name="strands",
                value=max(found),
            )
        return np.array(found, np.int64)

    def _parts(self, wanted: IntArray) -> IntArray:
        """How many parts are seen of each strand."""
        cuts = np.bincount(self._passes.strand[~self._passes.over], minlength=len(self))
        return np.asarray(np.maximum(1, cuts + ~self.closed)[wanted])

    def _seen(self, wanted: IntArray, line: int) -> list[FloatArray]:
        """The parts of one of the lines along some strands that are not hidden."""
        places = self._bands.lines[line]
        under = self._passes.strand[~self._passes.over]
        begin = np.searchsorted(under, wanted)
        end = np.searchsorted(under, wanted, side="right")
        parts = []
        for strand, low, high in zip(wanted.tolist(), begin, end, strict=True):
            first = int(self._bands.offsets[strand])
            last = int(self._bands.offsets[strand + 1]) - 1
            hidden = self._cuts[low:high, line]
            spots = np.concatenate([[first], hidden.ravel(), [last]]).reshape(-1, 2)
            pieces = [_part(places, *spot) for spot in spots.tolist()]
            if self.closed[strand] and high > low:
                joined = np.concatenate([pieces.pop(), pieces.pop(0)])
                pieces.append(joined)
            parts += [_without_short_steps(piece) for piece in pieces]
        return parts


def _part(line: FloatArray, begin: float, end: float) -> FloatArray:
    """A line from one row to another, both in rows and parts of rows."""
    first = int(begin) + 1
    last = max(int(np.ceil(end)), first)
    inner = line[first:last]
    return np.concatenate([_point(line, begin), inner, _point(line, end)])


def _point(line: FloatArray, spot: float) -> FloatArray:
    row = min(int(spot), len(line) - 2)
    step = line[row + 1 : row + 2] - line[row : row + 1]
    return np.asarray(line[row : row + 1] + (spot - row) * step)


def _without_short_steps(line: FloatArray) -> FloatArray:
    """Without points that are where the one before them is; both ends stay."""
    steps = np.hypot(*np.diff(line, axis=0).T)
    keep = np.append(True, steps > _SHORT)
    keep[-1] = True
    if len(steps) > 1 and steps[-1] <= _SHORT:
        keep[-2] = False
    keep[0] = True
    return np.asarray(line[keep])


def _strip(left: FloatArray, right: FloatArray) -> Polygon:
    return Polygon(np.concatenate([left, right[::-1]]))


def _ring(left: FloatArray, right: FloatArray) -> Polygon:
    one = Polygon(left)
    other = Polygon(right)
    if one.area < other.area:
        one, other = other, one
    return Polygon(one.exterior, [other.exterior])
