"""Nested rings in one stroke: inward like a spiral, with detours where the area branches.

A ring is left for the next one on a ramp, a stretch along which the line goes over smoothly. The
ramp of each ring begins where the last one began, so that neighbouring turns keep their distance
there too; only the outermost ring is closed before its ramp begins.
"""

from __future__ import annotations

from collections import deque
from typing import NamedTuple

import numpy as np
import shapely

from plotlib.checks import FloatArray
from plotlib.fills.rings import Ring

_TRIES = 24  # places looked at for a detour
_DEEPEST = 200  # detours within detours
_SHORT = 3.0  # spacings; rings no longer than this are drawn whole
_RAMP = 10.0  # spacings; longer ramps would not look smoother, shorter ones show as a seam
_FURTHER = (2.0, 4.0, 6.0)  # spacings
_SHORTEST_RAMP = 2.0  # spacings
_FARTHEST = 1.6  # spacings from ring to ring on a ramp: around a right corner it is 1.41
# Spacings between the two ways of a detour: with a pen of 1.25 spacings a gap of this size leaves
# no bare disc wider than 0.06 of the pen at the edge.
_DOOR = 0.6


class _Ramp(NamedTuple):
    """The way from one ring to the next: its points (n, 2), where it meets the child, in which
    direction (1 or -1) it follows it, over what length of it, and how far after a whole round of
    the ring it begins.
    """

    child: Ring
    points: FloatArray
    begin: float
    way: float
    length: float
    ahead: float


def walked(roots: list[Ring], spacing: float) -> list[FloatArray]:
    """Strokes (n, 2) along all rings of some trees, each ring once, with ramps from ring to ring
    and steps of about ``spacing`` where there is no room for one.
    """
    waiting = deque((ring, _calm(ring, spacing)) for ring in roots)
    strokes = []
    while waiting:
        ring, begin = waiting.popleft()
        strokes.append(_spiral(ring, begin, spacing, waiting))
    return strokes


def _calm(ring: Ring, gap: float) -> float:
    """A place from which the ring is nearly straight for the length of a ramp: on its longest
    segment if that is long enough, else where it turns least.
    """
    steps = np.diff(ring.far)
    longest = int(np.argmax(steps))
    if steps[longest] >= _RAMP * gap or len(steps) < 8:
        return float(ring.far[longest] + 0.25 * steps[longest])
    way = np.diff(ring.points, axis=0)
    angle = np.arctan2(way[:, 1], way[:, 0])
    turn = np.abs((np.diff(angle, prepend=angle[-1]) + np.pi) % (2 * np.pi) - np.pi)
    turned = np.concatenate([[0.0], np.cumsum(np.append(turn, turn))])
    around = np.append(ring.far[:-1], ring.far[:-1] + ring.length)
    last = np.searchsorted(around, ring.far[:-1] + min(_RAMP * gap, ring.length / 2))
    bends = turned[last] - turned[1 : len(steps) + 1]
    return float(ring.far[int(np.argmin(bends))])


def _spiral(ring: Ring, begin: float, gap: float, waiting: deque[tuple[Ring, float]]) -> FloatArray:
    """From ring to ring inward; children that cannot be reached wait for a stroke of their own."""
    parts: list[FloatArray] = []
    way = 1.0
    lead = 0.0  # length of the ramp that led here, as far as the next one can begin beside it
    while True:
        if not ring.children or ring.length <= _SHORT * gap:
            waiting.extend((child, _calm(child, gap)) for child in ring.children)
            parts.append(ring.stretch(begin, way * ring.length))
            return np.concatenate(parts)
        onward = _onward(ring, begin, way, lead, gap)
        ahead = onward.ahead if onward else 0.0
        around = ring.length + min(ahead, 0.0)
        detours = [child for child in ring.children if not onward or child is not onward.child]
        parts.append(_with_detours(ring, begin, way * around, detours, gap, waiting, 0))
        if onward is None:
            return np.concatenate(parts)
        if ahead > 0:
            parts.append(ring.stretch(begin, way * ahead))
        parts.append(onward.points)
        ring = onward.child
        begin = onward.begin
        way = onward.way
        lead = onward.length if onward.length >= _SHORTEST_RAMP * gap else 0.0


def _onward(ring: Ring, begin: float, way: float, lead: float, gap: float) -> _Ramp | None:
    """The way to the child to go on with: on a ramp if one can be laid, else by a straight step."""
    for child in ring.children:
        if child.length <= _SHORT * gap:
            continue
        for ahead, length in _ramps(ring, lead, gap):
            ramp = _ramp(ring, begin + way * ahead, way * length, child, gap)
            if ramp is not None:
                return ramp._replace(ahead=ahead)
    end = ring.at(begin)
    for child in ring.children:
        place = child.near(end)
        to = child.at(place)
        far = float(np.hypot(*(to - end)))
        if far <= 1.001 * gap or (far <= 2 * gap and _stays(ring, np.array([end, to]))):
            return _Ramp(child, np.array([end, to]), place, 1.0, 0.0, 0.0)
    return None


