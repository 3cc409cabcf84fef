"""The compiled walk through plain lines and lines that come again and again, such as lifts.

A deterministic finite automaton built as it is needed (Thompson, Regular expression search
algorithm, Communications of the ACM 11, 1968; lazily, as by Aho, Sethi and Ullman, Compilers, 1986;
both from memory). A state is all that a lift or a dwell can read or change; the input is a known
line, or any number of plain ones (input 0). What a step does was found out by running the
interpreter itself once; the walk only repeats it, with the place and the line of now. Invariant:
after each step state, place, motion word and feed are those of the slow way.

- ``kind``, ``x``, ``y``, ``feed`` (L,): of the lines, see ``plain.Source``
- ``code`` (L,) int16: the input of a line that is not plain; -1 where it is none that is known
- ``follow`` (S, K) int32: the next state; LEAVE or ASK where the walk must stop
- ``effect`` (S, K, 9): changes of the pen (how many, then down, known, whole of the first and of
  the second), seconds of a dwell (nan: none), 1 where a stroke begins and -1 where it ends

Oracle: the slow way (``tests/gcode/reading/test_automaton.py``).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled

LEAVE = -1  # the slow way must do this step
ASK = -2  # nobody has tried this step yet
PENS = 0
DWELL = 7
STROKE = 8


class Columns(NamedTuple):
    """The lines of a program, as in ``plain.Source``, and the input of each."""

    kind: AnyInts
    code: AnyInts
    x: FloatArray
    y: FloatArray
    feed: FloatArray


class Table(NamedTuple):
    """What each step leads to, and what it does."""

    follow: AnyInts
    effect: FloatArray


class Here(NamedTuple):
    """Where a walk stands: at which line (from 0), in which state, the place in controller mm,
    whether G0 is in force, the feed, and how many moves there were.
    """

    line: int
    state: int
    x: float
    y: float
    rapid: bool
    feed: float
    moves: int


@compiled
def name_lines(
    data: AnyInts, starts: AnyInts, kind: AnyInts, texts: AnyInts, ends: AnyInts
) -> AnyInts:
    """Which of some texts each line that is not plain is, from 1; -1 where it is none.

    Text k stands in ``texts`` from ``ends[k]`` to ``ends[k + 1]``.
    """
    code = np.full(len(kind), -1, np.int16)
    for line in range(len(kind)):
        if kind[line] >= 0:
            continue
        first = starts[line]
        size = starts[line + 1] - 1 - first
        for k in range(len(ends) - 1):
            if ends[k + 1] - ends[k] != size:
                continue
            at = 0
            while at < size and data[first + at] == texts[ends[k] + at]:
                at += 1
            if at == size:
                code[line] = k + 1
                break
    return code


@compiled
def _note_pens(pens: FloatArray, changed: int, line: int, effect: FloatArray) -> int:
    """Append the changes of the pen that a step makes; how many there are then."""
    for k in range(int(effect[PENS])):
        pens[changed, 0] = line
        for part in range(3):
            pens[changed, 1 + part] = effect[1 + 3 * k + part]
        pens[changed, 4] = np.nan  # neither height nor feed: no lift along an axis
        pens[changed, 5] = np.nan
        changed += 1
    return changed


@compiled
def walk(
    lines: Columns, table: Table, here: Here, end: int, scale: float, dx: float, dy: float
) -> tuple[Here, int, FloatArray, FloatArray, FloatArray, FloatArray, AnyInts]:
    """Walk on until ``end``, or to a line that the table does not know.

    Returns where it stands, the input that stopped it (-1: none), and what happened, in the rows
    that ``record.Record`` keeps: spans of plain lines, changes of the pen, dwells, where strokes
    begin, and before which move they end.
    """
    kind = lines.kind
    follow = table.follow
    effect = table.effect
    index = here.line
    state = here.state
    x = here.x
    y = here.y
    rapid = here.rapid
    feed = here.feed
    moves = here.moves
    room = 1
    for line in range(index, end):
        if kind[line] < 0:
            room += 1
    spans = np.zeros((room, 9))
    pens = np.zeros((2 * room, 6))
    dwells = np.zeros((room, 2))
    runs = np.zeros((room, 4))
    ends = np.zeros(room, np.int64)
    spanned = changed = waited = begun = ended = 0
    stopped = -1
    while index < end:
        name = 0
        if kind[index] < 0:
            name = int(lines.code[index])
            if name < 0:
                break
        then = follow[state, name]
        if then < 0:
            stopped = name
            break
        if name == 0:
            first = index
            spans[spanned, 2] = x
            spans[spanned, 3] = y
            spans[spanned, 4] = 1.0 if rapid else 0.0
            spans[spanned, 5] = feed
            while index < end and kind[index] >= 0:
                if not np.isnan(lines.x[index]):
                    x = lines.x[index] * scale + dx
                if not np.isnan(lines.y[index]):
                    y = lines.y[index] * scale + dy
                if not np.isnan(lines.feed[index]):
                    feed = lines.feed[index] * scale
                if kind[index] > 0:
                    rapid = kind[index] == 1
                index += 1
            spans[spanned, 0] = first
            spans[spanned, 1] = index
            spans[spanned, 6] = scale
            spans[spanned, 7] = dx
            spans[spanned, 8] = dy
            spanned += 1
            moves += index - first
        else:
            index += 1
            changed = _note_pens(pens, changed, index, effect[state, name])
            if not np.isnan(effect[state, name, DWELL]):
                dwells[waited, 0] = index
                dwells[waited, 1] = effect[state, name, DWELL]
                waited += 1
            if effect[state, name, STROKE] > 0:
                runs[begun, 0] = moves
                runs[begun, 1] = index
                runs[begun, 2] = x
                runs[begun, 3] = y
                begun += 1
            elif effect[state, name, STROKE] < 0:
                ends[ended] = moves
                ended += 1
        state = then
    now = Here(index, state, x, y, rapid, feed, moves)
    return (
        now,
        stopped,
        spans[:spanned],
        pens[:changed],
        dwells[:waited],
        runs[:begun],
        ends[:ended],
    )
