"""The compiled walk through plain lines, arcs, and lines that come again and again, such as lifts.

A deterministic finite automaton built as it is needed (Thompson, Regular expression search
algorithm, Communications of the ACM 11, 1968; lazily, as by Aho, Sethi and Ullman, Compilers, 1986;
both from memory). A state is all that a lift or a dwell can read or change; the input is a known
line, or any number of plain ones and arcs (input 0). What a step does was found out by running the
interpreter itself once; the walk only repeats it, with the place and the line of now. An arc that
might break a rule is left to the slow way, which knows the rules. Invariant: after each step state,
place, motion word and feed are those of the slow way.

- ``lines``: what is found on each, see ``plain_kernel.Lines``
- ``code`` (L,) int16: the input of each line; -1 where it is none that is known
- ``follow`` (S, K) int64: the next state; LEAVE or ASK where the walk must stop
- ``effect`` (S, K, 9): changes of the pen (how many, then down, known, whole of the first and of
  the second), seconds of a dwell (nan: none), 1 where a stroke begins and -1 where it ends

Oracle: the slow way (``tests/gcode/reading/test_automaton.py``).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled
from plotlib.gcode.reading.plain_kernel import ARC, CLOCKWISE, Lines, motion_after

LEAVE = -1  # the slow way must do this step
ASK = -2  # nobody has tried this step yet
PENS = 0
DWELL = 7
STROKE = 8

# mm: arcs that are surely right. Section 3.5.3.2 of RS274NGC (NISTIR 6556) lets the distances of
# both ends from the centre differ by so much, and larger arcs may be longer than is allowed.
_UNEVEN = 0.002
_LARGEST = 1e4

# how many rows of each kind of notes there are so far: places in `Notes.counts`
SPANS = 0
CHANGES = 1
DWELLS = 2
RUNS = 3
ENDS = 4


class Table(NamedTuple):
    """What each step leads to, and what it does."""

    follow: AnyInts
    effect: FloatArray


class Here(NamedTuple):
    """Where a walk stands: at which line (from 0), in which state, the place in controller mm, the
    number of the motion in force, the feed, and how many moves there were.
    """

    line: int
    state: int
    x: float
    y: float
    motion: int
    feed: float
    moves: int


class Frame(NamedTuple):
    """How words become controller mm: times ``scale``, and the offsets of G92."""

    scale: float
    dx: float
    dy: float


class Notes(NamedTuple):
    """What happened, in the rows that ``record.Record`` keeps, with room for more of them."""

    spans: FloatArray  # (R, 9) runs of plain lines and arcs
    pens: FloatArray  # (2 R, 6) changes of the pen
    dwells: FloatArray  # (R, 2)
    runs: FloatArray  # (R, 4) where strokes begin
    ends: AnyInts  # (R,) before which move they end
    counts: AnyInts  # (5,) how many rows of each there are


@compiled
def name_lines(
    data: AnyInts, starts: AnyInts, kind: AnyInts, texts: AnyInts, ends: AnyInts
) -> AnyInts:
    """Which of some texts each line is, from 1; 0 for plain ones and arcs, -1 where it is none.

    Text k stands in ``texts`` from ``ends[k]`` to ``ends[k + 1]``.
    """
    code = np.full(len(kind), -1, np.int16)
    for line in range(len(kind)):
        if kind[line] >= 0 or kind[line] <= ARC:
            code[line] = 0
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
def _room_for(code: AnyInts, first: int, end: int) -> Notes:
    """Empty notes with room for all that the lines ``first`` … ``end - 1`` can say, up to one that
    nobody knows.
    """
    room = 2
    for line in range(first, end):
        if code[line] < 0:
            break
        if code[line] > 0:
            room += 1
    return Notes(
        np.zeros((room, 9)),
        np.zeros((2 * room, 6)),
        np.zeros((room, 2)),
        np.zeros((room, 4)),
        np.zeros(room, np.int64),
        np.zeros(5, np.int64),
    )


@compiled
def _is_round(way_x: float, way_y: float, chord_x: float, chord_y: float) -> bool:
    """Whether an arc is surely right, by the way to its centre and the way to its end, in mm."""
    near = np.sqrt(way_x * way_x + way_y * way_y)
    far = np.sqrt((way_x - chord_x) ** 2 + (way_y - chord_y) ** 2)
    return bool(0.0 < near <= _LARGEST and abs(near - far) <= _UNEVEN)


@compiled
def _glide(lines: Lines, here: Here, frame: Frame, end: int, then: int) -> Here:
    """Along all plain lines and arcs from here on, up to ``end``, or to one that the slow way must
    judge: an arc that might break a rule, or a line without a word where another is in force.
    """
    index = here.line
    x = here.x
    y = here.y
    motion = here.motion
    feed = here.feed
    while index < end and (lines.kind[index] >= 0 or lines.kind[index] <= ARC):
        is_arc = lines.kind[index] <= ARC
        to_x = x if np.isnan(lines.x[index]) else lines.x[index] * frame.scale + frame.dx
        to_y = y if np.isnan(lines.y[index]) else lines.y[index] * frame.scale + frame.dy
        told = motion_after(int(lines.kind[index]), motion)
        if is_arc != (told >= CLOCKWISE):
            break
        if is_arc:
            way_x = lines.i[index] * frame.scale
            way_y = lines.j[index] * frame.scale
            if not _is_round(way_x, way_y, to_x - x, to_y - y):
                break
        x = to_x
        y = to_y
        motion = told
        if not np.isnan(lines.feed[index]):
            feed = lines.feed[index] * frame.scale
        index += 1
    return Here(index, then, x, y, motion, feed, here.moves + index - here.line)


@compiled
def _note_span(notes: Notes, here: Here, end: int, frame: Frame) -> None:
    """Lines from here to ``end - 1``, and what was in force before them."""
    row = notes.spans[notes.counts[SPANS]]
    row[0] = here.line
    row[1] = end
    row[2] = here.x
    row[3] = here.y
    row[4] = here.motion
    row[5] = here.feed
    row[6] = frame.scale
    row[7] = frame.dx
    row[8] = frame.dy
    notes.counts[SPANS] += 1


@compiled
def _note_pens(notes: Notes, line: int, effect: FloatArray) -> None:
    """The changes of the pen that a step makes."""
    for k in range(int(effect[PENS])):
        row = notes.pens[notes.counts[CHANGES]]
        row[0] = line
        for part in range(3):
            row[1 + part] = effect[1 + 3 * k + part]
        row[4] = np.nan  # neither height nor feed: no lift along an axis
        row[5] = np.nan
        notes.counts[CHANGES] += 1


@compiled
def _note_step(notes: Notes, here: Here, effect: FloatArray) -> None:
    """What a known line does; ``here`` is after it."""
    _note_pens(notes, here.line, effect)
    counts = notes.counts
    if not np.isnan(effect[DWELL]):
        notes.dwells[counts[DWELLS], 0] = here.line
        notes.dwells[counts[DWELLS], 1] = effect[DWELL]
        counts[DWELLS] += 1
    if effect[STROKE] > 0:
        notes.runs[counts[RUNS], 0] = here.moves
        notes.runs[counts[RUNS], 1] = here.line
        notes.runs[counts[RUNS], 2] = here.x
        notes.runs[counts[RUNS], 3] = here.y
        counts[RUNS] += 1
    elif effect[STROKE] < 0:
        notes.ends[counts[ENDS]] = here.moves
        counts[ENDS] += 1


@compiled
def walk(
    lines: Lines, code: AnyInts, table: Table, here: Here, end: int, frame: Frame
) -> tuple[Here, int, Notes]:
    """Walk on until ``end``, or to a line that the table does not know.

    Returns where it stands, the input that stopped it (-1: none), and what happened.
    """
    notes = _room_for(code, here.line, end)
    while here.line < end:
        name = int(code[here.line])
        if name < 0:
            break
        state = here.state
        then = int(table.follow[state, name])
        if then < 0:
            return here, name, notes
        if name == 0:
            there = _glide(lines, here, frame, end, then)
            if there.line == here.line:
                break
            _note_span(notes, here, there.line, frame)
            here = there
        else:
            here = Here(here.line + 1, then, here.x, here.y, here.motion, here.feed, here.moves)
            _note_step(notes, here, table.effect[state, name])
    return here, -1, notes