def _ramps(ring: Ring, lead: float, gap: float) -> list[tuple[float, float]]:
    """Where ramps may begin, counted from the end of a whole round, and how long they may be:
    beside the last one; else after the round; else a little further on, upon the ring.
    """
    longest = min(_RAMP * gap, ring.length / 3)
    beside = [(-lead, min(lead, ring.length / 3))] if lead else []
    after = [(0.0, longest / part) for part in (1, 2, 4)]
    further = [(far, longest / 2) for far in gap * np.array(_FURTHER) if far < ring.length / 4]
    return [*beside, *after, *further]


def _ramp(ring: Ring, begin: float, length: float, child: Ring, gap: float) -> _Ramp | None:
    """A smooth change from a ring to a child over a stretch of both, if they run side by side."""
    count = max(int(np.ceil(2 * abs(length) / gap)), 8)
    share = ring.shares(begin, length, count)
    here = ring.along(begin + share * length)
    places = child.nearest(here)
    there = child.along(places)
    if np.hypot(*(there - here).T).max() > _FARTHEST * gap:
        return None
    half = child.length / 2
    steps = (np.diff(places) + half) % child.length - half
    total = float(steps.sum())
    way = 1.0 if total >= 0 else -1.0
    level = (way * steps >= -1e-6 * gap).all() and np.abs(steps).max() <= _SHORT * gap
    if not level or abs(total) < 0.3 * abs(length):
        return None
    ease = (share * share * (3 - 2 * share))[:, None]
    points = here + ease * (there - here)
    if not _stays(ring, points):
        return None
    return _Ramp(child, points, float(places[-1]), way, abs(total), 0.0)


def _stays(ring: Ring, points: FloatArray) -> bool:
    step = shapely.linestrings(points)
    return float(shapely.length(shapely.difference(step, ring.inside))) < 1e-7


def _with_detours(
    ring: Ring,
    begin: float,
    length: float,
    children: list[Ring],
    gap: float,
    waiting: deque[tuple[Ring, float]],
    depth: int,
) -> FloatArray:
    """A stretch of a ring (backwards when the length is negative), left and met again a little
    further on for each child.
    """
    way = 1.0 if length >= 0 else -1.0
    places: list[tuple[float, Ring]] = []
    for child in children:
        place = (
            _place(ring, begin, length, child, [done for done, _ in places], gap)
            if depth < _DEEPEST
            else None
        )
        if place is None:
            waiting.append((child, _calm(child, gap)))
        else:
            places.append((place, child))
    places.sort(key=lambda item: item[0])
    parts = []
    done = 0.0
    for place, child in places:
        parts.append(ring.stretch(begin + way * done, way * (place - done)))
        leave = ring.at(begin + way * place)
        meet = ring.at(begin + way * (place + _DOOR * gap))
        parts.append(_around(child, leave, meet, gap, waiting, depth + 1))
        done = place + _DOOR * gap
    parts.append(ring.stretch(begin + way * done, way * (abs(length) - done)))
    return np.concatenate(parts)


def _around(
    child: Ring,
    leave: FloatArray,
    meet: FloatArray,
    gap: float,
    waiting: deque[tuple[Ring, float]],
    depth: int,
) -> FloatArray:
    """All of a child from its point nearest to ``leave`` the long way to its point nearest to
    ``meet``, with its own children.
    """
    first = child.near(leave)
    last = child.near(meet)
    ahead = (last - first) % child.length
    length = ahead if ahead > child.length / 2 else ahead - child.length
    return _with_detours(child, first, length, child.children, gap, waiting, depth)


def _place(
    ring: Ring, begin: float, length: float, child: Ring, taken: list[float], gap: float
) -> float | None:
    """How far along the stretch the detour to a child begins, away from other detours; None if
    there is no room.
    """
    if child.length <= _SHORT * gap or ring.length <= 2 * _SHORT * gap:
        return None
    way = 1.0 if length >= 0 else -1.0
    door = _DOOR * gap
    for k in range(_TRIES):
        point = child.at(child.length * (k + 0.5) / _TRIES)
        place = (way * (ring.near(point) - begin)) % ring.length - door / 2
        if not gap <= place <= abs(length) - 2 * gap or any(
            abs(place - other) < 2 * gap for other in taken
        ):
            continue
        ends = ring.along(begin + way * np.array([place, place + door]))
        there = child.along(child.nearest(ends))
        across = float(np.hypot(*(there[0] - there[1])))
        if (
            np.hypot(*(there - ends).T).max() <= 1.1 * gap
            and across >= 0.5 * door
            and all(_stays(ring, np.array(step)) for step in zip(ends, there, strict=True))
        ):
            return place
    return None
