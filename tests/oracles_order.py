"""A plain annealing of the order of dots, lines and closed runs: slow, and with no idea in common
with the search that it judges.

Metropolis steps (Kirkpatrick, Gelatt and Vecchi, Science 220, 1983) on the plane distance: turn a
range round, put a run elsewhere, start a closed run at another vertex. Near runs are proposed, by
the least distance of their points; nothing else is cached.
"""

from __future__ import annotations

import numba
import numpy as np

NEAR = 12  # runs that a step may bring together
COLD = 0.01  # mean links: warmth at the end


def annealed(points: np.ndarray, offsets: np.ndarray, home: tuple[int, int], **how: float) -> float:
    """Length of the closed way from ``home`` through all runs after so many ``steps`` for each run,
    from ``hot`` mean links down.
    """
    first, xy, closed = [0], [], []
    for begin, end in zip([*offsets[:-1]], [*offsets[1:]], strict=True):
        run = points[begin:end]
        ring = len(run) >= 3 and bool((run[0] == run[-1]).all())
        ways = run[:-1] if ring else run[[0, -1]]
        xy.append(ways)
        closed.append(ring)
        first.append(first[-1] + len(ways))
    xy.append(np.array([home, home]))
    first.append(first[-1] + 2)
    closed.append(False)
    places = np.concatenate(xy).astype(np.float64)
    return float(
        _annealed(
            places,
            np.array(first),
            np.array(closed),
            int(how.get("steps", 20_000) * len(closed)),
            how.get("hot", 1.0),
            np.random.default_rng(int(how.get("seed", 0))),
        )
    )


@numba.njit(cache=False)
def _draw(rng, below):
    return int(rng.random() * below)


@numba.njit(cache=False)
def _near(xy, first):
    runs = len(first) - 1
    near = np.empty((runs, min(NEAR, runs - 1)), np.int64)
    for a in range(runs):
        far = np.full(runs, np.inf)
        for b in range(runs):
            if a != b:
                for p in range(first[a], first[a + 1]):
                    for q in range(first[b], first[b + 1]):
                        d = (xy[p, 0] - xy[q, 0]) ** 2 + (xy[p, 1] - xy[q, 1]) ** 2
                        far[b] = min(far[b], d)
        near[a] = np.argsort(far)[: near.shape[1]]
    return near


@numba.njit(cache=False)
def _way(xy, p, q):
    return np.sqrt((xy[p, 0] - xy[q, 0]) ** 2 + (xy[p, 1] - xy[q, 1]) ** 2)


@numba.njit(cache=False)
def _best_between(xy, first, closed, run, before, after):
    """The state of a run that is cheapest between two points: what it costs, where it is entered
    and left.
    """
    best = np.inf
    enter = leave = 0
    for p in range(first[run], first[run + 1]):
        q = p if closed[run] else first[run] + first[run + 1] - 1 - p
        cost = _way(xy, before, p) + _way(xy, q, after)
        if cost < best:
            best = cost
            enter = p
            leave = q
    return best, enter, leave


@numba.njit(cache=False)
def _annealed(xy, first, closed, steps, hot, rng):
    runs = len(closed)
    near = _near(xy, first)
    tour = np.arange(runs)
    place = np.arange(runs)
    enter = first[:-1].copy()
    leave = np.where(closed, first[:-1], first[1:] - 1)
    total = 0.0
    for k in range(runs):
        total += _way(xy, leave[tour[k - 1]], enter[tour[k]])
    best = total
    scale = np.sqrt((xy[:, 0].max() - xy[:, 0].min()) * (xy[:, 1].max() - xy[:, 1].min()) / runs)
    for step in range(steps):
        warmth = scale * hot * (COLD / hot) ** (step / steps)
        bear = -warmth * np.log(1.0 - rng.random())
        a = _draw(rng, runs)
        i = place[a]
        kind = _draw(rng, 3)
        if kind == 0:  # another vertex
            if not closed[a]:
                continue
            p = first[a] + _draw(rng, first[a + 1] - first[a])
            before, after = leave[tour[i - 1]], enter[tour[(i + 1) % runs]]
            loss = _way(xy, before, p) + _way(xy, p, after)
            loss -= _way(xy, before, enter[a]) + _way(xy, leave[a], after)
            if loss <= bear:
                enter[a] = leave[a] = p
                total += loss
        elif kind == 1:  # put run a beside a near run b, the best way round
            b = near[a, _draw(rng, near.shape[1])]
            if _draw(rng, 2):
                b = tour[place[b] - 1]
            c = tour[(place[b] + 1) % runs]
            if b == a or c == a:
                continue
            before, after = leave[tour[i - 1]], enter[tour[(i + 1) % runs]]
            saved = _way(xy, before, enter[a]) + _way(xy, leave[a], after) - _way(xy, before, after)
            cost, p, q = _best_between(xy, first, closed, a, leave[b], enter[c])
            loss = cost - _way(xy, leave[b], enter[c]) - saved
            if loss <= bear:
                enter[a], leave[a] = p, q
                while tour[place[a] - 1] != b:
                    if (place[b] - i) % runs <= runs // 2:
                        k = place[a]
                        other = tour[(k + 1) % runs]
                        tour[k], tour[(k + 1) % runs] = other, a
                        place[other], place[a] = k, (k + 1) % runs
                    else:
                        k = place[a]
                        other = tour[k - 1]
                        tour[k], tour[k - 1] = other, a
                        place[other], place[a] = k, (k - 1) % runs
                total += loss
        else:  # turn the runs after a up to b round
            b = near[a, _draw(rng, near.shape[1])]
            if _draw(rng, 2):
                a, b = tour[place[a] - 1], tour[place[b] - 1]
            c, d = tour[(place[a] + 1) % runs], tour[(place[b] + 1) % runs]
            if c == b or d == a:
                continue
            loss = _way(xy, leave[a], leave[b]) + _way(xy, enter[c], enter[d])
            loss -= _way(xy, leave[a], enter[c]) + _way(xy, leave[b], enter[d])
            if loss <= bear:
                low, high = place[c], place[b]
                count = (high - low) % runs + 1
                if 2 * count > runs:
                    low, high, count = place[d], place[a], runs - count
                for _ in range((count + 1) // 2):
                    s, t = tour[low], tour[high]
                    tour[low], tour[high] = t, s
                    place[t], place[s] = low, high
                    enter[s], leave[s] = leave[s], enter[s]
                    if s != t:
                        enter[t], leave[t] = leave[t], enter[t]
                    low, high = (low + 1) % runs, (high - 1) % runs
                total += loss
        best = min(best, total)
    check = 0.0
    for k in range(runs):
        check += _way(xy, leave[tour[k - 1]], enter[tour[k]])
    assert abs(check - total) < 1e-6 * (check + scale)
    return best
