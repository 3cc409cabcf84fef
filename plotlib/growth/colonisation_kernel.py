"""Compiled: space colonisation, by which veins and branches grow towards sources.

A. Runions et al., *Modeling and Visualization of Leaf Venation Patterns*, SIGGRAPH 2005;
A. Runions, B. Lane, P. Prusinkiewicz, *Modeling Trees with a Space Colonization Algorithm*,
Eurographics Workshop on Natural Phenomena 2007. Each node that is pulled gets a child one step
away, along the mean of the unit vectors to its sources.

Open (:func:`grow_round`): a source pulls the nearest node within the reach, and a source that a
node has come near to pulls no more. Closed (:func:`grow_closed_round`): a source pulls all its
relative neighbours within the reach (nodes for which no other node is nearer both to the source and
to them than the source), and pulls no more once all of them have come near; those are then linked
to it, which closes loops.

Invariants: nodes make a forest in which parents come before children; all edges are ``step`` long;
each source knows the nearest of all nodes within the reach, since each new node tells the sources
round it. A node that would get the same child again, or one that has no room, loses its sources
instead (closed: is stuck, and nothing waits for it), so that every round adds a node or takes a
source away.

``tests/growth/test_veins.py`` tests rounds against the same in plain numpy.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, BoolArray, FloatArray
from plotlib.compiled import compiled

_SAME = 1e-3  # steps: a child is the same again


class Sources(NamedTuple):
    """What pulls."""

    at: FloatArray  # (m, 2)
    is_gone: BoolArray  # (m,) pulls no more
    nearest: AnyInts  # (m,) the nearest node, -1 if none is within the reach
    distance: FloatArray  # (m,) to that
    starts: AnyInts  # (rows * columns + 1,) where the sources of a cell begin in `order`
    order: AnyInts  # (m,)


class Plant(NamedTuple):
    """What grows."""

    at: FloatArray  # (capacity, 2)
    parent: AnyInts  # (capacity,), -1 for roots
    last: AnyInts  # (capacity,) the child that came last, -1 for none
    pulls: FloatArray  # (capacity, 2) scratch, zero between rounds
    is_stuck: BoolArray  # (capacity,) grows no more
    heads: AnyInts  # (rows * columns,) the last node in a cell, -1 for none
    following: AnyInts  # (capacity,) the node before that in the same cell, -1 for none
    links: AnyInts  # (capacity, 2) node and source that are linked
    counts: AnyInts  # (2,) nodes, links


class Rules(NamedTuple):
    step: float  # mm, of a node
    reach: float  # mm, of a source; the side of the cells
    kill: float  # mm, within which a source is reached
    left: float  # of the cells
    bottom: float
    rows: int
    columns: int
    is_closed: bool


class Ground(NamedTuple):
    """Where nodes may be: ``room.py``."""

    is_in: BoolArray  # (rows, columns)
    origin: FloatArray  # (4,)


@compiled
def has_room(ground: Ground, x: float, y: float) -> bool:
    column = int(np.floor((x - ground.origin[0]) / ground.origin[2]))
    row = int(np.floor((y - ground.origin[1]) / ground.origin[3]))
    inside = 0 <= row < ground.is_in.shape[0] and 0 <= column < ground.is_in.shape[1]
    return inside and bool(ground.is_in[row, column])


@compiled
def meet_sources(plant: Plant, sources: Sources, rules: Rules, k: int) -> None:
    """Tell the sources round a new node of it (open)."""
    x = plant.at[k, 0]
    y = plant.at[k, 1]
    column = int((x - rules.left) / rules.reach)
    row = int((y - rules.bottom) / rules.reach)
    for j in range(max(row - 1, 0), min(row + 2, rules.rows)):
        first = j * rules.columns + max(column - 1, 0)
        last = j * rules.columns + min(column + 2, rules.columns)
        for index in range(sources.starts[first], sources.starts[last]):
            s = sources.order[index]
            if sources.is_gone[s]:
                continue
            dx = sources.at[s, 0] - x
            dy = sources.at[s, 1] - y
            distance = np.sqrt(dx * dx + dy * dy)
            if distance <= rules.kill:
                sources.is_gone[s] = True
            elif distance <= rules.reach and distance < sources.distance[s]:
                sources.distance[s] = distance
                sources.nearest[s] = k


@compiled
def add_node(plant: Plant, sources: Sources, rules: Rules, x: float, y: float, parent: int) -> None:
    k = plant.counts[0]
    plant.at[k, 0] = x
    plant.at[k, 1] = y
    plant.parent[k] = parent
    plant.last[k] = -1
    cell = int((y - rules.bottom) / rules.reach) * rules.columns
    cell += int((x - rules.left) / rules.reach)
    plant.following[k] = plant.heads[cell]
    plant.heads[cell] = k
    if parent >= 0:
        plant.last[parent] = k
    plant.counts[0] = k + 1
    if not rules.is_closed:
        meet_sources(plant, sources, rules, k)


@compiled
def grow_round(plant: Plant, sources: Sources, rules: Rules, ground: Ground) -> int:
    """One round; how many nodes came in and sources were given up, 0 when all is done."""
    count = plant.counts[0]
    changes = 0
    for s in range(len(sources.at)):
        k = sources.nearest[s]
        if not sources.is_gone[s] and k >= 0:
            plant.pulls[k, 0] += (sources.at[s, 0] - plant.at[k, 0]) / sources.distance[s]
            plant.pulls[k, 1] += (sources.at[s, 1] - plant.at[k, 1]) / sources.distance[s]
            changes += 1
    for k in range(count):
        px = plant.pulls[k, 0]
        py = plant.pulls[k, 1]
        if px == 0.0 and py == 0.0:
            continue
        plant.pulls[k, 0] = 0.0
        plant.pulls[k, 1] = 0.0
        length = np.sqrt(px * px + py * py)
        x = plant.at[k, 0] + rules.step * px / length
        y = plant.at[k, 1] + rules.step * py / length
        if plant.counts[0] == len(plant.at):
            return 0
        if length < 1e-9 or is_there(plant, rules, k, x, y) or not has_room(ground, x, y):
            give_up(plant, sources, rules, ground, k)
        else:
            add_node(plant, sources, rules, x, y, k)
    return changes


@compiled
def is_there(plant: Plant, rules: Rules, k: int, x: float, y: float) -> bool:
    """Whether a node has that child already."""
    last = plant.last[k]
    if last < 0:
        return False
    dx = plant.at[last, 0] - x
    dy = plant.at[last, 1] - y
    return bool(dx * dx + dy * dy < (_SAME * rules.step) ** 2)


@compiled
def give_up(plant: Plant, sources: Sources, rules: Rules, ground: Ground, k: int) -> None:
    """Where the mean leads nowhere: one step to the nearest source, or the end of all sources of
    this node.
    """
    best = -1
    for s in range(len(sources.at)):
        if sources.nearest[s] != k or sources.is_gone[s]:
            continue
        if best < 0 or sources.distance[s] < sources.distance[best]:
            best = s
    if best < 0:
        return
    share = rules.step / sources.distance[best]
    x = plant.at[k, 0] + share * (sources.at[best, 0] - plant.at[k, 0])
    y = plant.at[k, 1] + share * (sources.at[best, 1] - plant.at[k, 1])
    if has_room(ground, x, y) and not is_there(plant, rules, k, x, y):
        sources.is_gone[best] = True  # whatever comes of it: it is not tried twice
        add_node(plant, sources, rules, x, y, k)
        return
    for s in range(len(sources.at)):
        if sources.nearest[s] == k:
            sources.is_gone[s] = True


@compiled
def grow_closed_round(
    plant: Plant, sources: Sources, rules: Rules, ground: Ground, near: AnyInts, far: FloatArray
) -> int:
    """One round towards all relative neighbours; how many were pulled, 0 when all is done.
    ``near`` and ``far`` are scratch for the nodes round a source and their distances.
    """
    changes = 0
    count = plant.counts[0]
    for s in range(len(sources.at)):
        if sources.is_gone[s]:
            continue
        found = gather(plant, rules, sources.at[s, 0], sources.at[s, 1], near, far)
        changes += pull_neighbours(plant, sources, rules, s, near[:found], far[:found])
    for k in range(count):
        px = plant.pulls[k, 0]
        py = plant.pulls[k, 1]
        plant.pulls[k, 0] = 0.0
        plant.pulls[k, 1] = 0.0
        length = np.sqrt(px * px + py * py)
        if length < 1e-9:
            plant.is_stuck[k] |= px != 0.0 or py != 0.0
            continue
        x = plant.at[k, 0] + rules.step * px / length
        y = plant.at[k, 1] + rules.step * py / length
        if plant.counts[0] == len(plant.at):
            return 0
        if is_there(plant, rules, k, x, y) or not has_room(ground, x, y):
            plant.is_stuck[k] = True
        else:
            add_node(plant, sources, rules, x, y, k)
    return changes


@compiled
def gather(plant: Plant, rules: Rules, x: float, y: float, near: AnyInts, far: FloatArray) -> int:
    """The nodes within the reach, as many as there is room for; how many."""
    found = 0
    column = int((x - rules.left) / rules.reach)
    row = int((y - rules.bottom) / rules.reach)
    for j in range(max(row - 1, 0), min(row + 2, rules.rows)):
        for i in range(max(column - 1, 0), min(column + 2, rules.columns)):
            k = plant.heads[j * rules.columns + i]
            while k >= 0:
                dx = plant.at[k, 0] - x
                dy = plant.at[k, 1] - y
                square = dx * dx + dy * dy
                if square <= rules.reach * rules.reach and found < len(near):
                    near[found] = k
                    far[found] = np.sqrt(square)
                    found += 1
                k = plant.following[k]
    return found


@compiled
def pull_neighbours(
    plant: Plant, sources: Sources, rules: Rules, s: int, near: AnyInts, far: FloatArray
) -> int:
    """Let one source pull its relative neighbours, or be gone and linked to them; how many were
    pulled.
    """
    order = np.argsort(far, kind="mergesort")
    is_mine = np.zeros(len(order), np.bool_)
    waited = 0
    for index in range(len(order)):
        v = order[index]
        if is_relative(plant, near, far, order, index):
            is_mine[v] = True
            if far[v] > rules.kill and not plant.is_stuck[near[v]]:
                waited += 1
    mine = is_mine.sum()
    for v in range(len(near)):
        k = near[v]
        if not is_mine[v]:
            continue
        if waited == 0:
            if far[v] <= rules.kill and mine > 1 and plant.counts[1] < len(plant.links):
                plant.links[plant.counts[1], 0] = k
                plant.links[plant.counts[1], 1] = s
                plant.counts[1] += 1
        elif far[v] > rules.kill and not plant.is_stuck[k]:
            plant.pulls[k, 0] += (sources.at[s, 0] - plant.at[k, 0]) / far[v]
            plant.pulls[k, 1] += (sources.at[s, 1] - plant.at[k, 1]) / far[v]
    sources.is_gone[s] = mine > 0 and waited == 0
    return waited


@compiled
def is_relative(plant: Plant, near: AnyInts, far: FloatArray, order: AnyInts, index: int) -> bool:
    """Whether no nearer node is nearer to this one than the source is."""
    v = order[index]
    k = near[v]
    for earlier in range(index):
        u = order[earlier]
        dx = plant.at[near[u], 0] - plant.at[k, 0]
        dy = plant.at[near[u], 1] - plant.at[k, 1]
        if far[u] < far[v] and dx * dx + dy * dy < far[v] * far[v]:
            return False
    return True
