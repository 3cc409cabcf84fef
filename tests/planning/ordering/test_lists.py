"""Lists of near ends: what is near, and that clusters know of each other."""

import numpy as np
import pytest

from plotlib.planning.metric import distance_metric
from plotlib.planning.ordering.lists import KEPT, near_lists
from plotlib.planning.ordering.order import Runs, order
from tests.outside import LIBRARY, Within, published

DISTANCE = distance_metric(1.0)


def clusters(count: int, each: int, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    centres = rng.uniform(0, 200_000, (count, 1, 2))
    return np.unique(
        np.rint(centres + rng.normal(0, 1_500, (count, each, 2))).reshape(-1, 2), axis=0
    )


def test_the_first_of_a_list_is_the_nearest_and_lists_are_in_order() -> None:
    points = np.unique(np.random.default_rng(1).integers(0, 3_000, (500, 2)), axis=0).astype(
        np.float64
    )
    lists = near_lists(DISTANCE, np.repeat(points, 2, axis=0))
    apart = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    np.fill_diagonal(apart, np.inf)
    for k in range(len(points)):
        row = lists.row[2 * k]
        assert lists.row[2 * k + 1] == row
        far = lists.far[row][lists.near[row] >= 0]
        assert (np.diff(far) >= 0).all()
        assert far[far > 0][0] == pytest.approx(apart[k].min())
        assert len(set(lists.near[row] >> 1) - {-1, k}) >= KEPT // 2


@pytest.mark.parametrize("each", [100, 400])
def test_lists_lead_out_of_every_cluster(each: int) -> None:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    points = clusters(12, each, 2)
    lists = near_lists(DISTANCE, np.repeat(points, 2, axis=0))
    one, column = np.nonzero(lists.near[:-1] >= 0)
    two = lists.row[lists.near[one, column]]
    graph = coo_array((np.ones(len(one)), (one, two)), shape=(len(points), len(points)))
    assert connected_components(graph, directed=False)[0] == 1


@published(
    module="planning",
    source="tours of a general solver, fast_tsp 0.2.2, 3 s each",
    kind=LIBRARY,
    column="known",
    rel=0.005,
    claim="dots in clusters far apart, in units",
)
@pytest.mark.parametrize(
    ("seed", "known"), [(3, 1_022_924), (4, 1_134_585), (5, 1_151_126), (6, 1_146_980)]
)
def test_dots_in_clusters_far_apart_are_walked_as_a_general_solver_does(
    seed: int, known: float, within: Within
) -> None:
    """Tours of a compiled general solver (fast_tsp 0.2.2, 3 s each). Lists that end in their
    clusters left ours up to 10 % longer.
    """
    points = clusters(10, 100, seed).astype(np.int64)
    found = order(
        Runs(points, np.arange(len(points) + 1)), DISTANCE, home=(0, 0), finish=(0, 0), effort=0.3
    )
    assert within.rel is not None
    assert found.cost < (1 + within.rel) * known


def test_few_points_and_none() -> None:
    assert near_lists(DISTANCE, np.zeros((0, 2))).near.shape[0] == 1
    for count in (1, 2, 15, 17):
        points = np.arange(2.0 * count).reshape(-1, 2) * 100
        near = near_lists(DISTANCE, np.repeat(points, 2, axis=0)).near[:-1]
        assert ((near >= -1) & (near < 2 * count)).all()
