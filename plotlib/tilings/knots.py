"""Knots as scribes drew them: a strand round every corner of a plane graph, by Mercat's rule."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from plotlib import checks
from plotlib.arrays import flatten, ragged
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing, as_drawing
from plotlib.errors import InvalidValue
from plotlib.interrupt import interruptible
from plotlib.pen import Pen, as_pen
from plotlib.progress import stage
from plotlib.tilings.nets import Net, Ways, net_of, ways_of

_MOST = 200_000  # edges
_OPEN = 0
_ALONG = 1  # a breakline runs along the edge
_ACROSS = 2
_ASIDE = 0.45  # of half an edge: how far strands keep from a breakline and from its ends
_ROUND = math.sqrt(0.5)  # of half an edge: how far from the rim a strand goes round it
_BLUNT = math.radians(135)  # corners up to here are passed in one sweep
_FULL = math.radians(180)  # from here on strands go round in a full loop
_NEAR = 1e-6  # of an edge: a breakline that passes its middle at no more


def knot(
    graph: Drawing,
    *,
    breaks: Drawing | None = None,
    tolerance: float = flatten.TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """Celtic knots on any plane graph: two strands cross on the middle of every edge, and run on
    round its corners.

    ``interlaced`` makes the bands of it, over and under in turn.

    Parameters
    ----------
    graph : Drawing
        Its edges: the pieces of all strokes between the points where they bend, end or meet, such
        as a few long lines each way or the edges of a tiling.
    breaks : Drawing, optional
        Breaklines: an edge through whose middle one goes is not crossed there; the strands turn
        back from the breakline or run along it. One that lies along the edge parts its two sides,
        one across it parts its two ends.
    tolerance : float, default 0.02
        Greatest distance in mm between a curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke for each component: gcd(m, n) of them on a net of m × n knots, with a
        crossing on each of its 2 m n - m - n edges.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or there are more than 200,000 edges.

    References
    ----------
    C. Mercat, *Les entrelacs des enluminures celtes*, Dossier Pour la Science 15, 1997; G. Bain,
    *Celtic Art: The Methods of Construction*, 1951 (both from memory).

    Examples
    --------
    >>> up = [[(x, 0), (x, 50)] for x in range(0, 40, 10)]
    >>> across = [[(0, y), (30, y)] for y in range(0, 60, 10)]
    >>> len(knot(Drawing(up + across)))  # 4 by 6
    2
    """
    lines = as_drawing("graph", graph)
    walls = None if breaks is None else as_drawing("breaks", breaks)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    held = as_pen(pen)
    with stage("finding the edges"):
        net = interruptible(lambda _: net_of(lines))
    if len(net.ends) > _MOST:
        raise InvalidValue(
            f"graph has {len(net.ends):,} edges, more than {_MOST:,}; take a part of it",
            name="graph",
        )
    if not len(net.ends):
        return Drawing(pen=held)
    with stage("tying knots"):
        states = _states(net, walls)
        return interruptible(lambda _: _tied(net, states, limit, held))


def _states(net: Net, walls: Drawing | None) -> IntArray:
    """Whether each edge is crossed, or which way a breakline goes through its middle."""
    states = np.zeros(len(net.ends), np.int64)
    if walls is None or not len(walls):
        return states
    import shapely

    edge = net.points[net.ends]
    middles = edge.mean(axis=1)
    rows = np.flatnonzero(ragged.segment_lengths(walls.points, walls.offsets) > 0)
    begin = walls.points[rows]
    way = walls.points[rows + 1] - begin
    pieces: Any = shapely.linestrings(np.stack([begin, begin + way], axis=1))
    tree = shapely.STRtree(pieces)
    along = edge[:, 1] - edge[:, 0]
    reach = _NEAR * np.hypot(*along.T)
    met, wall = tree.query(shapely.points(middles), predicate="dwithin", distance=reach)
    dot = np.abs((along[met] * way[wall]).sum(axis=1))
    cross = np.abs(along[met, 0] * way[wall, 1] - along[met, 1] * way[wall, 0])
    states[met] = np.where(dot > cross, _ALONG, _ACROSS)
    return states


def _tied(net: Net, states: IntArray, tolerance: float, pen: Pen) -> Drawing:
    """All strands, each a chain of turns round corners."""
    ways = ways_of(net)
    controls = _turns(net, ways, states)
    points, counts = flatten.cubics(controls.reshape(-1, 4, 2), tolerance)
    offsets = ragged.offsets_of(counts.reshape(-1, 2).sum(axis=1))
    strokes = []
    for chain in _chains(ways, states):
        parts = []
        for number in chain:
            turn, is_back = divmod(number, 2)
            part = points[offsets[turn] : offsets[turn + 1]]
            if is_back:
                part = np.concatenate([part[-2::-1], controls[turn, 0, :1]])
            parts.append(part)
        parts.insert(0, parts[-1][-1:])
        strokes.append(np.concatenate(parts))
    return Drawing(strokes, pen=pen)


def _chains(ways: Ways, states: IntArray) -> list[list[int]]:
    """The strands as lists of turns: ``2 * k`` goes round the corner between the ways ``order[k]``
    and the next one counter-clockwise, ``2 * k + 1`` back.
    """
    count = len(ways.order)
    place = np.empty(count, np.int64)
    place[ways.order] = np.arange(count)
    after = _after(ways)
    before = np.empty(count, np.int64)
    before[after] = np.arange(count)
    reached = np.stack([ways.order[after], ways.order], axis=1)  # forth and back
    state = states[reached // 2]
    far = place[reached ^ 1]
    near = place[reached]
    following = np.empty((count, 2), np.int64)
    # crossing the edge, strands change to the other side and to the other direction
    following[:, 0] = np.where(state[:, 0] == _OPEN, 2 * before[far[:, 0]] + 1, 2 * far[:, 0])
    following[:, 1] = np.where(state[:, 1] == _OPEN, 2 * far[:, 1], 2 * before[far[:, 1]] + 1)
    following[:, 0] = np.where(state[:, 0] == _ACROSS, 2 * near[:, 0], following[:, 0])
    back = 2 * before[near[:, 1]] + 1
    following[:, 1] = np.where(state[:, 1] == _ACROSS, back, following[:, 1])
    return _cycles(following.ravel())


def _cycles(following: IntArray) -> list[list[int]]:
    """The cycles of turns, each once and not backwards as well."""
    onward = following.tolist()
    is_done = [False] * len(onward)
    cycles = []
    for start in range(len(onward)):
        if is_done[start]:
            continue
        cycle = []
        turn = start
        while not is_done[turn]:
            is_done[turn] = True
            is_done[turn ^ 1] = True
            cycle.append(turn)
            turn = onward[turn]
        cycles.append(cycle)
    return cycles


def _after(ways: Ways) -> IntArray:
    """The place in ``order`` of the next way counter-clockwise at the same point."""
    after = np.arange(1, len(ways.order) + 1)
    after[ways.offsets[1:] - 1] = ways.offsets[:-1]
    return after


def _turns(net: Net, ways: Ways, states: IntArray) -> FloatArray:
    """Two cubic Bézier curves (K, 2, 4, 2) round each corner, that meet on its bisector or near."""
    first = ways.order
    second = ways.order[_after(ways)]
    half = 0.5 * (net.points[net.ends[:, 1]] - net.points[net.ends[:, 0]])
    steps = np.stack([half, -half], axis=1).reshape(-1, 2)
    angle = np.arctan2(steps[:, 1], steps[:, 0])
    opening = (angle[second] - angle[first]) % (2 * math.pi)
    opening = np.where(opening < 1e-9, 2 * math.pi, opening)
    length = np.hypot(*steps.T)
    begin, leave = _end(angle[first], length[first], states[first // 2], 1.0)
    end, arrive = _end(angle[second], length[second], states[second // 2], -1.0)
    sweep = _halved(_cubic(begin, leave, end, -arrive))
    far = _distance(opening, states[first // 2]) * length[first]
    far += _distance(opening, states[second // 2]) * length[second]
    bisector = angle[first] + 0.5 * opening
    middle = 0.5 * far[:, None] * _unit(bisector)
    through = _unit(bisector + 0.5 * math.pi)
    round_it = [_cubic(begin, leave, middle, through), _cubic(middle, through, end, -arrive)]
    is_sharp = (opening <= _BLUNT)[:, None, None, None]
    turns = np.where(is_sharp, sweep, np.stack(round_it, axis=1))
    return np.asarray(turns + net.points[ways.origin[first]][:, None, None])


def _end(
    angle: FloatArray, length: FloatArray, state: IntArray, side: float
) -> tuple[FloatArray, FloatArray]:
    """Where a turn begins, seen from its corner, and its direction there; the corner lies to the
    left of an edge where ``side`` is 1.
    """
    along = np.where(state == _ACROSS, 1 - _ASIDE, 1.0)
    aside = np.where(state == _ALONG, _ASIDE, 0.0)
    lean = np.choose(state, [0.25 * math.pi, 0.0, 0.5 * math.pi])
    out = _unit(angle)
    left = side * _unit(angle + 0.5 * math.pi)
    spot = length[:, None] * (along[:, None] * out + aside[:, None] * left)
    return spot, np.sin(lean)[:, None] * left - np.cos(lean)[:, None] * out


def _distance(opening: FloatArray, state: IntArray) -> FloatArray:
    """How far from its corner a turn crosses the bisector of a blunt corner, in halves of the edge:
    on an arc of a circle, on a fuller one where the corner is on a straight rim or juts out.
    """
    arc = np.cos(0.5 * opening) + np.sin(0.5 * opening) * np.tan(0.25 * (opening - 0.5 * math.pi))
    share = np.clip((opening - _BLUNT) / (_FULL - _BLUNT), 0.0, 1.0)
    along = _ASIDE / np.sin(np.clip(0.5 * opening, 0.5 * _BLUNT, 0.5 * math.pi))
    return np.choose(state, [(1 - share) * arc + share * _ROUND, along, 1 - _ASIDE])


def _halved(curve: FloatArray) -> FloatArray:
    """Both halves (K, 2, 4, 2) of cubic Bézier curves (K, 4, 2), by de Casteljau's rule."""
    one = 0.5 * (curve[:, :-1] + curve[:, 1:])
    two = 0.5 * (one[:, :-1] + one[:, 1:])
    middle = 0.5 * (two[:, 0] + two[:, 1])
    first = np.stack([curve[:, 0], one[:, 0], two[:, 0], middle], axis=1)
    second = np.stack([middle, two[:, 1], one[:, 2], curve[:, 3]], axis=1)
    return np.stack([first, second], axis=1)


def _cubic(begin: FloatArray, leave: FloatArray, end: FloatArray, arrive: FloatArray) -> FloatArray:
    """Cubic Bézier curves (K, 4, 2) between two points with directions; an arc of a circle where
    both fit one.
    """
    chord = np.hypot(*(end - begin).T)
    turn = np.arccos(np.clip((leave * arrive).sum(axis=1), -1.0, 1.0))
    handle = (chord / (3 * np.cos(0.25 * turn) ** 2))[:, None]
    return np.stack([begin, begin + handle * leave, end - handle * arrive, end], axis=1)


def _unit(angle: FloatArray) -> FloatArray:
    return np.column_stack([np.cos(angle), np.sin(angle)])
