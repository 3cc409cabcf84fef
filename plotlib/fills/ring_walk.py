"""Nested rings in one stroke: inward like a spiral, with detours where the area branches."""

from __future__ import annotations

from collections import deque

import numpy as np
import shapely

from plotlib.checks import FloatArray
from plotlib.fills.rings import Ring

_TRIES = 24  # places looked at for a detour
_DEEPEST = 200  # detours within detours
_SHORT = 3.0  # spacings; rings no longer than this are drawn whole


def walked(roots: list[Ring], spacing: float) -> list[FloatArray]:
    """Strokes (n, 2) along all rings of some trees, each ring once, with steps of about ``spacing``
    from ring to ring.
    """
    waiting = deque((ring, 0.0) for ring in roots)
    strokes = []
    while waiting:
        ring, begin = waiting.popleft()
        strokes.append(_spiral(ring, begin, spacing, waiting))
    return strokes


def _spiral(ring: Ring, begin: float, gap: float, waiting: deque[tuple[Ring, float]]) -> FloatArray:
    """From ring to ring inward; children that cannot be reached wait for a stroke of their own."""
    parts: list[FloatArray] = []
    while True:
        if not ring.children or ring.length <= _SHORT * gap:
            waiting.extend((child, 0.0) for child in ring.children)
            parts.append(ring.stretch(begin, ring.length))
            return np.concatenate(parts)
        end = begin + ring.length - gap
        onward = _onward(ring, ring.at(end), gap)
        detours = [child for child in ring.children if child is not onward]
        parts.append(
            _with_detours(
                ring, begin, ring.length - (gap if onward else 0.0), detours, gap, waiting, 0
            )
        )
        if onward is None:
            return np.concatenate(parts)
        begin = onward.near(ring.at(end))
        ring = onward


def _onward(ring: Ring, end: FloatArray, gap: float) -> Ring | None:
    """The child to go on with: the first that can be reached from ``end`` in a straight step."""
    for child in ring.children:
        to = child.at(child.near(end))
        far = float(np.hypot(*(to - end)))
        if far <= 1.001 * gap or (far <= 2 * gap and _stays(ring, end, to)):
            return child
    return None


def _stays(ring: Ring, one: FloatArray, other: FloatArray) -> bool:
    step = shapely.linestrings([one, other])
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
    """A stretch of a ring (backwards when the length is negative), left and met again ``gap``
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
            waiting.append((child, 0.0))
        else:
            places.append((place, child))
    places.sort(key=lambda item: item[0])
    parts = []
    done = 0.0
    for place, child in places:
        parts.append(ring.stretch(begin + way * done, way * (place - done)))
        leave = ring.at(begin + way * place)
        meet = ring.at(begin + way * (place + gap))
        parts.append(_around(child, leave, meet, gap, waiting, depth + 1))
        done = place + gap
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
    for k in range(_TRIES):
        point = child.at(child.length * (k + 0.5) / _TRIES)
        place = (way * (ring.near(point) - begin)) % ring.length - gap / 2
        if not gap <= place <= abs(length) - 2 * gap or any(
            abs(place - other) < 2 * gap for other in taken
        ):
            continue
        ends = [ring.at(begin + way * (place + shift)) for shift in (0.0, gap)]
        steps = [float(np.hypot(*(child.at(child.near(end)) - end))) for end in ends]
        across = float(np.hypot(*(child.at(child.near(ends[0])) - child.at(child.near(ends[1])))))
        if (
            max(steps) <= 1.1 * gap
            and across >= 0.5 * gap
            and all(_stays(ring, end, child.at(child.near(end))) for end in ends)
        ):
            return place
    return None
