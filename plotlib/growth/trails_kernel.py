"""Compiled: agents that follow the trails that they leave.

J. Jones, *Characteristics of Pattern Formation and Evolution in Approximations of Physarum
Transport Networks*, Artificial Life 16, 2010. In a step every agent moves one cell ahead and leaves
a deposit there, if no other has that cell; one that cannot move takes a random heading. Then each
senses the trail ahead, on its left and on its right, and turns to the side where it is stronger, or
to either if it is weakest ahead. At last the trail spreads, by the mean of 3 x 3 cells, and decays.

Invariant: no cell holds two agents, none is outside, and none is lost. Agents act in the order of
their numbers, which says nothing about where they are. A cell outside counts for the spreading as
the one that it borders on, so that nothing is lost over the edge.

``tests/growth/test_trails.py`` tests steps against the same in plain Python.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from plotlib.checks import BoolArray, FloatArray
from plotlib.compiled import compiled
from plotlib.growth.random_kernel import State, uniform

DEPOSIT = 1.0  # what an agent leaves in a step


class World(NamedTuple):
    """Cells and agents."""

    is_in: BoolArray  # (rows, columns), False along the rim
    trail: FloatArray  # (rows, columns), 0 outside
    old: FloatArray  # scratch of the same shape
    food: FloatArray  # (rows, columns): what comes to the trail in every step
    is_taken: BoolArray  # (rows, columns): cells with an agent
    at: FloatArray  # (n, 2): x, y in cells
    heading: FloatArray  # (n,) radians
    state: State  # (1,) of random_kernel


class Habits(NamedTuple):
    """How agents live."""

    look: float  # radians between the way ahead and the other sensors
    turn: float  # radians
    offset: float  # cells to the sensors
    keep: float  # the share of the trail that a step leaves


@compiled
def live(world: World, habits: Habits, steps: int) -> None:
    """Take some steps."""
    for _ in range(steps):
        move(world)
        steer(world, habits)
        spread(world, habits.keep)


@compiled
def move(world: World) -> None:
    """Let all agents move, or take a new heading."""
    for k in range(len(world.at)):
        x = world.at[k, 0] + math.cos(world.heading[k])
        y = world.at[k, 1] + math.sin(world.heading[k])
        column = math.floor(x)
        row = math.floor(y)
        old_column = math.floor(world.at[k, 0])
        old_row = math.floor(world.at[k, 1])
        world.is_taken[old_row, old_column] = False
        if world.is_in[row, column] and not world.is_taken[row, column]:
            world.at[k, 0] = x
            world.at[k, 1] = y
            world.trail[row, column] += DEPOSIT
            world.is_taken[row, column] = True
        else:
            world.is_taken[old_row, old_column] = True
            world.heading[k] = 2.0 * math.pi * uniform(world.state)


@compiled
def sensed(world: World, k: int, angle: float, offset: float) -> float:
    """The trail at a sensor; -1 outside, so that agents turn back."""
    column = math.floor(world.at[k, 0] + offset * math.cos(angle))
    row = math.floor(world.at[k, 1] + offset * math.sin(angle))
    rows, columns = world.is_in.shape
    if row < 0 or column < 0 or row >= rows or column >= columns or not world.is_in[row, column]:
        return -1.0
    return float(world.trail[row, column])


@compiled
def steer(world: World, habits: Habits) -> None:
    """Let all agents sense and turn."""
    for k in range(len(world.at)):
        heading = world.heading[k]
        ahead = sensed(world, k, heading, habits.offset)
        left = sensed(world, k, heading + habits.look, habits.offset)
        right = sensed(world, k, heading - habits.look, habits.offset)
        if ahead > left and ahead > right:
            continue
        if ahead < left and ahead < right:
            side = 1.0 if uniform(world.state) < 0.5 else -1.0
        else:
            side = float(int(left > right) - int(left < right))
        world.heading[k] = heading + side * habits.turn


@compiled
def spread(world: World, keep: float) -> None:
    """Spread the trail over 3 x 3 cells, let it decay, and add the food."""
    rows, columns = world.is_in.shape
    world.old[:] = world.trail
    for row in range(1, rows - 1):
        for column in range(1, columns - 1):
            if not world.is_in[row, column]:
                continue
            here = world.old[row, column]
            flow = 0.0
            for j in range(row - 1, row + 2):
                for i in range(column - 1, column + 2):
                    if world.is_in[j, i]:
                        flow += world.old[j, i] - here
            world.trail[row, column] = keep * (here + flow / 9.0) + world.food[row, column]
