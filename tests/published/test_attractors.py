"""Attractors and automata against published values."""

from __future__ import annotations

from functools import partial
from typing import Any

import numpy as np
import pytest
from shapely import box

from plotlib import growth
from plotlib.growth.attractors import solved
from plotlib.growth.automata_kernel import rows_of
from plotlib.growth.flows import FLOWS
from plotlib.growth.orbit_kernel import follow
from plotlib.progress import Stage
from tests.outside import COMPUTED, MEMORY, Within, published

known = partial(published, module="growth")


@known(
    source="equations of E. N. Lorenz, 1963, and O. E. Rössler, 1976, solved apart",
    kind=COMPUTED,
    column="end",
    abs=1e-5,
)
@pytest.mark.parametrize(
    ("name", "end"),
    [
        ("lorenz", (-9.37857, -8.35703, 29.36233)),
        ("rossler", (-0.5790866, 1.4584584, 0.0371175)),
    ],
)
def test_where_a_system_leads_from_ones_in_one_unit_of_time(
    name: str, end: tuple[float, ...], within: Within
) -> None:
    flow = FLOWS[name]
    way = solved(flow, flow.parameters, np.ones(3), 1.0, Stage("a way"))
    assert way(1.0).tolist() == within.of(list(end))


@known(
    source="E. N. Lorenz, *Deterministic Nonperiodic Flow*, 1963",
    kind=MEMORY,
    printed=(0.0, 0.0, 0.0),
    abs=1e-12,
    claim="rates of the Lorenz system at its fixed points, x = y = ±√(β (ρ − 1)), z = ρ − 1",
)
def test_fixed_points_of_the_lorenz_system(within: Within, printed: Any) -> None:
    lorenz = FLOWS["lorenz"]
    for side in (1, -1):
        still = (side * np.sqrt(72.0), side * np.sqrt(72.0), 27.0)
        assert lorenz.rates(still, lorenz.parameters) == within.of(printed)


@known(
    source="J. C. Sprott, *Chaos and Time-Series Analysis*, 2003",
    kind=MEMORY,
    printed=0.906,
    abs=0.05,
    claim="largest Lyapunov exponent of the Lorenz system",
)
def test_the_largest_exponent_of_the_lorenz_system(within: Within, printed: Any) -> None:
    """By two ways that are brought together again after each unit of time (G. Benettin et al.,
    1980).
    """
    flow = FLOWS["lorenz"]
    at = np.array([-5.0, -6.0, 23.0])
    apart = np.array([1e-6, 0.0, 0.0])
    growths = []
    for _ in range(210):
        pair = [
            solved(flow, flow.parameters, start, 1.0, Stage("a way"))(1.0)
            for start in (at, at + apart)
        ]
        at = pair[0]
        apart = pair[1] - pair[0]
        growths.append(np.log(np.linalg.norm(apart) / 1e-6))
        apart *= 1e-6 / np.linalg.norm(apart)
    assert np.mean(growths[10:]) == within.of(printed)


@known(
    source="maps of M. Hénon, 1976, and Clifford, by hand",
    kind=COMPUTED,
    column="points",
    abs=1e-9,
)
@pytest.mark.parametrize(
    ("kind", "parameters", "start", "points"),
    [
        (2, (1.4, 0.3), (0.0, 0.0), [(1.0, 0.0), (-0.4, 0.3), (1.076, -0.12)]),
        (
            0,
            (-1.4, 1.6, 1.0, 0.7),
            (0.1, 0.1),
            [(0.8506728816, 0.850377305), (-0.5577800063, 1.1241431161)],
        ),
    ],
)
def test_first_points_of_orbits(
    kind: int, parameters: Any, start: Any, points: list[tuple[float, float]], within: Within
) -> None:
    found = np.zeros((len(points), 2))
    follow(kind, np.array(parameters), np.array(start), found)
    assert found.ravel().tolist() == within.of(np.ravel(points).tolist())


@known(
    source="M. Hénon, *A Two-dimensional Mapping with a Strange Attractor*, 1976",
    kind=MEMORY,
    abs=1e-12,
    claim="the fixed point of Hénon's map, x = (b − 1 + √((1 − b)² + 4 a)) / 2 a",
)
def test_fixed_point_of_the_map_of_henon(within: Within) -> None:
    x = (-0.7 + np.sqrt(0.49 + 5.6)) / 2.8
    still = follow(2, np.array([1.4, 0.3]), np.array([x, 0.3 * x]), np.zeros((1, 2)))
    assert still.tolist() == within.of([x, 0.3 * x])


def rows(rule: int, count: int) -> np.ndarray:
    first = np.zeros(2 * count - 1, np.bool_)
    first[count - 1] = True
    return rows_of(rule, np.ones((count, 2 * count - 1), np.bool_), first)


@known(
    source="S. Wolfram, Reviews of Modern Physics 55, 1983",
    kind=MEMORY,
    claim="row n of rule 90 has 2 to the number of ones in n live cells",
)
def test_rows_of_rule_90() -> None:
    assert rows(90, 128).sum(axis=1).tolist() == [2 ** n.bit_count() for n in range(128)]
    triangle = growth.automaton(box(0, 0, 63, 32), rule=90, spacing=1, drawn="runs")
    assert len(triangle) == 3**5


@known(
    source="the rule tables of S. Wolfram, Reviews of Modern Physics 55, 1983, by hand",
    kind=COMPUTED,
    column="numbers",
)
@pytest.mark.parametrize(
    ("rule", "numbers"),
    [(30, [1, 7, 25, 111, 401, 1783, 6409, 28479]), (110, [1, 6, 28, 104, 496, 1568])],
)
def test_rows_of_elementary_rules_as_binary_numbers(rule: int, numbers: list[int]) -> None:
    found = rows(rule, len(numbers))
    middle = len(numbers) - 1
    bits = [found[n, middle - n : middle + n + 1].astype(int) for n in range(len(numbers))]
    assert [int("".join(map(str, row)), 2) for row in bits] == numbers
