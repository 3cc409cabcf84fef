"""Boards of drill holes, made by seed: holes in rows, grids and rings, with equal steps between
many of them, in clusters far apart. Searches that live on near neighbours are weakest on such
boards, and published instances of the kind (fl1400, u2152, d1655, fl3795 of TSPLIB95) are drilling
plans.

Places are in grid units of 0.001 mm; a step of an inch is 25,400. No hole is drilled twice.
"""

from __future__ import annotations

import numpy as np

TENTH = 2_540  # of an inch, the step of leads: common practice, no source
BOARD = np.array([200_000, 160_000])


def fields(count: int, seed: int) -> np.ndarray:
    """Dense grids and rings of holes far apart, each with a step of its own."""
    rng = np.random.default_rng(seed)

    def one() -> np.ndarray:
        step = int(rng.choice([635, 1_000, 1_270, 2_540]))
        if rng.random() < 0.25:
            return ring(int(rng.integers(24, 96)), step)
        return grid(int(rng.integers(2, 16)), int(rng.integers(8, 40)), step)

    return filled(count, rng, one, step=1_000)


def packages(count: int, seed: int) -> np.ndarray:
    """Packages with two rows of leads, set in lines, and a few holes between them."""
    rng = np.random.default_rng(seed)
    leads = rng.choice([7, 8, 8, 10, 14, 20], count)
    holes: list[np.ndarray] = []
    x = y = k = 0
    while sum(map(len, holes)) < 0.85 * count:
        package = grid(2, int(leads[k]), TENTH) * np.array([1, 3])
        if x + leads[k] * TENTH > BOARD[0]:
            x = 0
            y += int(rng.choice([5, 6])) * TENTH
        holes.append(package + np.array([x, y]))
        x += int(leads[k] + rng.integers(1, 4)) * TENTH
        k += 1
    high = int(np.concatenate(holes)[:, 1].max())
    loose = rng.integers(0, np.array([BOARD[0], high]) // (TENTH // 2), (2 * count, 2))
    return first(np.concatenate([*holes, loose * (TENTH // 2)]), count)


def mixed_board(count: int, seed: int) -> np.ndarray:
    """Strips of leads either way, small grids, and a third of the holes strewn on a fine grid."""
    rng = np.random.default_rng(seed)

    def one() -> np.ndarray:
        if rng.random() < 0.3:
            return grid(int(rng.integers(3, 10)), int(rng.integers(3, 10)), TENTH // 2)
        strip = grid(int(rng.integers(1, 3)), int(rng.integers(4, 25)), TENTH)
        return strip[:, ::-1] if rng.random() < 0.5 else strip

    leads = filled(2 * count // 3, rng, one, step=TENTH // 4)
    loose = rng.integers(0, BOARD // (TENTH // 4), (2 * count, 2)) * (TENTH // 4)
    return first(np.concatenate([leads, loose]), count)


def rows_apart(count: int, seed: int) -> np.ndarray:
    """Clusters of rows with small steps within a row and wide ones between rows, and gaps in
    them: which end of a row comes first is decided rows away.
    """
    rng = np.random.default_rng(seed)

    def one() -> np.ndarray:
        rows = int(rng.integers(3, 24))
        columns = int(rng.integers(8, 50))
        block = grid(rows, columns, 1) * np.array(
            [rng.integers(300, 700), rng.integers(900, 4_000)]
        )
        block += np.repeat(rng.integers(0, 3, rows), columns)[:, None] * np.array([250, 0])
        block = block[rng.random(len(block)) < 0.97]
        return block[:, ::-1] if rng.random() < 0.3 else block

    return filled(count, rng, one, step=1_000)


BOARDS = {"rows": rows_apart, "fields": fields, "packages": packages, "mixed boards": mixed_board}


def grid(rows: int, columns: int, step: int) -> np.ndarray:
    x, y = np.meshgrid(np.arange(columns), np.arange(rows))
    return step * np.stack([x, y], axis=-1).reshape(-1, 2)


def ring(holes: int, step: int) -> np.ndarray:
    turn = 2 * np.pi * np.arange(holes) / holes
    around = holes * step / (2 * np.pi) * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.rint(around).astype(np.int64)


def filled(count: int, rng: np.random.Generator, one, *, step: int) -> np.ndarray:
    """So many holes of patterns set anywhere on a grid."""
    holes: list[np.ndarray] = []
    while len(holes) == 0 or len(np.unique(np.concatenate(holes), axis=0)) < count:
        holes.append(one() + step * rng.integers(0, BOARD // step))
    return first(np.concatenate(holes), count)


def first(holes: np.ndarray, count: int) -> np.ndarray:
    """The first ``count`` holes, each once."""
    kept = np.sort(np.unique(holes, axis=0, return_index=True)[1])
    return holes[kept[:count]].astype(np.int64)
