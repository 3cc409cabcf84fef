"""The quick way through plain lines: straight absolute moves in X and Y, the bulk of every program.

It does what ``Carriage.run`` does for such lines, many at a time, and leaves everything else, every
fault included, to it. Arcs by their centre are found with them, and run by the automaton.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple, cast, overload

import numpy as np

from plotlib.checks import FloatArray, IntArray

if TYPE_CHECKING:
    from plotlib.gcode.reading.plain_kernel import Lines as Columns
    from plotlib.gcode.reading.plain_kernel import Replay

MOTIONS = ("G0", "G1", "G2", "G3")  # by their numbers in spans


class Span(NamedTuple):
    """Plain lines and arcs ``first`` … ``end - 1`` (from 0), run one after another, and what was in
    force before them; mm, and the motion word by its number.
    """

    first: int
    end: int
    x: float
    y: float
    motion: int
    feed: float
    scale: float
    dx: float
    dy: float


class Cut(Sequence[str]):
    """Lines of a text that are cut out of it when they are asked for."""

    @abstractmethod
    def _line(self, index: int) -> str:
        """One of them, from 0."""

    @overload
    def __getitem__(self, index: int) -> str: ...
    @overload
    def __getitem__(self, index: slice) -> list[str]: ...
    def __getitem__(self, index: int | slice) -> str | list[str]:
        if isinstance(index, slice):
            return [self._line(at) for at in range(*index.indices(len(self)))]
        if not 0 <= index < len(self):
            raise IndexError(f"no line {index} of {len(self)}")
        return self._line(index)


class Lines(Cut):
    """The lines of an ASCII text: a list of six million would take half a gigabyte."""

    def __init__(self, text: str, data: np.ndarray) -> None:
        self._text = text
        self.data = data
        ends = np.flatnonzero(data == ord("\n"))
        if len(data) and (not len(ends) or ends[-1] != len(data) - 1):
            ends = np.append(ends, len(data))
        self.starts = np.concatenate([[0], ends + 1])
        self._starts = memoryview(cast(Any, self.starts))

    def __len__(self) -> int:
        return len(self._starts) - 1

    def _line(self, index: int) -> str:
        return self._text[self._starts[index] : self._starts[index + 1] - 1]

    def first(self, count: int) -> Lines:
        """Only so many."""
        lines = Lines.__new__(Lines)
        lines._text = self._text
        lines.data = self.data
        lines.starts = self.starts[: count + 1]
        lines._starts = memoryview(cast(Any, lines.starts))
        return lines

    def joined(self, first: int, end: int) -> str:
        """The text of the lines ``first`` … ``end - 1``, without the last line feed."""
        return self._text[self._starts[first] : self._starts[end] - 1] if first < end else ""


@dataclass(frozen=True)
class Source:
    """The lines of a program, and which of them are plain.

    Attributes
    ----------
    lines : sequence of str
    kind : (L,) 0 for a plain line without motion word, 1 for G0, 2 for G1; for lines that are not
        plain -1, or -2 if they hold neither the letter X nor Y; for arcs by their centre -3 without
        motion word, -4 for G2, -5 for G3
    x, y, feed : (L,) the words of plain lines and arcs; not a number where absent
    i, j : (L,) those of arcs, 0 where absent; empty for a program without the letters I and J
    """

    lines: Sequence[str]
    kind: Any
    x: FloatArray
    y: FloatArray
    i: FloatArray
    j: FloatArray
    feed: FloatArray

    @classmethod
    def of(cls, text: str) -> Source:
        """Take a text apart; its line ends may be those of any system."""
        from plotlib.gcode.reading.plain_kernel import scan

        if "\r" in text:
            text = text.replace("\r\n", "\n").replace("\r", "\n")
        raw = text.encode("utf-8", errors="surrogatepass")
        data = np.frombuffer(raw, np.uint8)
        lines: Sequence[str] = Lines(text, data) if text.isascii() else text.split("\n")
        if not text.isascii() and not lines[-1]:
            lines = lines[:-1]
        has_arcs = b"I" in raw or b"J" in raw
        return cls(lines, *scan(data, len(lines), len(lines) * has_arcs))

    def first(self, count: int) -> Source:
        """Only so many lines."""
        lines = self.lines
        some = lines.first(count) if isinstance(lines, Lines) else lines[:count]
        return Source(some, *(column[:count] for column in self.columns))

    @cached_property
    def columns(self) -> Columns:
        """All that is found on the lines, as kernels take it."""
        from plotlib.gcode.reading.plain_kernel import Lines as Columns

        return Columns(self.kind, self.x, self.y, self.i, self.j, self.feed)

    def named(self, texts: Sequence[str]) -> IntArray:
        """Which of some texts each line (L,) is that is not plain, from 1; -1 where it is none."""
        from plotlib.gcode.reading.automaton_kernel import name_lines

        if not isinstance(self.lines, Lines):
            return np.full(len(self.lines), -1, np.int16)
        ends = np.concatenate([[0], np.cumsum([len(text) for text in texts])])
        whole = np.frombuffer("".join(texts).encode("ascii"), np.uint8)
        return name_lines(self.lines.data, self.lines.starts, self.kind, whole, ends)

    def joined(self, first: int, end: int) -> str:
        """The text of the lines ``first`` … ``end - 1``, without the last line feed."""
        lines = self.lines
        return lines.joined(first, end) if isinstance(lines, Lines) else "\n".join(lines[first:end])

    @cached_property
    def next_other(self) -> memoryview:
        """The first line (L,) from each one on that is not plain; L where there is none."""
        count = len(self.lines)
        kind = np.int32 if count < 2**31 else np.int64  # half the memory of a large program
        index = np.where(self.kind < 0, np.arange(count, dtype=kind), kind(count))
        following: Any = np.ascontiguousarray(np.minimum.accumulate(index[::-1])[::-1])
        return memoryview(following)

    def after(self, span: Span) -> tuple[float, float, int, float]:
        """x, y, the motion in force, and the feed, after a span of plain lines; mm."""
        x, y, feed, kind = self._views
        lines = range(span.end - 1, span.first - 1, -1)
        to_x = next((x[line] for line in lines if x[line] == x[line]), None)
        to_y = next((y[line] for line in lines if y[line] == y[line]), None)
        rate = next((feed[line] for line in lines if feed[line] == feed[line]), None)
        word = next((kind[line] for line in lines if kind[line] > 0), None)
        return (
            span.x if to_x is None else to_x * span.scale + span.dx,
            span.y if to_y is None else to_y * span.scale + span.dy,
            span.motion if word is None else word - 1,
            span.feed if rate is None else rate * span.scale,
        )

    @cached_property
    def _views(self) -> tuple[memoryview, ...]:
        """The columns in the form that gives single numbers soonest."""
        columns: Any = (self.x, self.y, self.feed, self.kind)
        return tuple(map(memoryview, columns))

    def moves(self, spans: FloatArray) -> Replay:
        """The moves of the spans (S, 9)."""
        from plotlib.gcode.reading.plain_kernel import replay

        return replay(spans, self.columns)
