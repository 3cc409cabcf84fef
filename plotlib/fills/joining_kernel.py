"""Chords strung together along the outline: there and back, as a hand would hatch."""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled


@compiled
def strung(
    mate: IntArray,
    after: IntArray,
    before: IntArray,
    row: IntArray,
    piece: FloatArray,
    limit: float,
    starts: IntArray,
) -> IntArray:
    """Walk along chords and pieces of outline, using each chord once.

    Parameters
    ----------
    mate : int array (X,)
        The other end of each crossing's chord; itself for crossings without a chord.
    after, before : int array (X,)
        The next and the last crossing along the ring.
    row : int array (X,)
        The row of each crossing.
    piece : float array (X,)
        The length of outline from each crossing to the next.
    limit : float
        Pieces longer than this are not used.
    starts : int array (C,)
        One end of each chord, in the order in which walks may begin.

    Returns
    -------
    int array (C, 3)
        For each chord in drawing order the crossings where it begins and ends, and how it is
        reached: 0 by a lift, 1 along the ring, -1 against it.
    """
    used = np.zeros(len(mate), np.bool_)
    result = np.empty((len(starts), 3), np.int64)
    back = np.empty((len(starts), 3), np.int64)
    done = 0
    for begin in starts:
        if used[begin]:
            continue
        used[begin] = used[mate[begin]] = True
        first = done
        behind = 0
        result[done, 0] = begin
        result[done, 1] = mate[begin]
        result[done, 2] = 0
        done += 1
        head = mate[begin]
        way = 1
        while True:
            near, how = _neighbour(head, way, mate, after, before, row, piece, limit, used)
            if near < 0:
                break
            way = row[near] - row[head] if row[near] != row[head] else way
            used[near] = used[mate[near]] = True
            result[done, 0] = near
            result[done, 1] = mate[near]
            result[done, 2] = how
            done += 1
            head = mate[near]
        tail = begin
        way = -1
        while True:  # what the beginning can still be lengthened by
            near, how = _neighbour(tail, way, mate, after, before, row, piece, limit, used)
            if near < 0:
                break
            way = row[near] - row[tail] if row[near] != row[tail] else way
            used[near] = used[mate[near]] = True
            back[behind, 0] = mate[near]
            back[behind, 1] = near
            back[behind, 2] = -how
            behind += 1
            tail = mate[near]
        if behind:
            result[first + behind : done + behind] = result[first:done].copy()
            for k in range(
                behind
            ):  # each chord is reached in the way in which the one before it was left
                result[first + k, :2] = back[behind - 1 - k, :2]
                result[first + k, 2] = 0 if k == 0 else back[behind - k, 2]
            result[first + behind, 2] = back[0, 2]
            done += behind
    return result[:done]


@compiled
def _neighbour(
    end: int,
    way: int,
    mate: IntArray,
    after: IntArray,
    before: IntArray,
    row: IntArray,
    piece: FloatArray,
    limit: float,
    used: BoolArray,
) -> tuple[int, int]:
    """The best free crossing along the outline from ``end`` and the direction to it: onward, else
    back, else on the same row.
    """
    best = -1
    how = 0
    rank = 0
    for direction in (1, -1):
        near = after[end] if direction == 1 else before[end]
        if used[near] or mate[near] == near or piece[end if direction == 1 else near] > limit:
            continue
        step = row[near] - row[end]
        mine = 2
        if step == way:
            mine = 3
        elif step == 0:
            mine = 1
        if mine > rank:
            best = near
            how = direction
            rank = mine
    return best, how


@compiled
def laid(
    walk: IntArray,
    along: FloatArray,
    height: FloatArray,
    edge: IntArray,
    corners: FloatArray,
    follow: IntArray,
) -> FloatArray:
    """The points (u, v) of a walk: both ends of each chord, and the corners of the outline on the
    way; a row of NaN before each lift.
    """
    count = 0
    for k in range(len(walk)):
        count += 3 if walk[k, 2] == 0 else 2
        if walk[k, 2] != 0:
            count += _corners_between(
                walk[k - 1, 1], walk[k, 0], walk[k, 2], edge, follow, corners, corners, -1
            )
    points = np.empty((count, 2))
    at = 0
    for k in range(len(walk)):
        if walk[k, 2] == 0:
            points[at] = np.nan
            at += 1
        else:
            at += _corners_between(
                walk[k - 1, 1], walk[k, 0], walk[k, 2], edge, follow, corners, points, at
            )
        for end in range(2):
            points[at, 0] = along[walk[k, end]]
            points[at, 1] = height[walk[k, end]]
            at += 1
    return points


@compiled
def _corners_between(
    one: int,
    other: int,
    direction: int,
    edge: IntArray,
    follow: IntArray,
    corners: FloatArray,
    points: FloatArray,
    at: int,
) -> int:
    """How many corners lie between two crossings that are neighbours along a ring; written into
    ``points`` unless ``at`` is -1.
    """
    begin, end = (one, other) if direction == 1 else (other, one)
    count = 0
    corner = edge[begin]
    while corner != edge[end] or (
        count == 0 and begin >= end
    ):  # backwards on one edge means once around the ring
        corner = follow[corner]
        count += 1
    if at >= 0:
        corner = edge[begin]
        for k in range(count):
            corner = follow[corner]
            place = at + k if direction == 1 else at + count - 1 - k
            points[place, 0] = corners[corner, 0]
            points[place, 1] = corners[corner, 1]
    return count
