"""Compiled: the largest circle that fits, again and again, each against those before.

On a grid of pixels stands how far each is from what is nearest to it, a piece of the outline or a
circle, and which one that is. A circle begins at the pixel that is farthest from everything. From
there it is moved until it touches what lies round it: each step takes the distances as they grow or
fall along the ways to their nearest points, and finds the place where three of them are equal and
largest (Newton's iteration for the problem of Apollonius). Then the pixels that are nearer to the
new circle than to anything else get it as their nearest.

Where three circles touch each other, the one in their gap is that of R. Descartes (1643) and F.
Soddy, *The kiss precise*, Nature 137, 1936. Invariant: ``far`` is the distance of a pixel to the
thing ``nearest`` to it, and no smaller for any other, but for the pixel's size at the outline.

Lengths are in mm. ``tests/fills/test_circles.py`` tests that circles touch and never overlap;
``tests/published/test_gaskets.py`` their curvatures.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled

BLOCK = 16  # pixels along a block, of which the farthest pixel is known
CONTACTS = 16  # things looked at where a circle begins
_STEPS = 60  # of Newton's iteration; four to six are usual
_EXACT = 1e-14  # of the radius: the gain of the last step
_SMALL = 1e-9  # pixels: steps that are not worth while
_ALIKE = 1e-12  # two ways in which distances grow, squared, that are the same
_EVEN = 1e-11  # of the radius: things that are as far
_OPPOSITE = -1.0 + 1e-9  # the cosine between the ways of parallel sides
_WALK = 5_000  # pixels along parallel sides
_HALVINGS = 60


class Plate(NamedTuple):
    """What is free, and what is there."""

    far: FloatArray  # (rows, columns) mm to the nearest thing, below 0 outside
    nearest: AnyInts  # (rows, columns): number of a piece, or of a circle after the pieces
    blocks: FloatArray  # (block rows, block columns): the farthest of each block
    corner: FloatArray  # (3,) mm: x and y of the first pixel's middle, side of a pixel
    pieces: FloatArray  # (m, 4): x0, y0, x1, y1 of the outline
    found: FloatArray  # (capacity, 3): x, y, radius
    counts: AnyInts  # (2,): circles, pixels looked at
    contacts: FloatArray  # (CONTACTS, 3) scratch: distance and the way that it grows
    names: AnyInts  # (CONTACTS,) scratch: the things themselves


@compiled
def pack(plate: Plate, least: float, budget: int) -> float:
    """Put in circles until they are smaller than ``least``, or more pixels than the budget were
    looked at; the last radius, 0 at the end.
    """
    plate.counts[1] = 0
    radius = least
    while plate.counts[1] < budget:
        row, column, far = farthest(plate)
        k = plate.counts[0]
        if far < least - plate.corner[2] or k == len(plate.found):
            return 0.0
        x, y, radius = settled(plate, row, column)
        if radius < least:
            forget(plate, row, column)
            continue
        x, y, radius = slid(plate, x, y, radius)
        plate.found[k, 0] = x
        plate.found[k, 1] = y
        plate.found[k, 2] = radius
        plate.counts[0] = k + 1
        put(plate, k, far)
    return radius


@compiled
def forget(plate: Plate, row: int, column: int) -> None:
    """Take out pixels from which no circle came that is large enough: another one that is has its
    middle farther away.
    """
    rows, columns = plate.far.shape
    bottom = max(row - 1, 0)
    top = min(row + 1, rows - 1)
    left = max(column - 1, 0)
    right = min(column + 1, columns - 1)
    plate.far[bottom : top + 1, left : right + 1] = -1.0
    refresh(plate, bottom, left, top, right)


@compiled
def farthest(plate: Plate) -> tuple[int, int, float]:
    """The pixel that is farthest from everything, the first of several."""
    best = -1.0
    block_row = 0
    block_column = 0
    for j in range(plate.blocks.shape[0]):
        for i in range(plate.blocks.shape[1]):
            if plate.blocks[j, i] > best:
                best = plate.blocks[j, i]
                block_row = j
                block_column = i
    rows, columns = plate.far.shape
    for row in range(block_row * BLOCK, min((block_row + 1) * BLOCK, rows)):
        for column in range(block_column * BLOCK, min((block_column + 1) * BLOCK, columns)):
            if plate.far[row, column] == best:
                return row, column, best
    return 0, 0, -1.0


@compiled
def refresh(plate: Plate, bottom: int, left: int, top: int, right: int) -> None:
    """Look again at the blocks of pixels from one corner to the other."""
    rows, columns = plate.far.shape
    for j in range(bottom // BLOCK, top // BLOCK + 1):
        for i in range(left // BLOCK, right // BLOCK + 1):
            best = -1.0
            for row in range(j * BLOCK, min((j + 1) * BLOCK, rows)):
                for column in range(i * BLOCK, min((i + 1) * BLOCK, columns)):
                    best = max(best, plate.far[row, column])
            plate.blocks[j, i] = best


@compiled
def put(plate: Plate, k: int, most: float) -> None:
    """Let the pixels near circle ``k`` know it; none is farther than ``most`` from anything."""
    x = plate.found[k, 0]
    y = plate.found[k, 1]
    radius = plate.found[k, 2]
    left, bottom, right, top = window(plate, x, y, radius + most + plate.corner[2])
    for row in range(bottom, top + 1):
        for column in range(left, right + 1):
            dx = plate.corner[0] + column * plate.corner[2] - x
            dy = plate.corner[1] + row * plate.corner[2] - y
            reach = plate.far[row, column] + radius
            if reach > 0.0 and dx * dx + dy * dy < reach * reach:
                plate.far[row, column] = math.sqrt(dx * dx + dy * dy) - radius
                plate.nearest[row, column] = len(plate.pieces) + k
    plate.counts[1] += (right - left + 1) * (top - bottom + 1)
    refresh(plate, bottom, left, top, right)


@compiled
def window(plate: Plate, x: float, y: float, reach: float) -> tuple[int, int, int, int]:
    """The columns and rows within reach of a place: left, bottom, right, top."""
    rows, columns = plate.far.shape
    left = max(0, math.floor((x - reach - plate.corner[0]) / plate.corner[2]))
    right = min(columns - 1, math.ceil((x + reach - plate.corner[0]) / plate.corner[2]))
    bottom = max(0, math.floor((y - reach - plate.corner[1]) / plate.corner[2]))
    top = min(rows - 1, math.ceil((y + reach - plate.corner[1]) / plate.corner[2]))
    return left, bottom, max(left, right), max(bottom, top)


@compiled
def away(plate: Plate, thing: int, x: float, y: float) -> tuple[float, float, float]:
    """How far a place is from a thing, and along which way that grows."""
    pieces = len(plate.pieces)
    if thing >= pieces:
        circle = plate.found[thing - pieces]
        dx = x - circle[0]
        dy = y - circle[1]
        radius = circle[2]
    else:
        dx = x - plate.pieces[thing, 0]
        dy = y - plate.pieces[thing, 1]
        way_x = plate.pieces[thing, 2] - plate.pieces[thing, 0]
        way_y = plate.pieces[thing, 3] - plate.pieces[thing, 1]
        along = (dx * way_x + dy * way_y) / (way_x * way_x + way_y * way_y)
        along = min(max(along, 0.0), 1.0)
        dx -= along * way_x
        dy -= along * way_y
        radius = 0.0
    far = math.sqrt(dx * dx + dy * dy)
    if far < 1e-300:
        return -radius, 0.0, 0.0
    return far - radius, dx / far, dy / far


@compiled
def settled(plate: Plate, row: int, column: int) -> tuple[float, float, float]:
    """The circle from a pixel, moved until it can grow no more: x, y, radius."""
    x = plate.corner[0] + column * plate.corner[2]
    y = plate.corner[1] + row * plate.corner[2]
    reach = 3.0 * plate.corner[2]
    count = gather(plate, x, y, plate.far[row, column] + 2.0 * reach)
    radius = nearest_noted(plate, count)
    for _ in range(_STEPS):
        dx, dy, gain = improved(plate, count, reach)
        if gain <= _EXACT * radius or reach < _SMALL * plate.corner[2]:
            break
        count = gather(plate, x + dx, y + dy, radius + 2.0 * reach)
        grown = nearest_noted(plate, count)
        if grown > radius:
            x += dx
            y += dy
            radius = grown
        else:
            reach *= 0.25
            count = gather(plate, x, y, radius + 2.0 * reach)
    return x, y, radius


@compiled
def nearest_noted(plate: Plate, count: int) -> float:
    """How far the nearest of the things noted is from where they were noted."""
    least = math.inf
    for k in range(count):
        least = min(least, plate.contacts[k, 0])
    return least if count else 0.0


@compiled
def clearance(plate: Plate, count: int, x: float, y: float) -> float:
    """How far a place is from the things noted."""
    least = math.inf
    for k in range(count):
        least = min(least, away(plate, plate.names[k], x, y)[0])
    return least if count else 0.0


@compiled
def slid(plate: Plate, x: float, y: float, radius: float) -> tuple[float, float, float]:
    """A circle between two parallel things, moved along them until it touches a third."""
    side = plate.corner[2]
    count = gather(plate, x, y, radius * (1.0 + _EVEN))
    if count != 2 or plate.contacts[0, 1:] @ plate.contacts[1, 1:] > _OPPOSITE:
        return x, y, radius
    way_x = -plate.contacts[0, 2]
    way_y = plate.contacts[0, 1]
    for _ in range(_WALK):
        count = gather(plate, x, y, radius + 3.0 * side)
        if clearance(plate, count, x + side * way_x, y + side * way_y) < radius * (1.0 - _EVEN):
            break
        x += side * way_x
        y += side * way_y
    low = 0.0
    high = side
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if clearance(plate, count, x + middle * way_x, y + middle * way_y) < radius * (1.0 - _EVEN):
            high = middle
        else:
            low = middle
    x += low * way_x
    y += low * way_y
    return x, y, clearance(plate, count, x, y)


@compiled
def gather(plate: Plate, x: float, y: float, radius: float) -> int:
    """Note the things that are nearer than ``radius`` to a place, each once: how many."""
    left, bottom, right, top = window(plate, x, y, radius)
    count = 0
    last = -1
    plate.counts[1] += (right - left + 1) * (top - bottom + 1)
    for row in range(bottom, top + 1):
        for column in range(left, right + 1):
            thing = plate.nearest[row, column]
            if thing == last or thing < 0:
                continue
            last = thing
            far, dx, dy = away(plate, thing, x, y)
            if far < radius:
                count = noted(plate, count, thing, far, dx, dy)
    return count


@compiled
def noted(plate: Plate, count: int, thing: int, far: float, dx: float, dy: float) -> int:
    """Note a thing; where there are too many, the nearer one of it and what lies most nearly in the
    same direction is kept, so that all directions are. How many there are.
    """
    alike = 0
    most = -2.0
    for k in range(count):
        if plate.names[k] == thing:
            return count
        cosine = plate.contacts[k, 1] * dx + plate.contacts[k, 2] * dy
        if cosine > most:
            most = cosine
            alike = k
    place = count
    if count == CONTACTS:
        if far >= plate.contacts[alike, 0]:
            return count
        place = alike
    plate.names[place] = thing
    plate.contacts[place, 0] = far
    plate.contacts[place, 1] = dx
    plate.contacts[place, 2] = dy
    return min(count + 1, CONTACTS)


@compiled
def improved(plate: Plate, count: int, reach: float) -> tuple[float, float, float]:
    """The step within reach after which the least distance is largest, were they linear: one that
    makes two or three of them equal. dx, dy and the gain.
    """
    a = plate.contacts
    best = (0.0, 0.0, 0.0)
    for i in range(count):
        for j in range(i + 1, count):
            ux = a[j, 1] - a[i, 1]
            uy = a[j, 2] - a[i, 2]
            square = ux * ux + uy * uy
            if square < _ALIKE:
                continue
            u = a[i, 0] - a[j, 0]
            best = better(plate, count, reach, u * ux / square, u * uy / square, best)
            for side in (-reach, reach):  # along the line between both
                dx = side * uy / math.sqrt(square)
                dy = -side * ux / math.sqrt(square)
                best = better(plate, count, 1.5 * reach, dx, dy, best)
            for k in range(j + 1, count):
                vx = a[k, 1] - a[i, 1]
                vy = a[k, 2] - a[i, 2]
                area = ux * vy - uy * vx
                if abs(area) > _ALIKE:
                    v = a[i, 0] - a[k, 0]
                    dx = (u * vy - v * uy) / area
                    dy = (ux * v - vx * u) / area
                    best = better(plate, count, reach, dx, dy, best)
    return best


@compiled
def better(
    plate: Plate,
    count: int,
    reach: float,
    dx: float,
    dy: float,
    best: tuple[float, float, float],
) -> tuple[float, float, float]:
    """The better one of a step, if it is within reach, and the best one so far."""
    if dx * dx + dy * dy > reach * reach:
        return best
    a = plate.contacts
    before = math.inf
    after = math.inf
    for k in range(count):
        before = min(before, a[k, 0])
        after = min(after, a[k, 0] + a[k, 1] * dx + a[k, 2] * dy)
    if after - before > best[2]:
        return dx, dy, after - before
    return best
