"""Union-find against sets of Python."""

import numpy as np
import scipy.sparse
import scipy.sparse.csgraph

from plotlib.planning.union_find_kernel import components, root
from tests.outside import LIBRARY, published


def test_items_share_a_root_if_they_share_a_set() -> None:
    rng = np.random.default_rng(1)
    parent = np.arange(40)
    sets = [{k} for k in range(40)]
    for a, b in rng.integers(0, 40, (30, 2)).tolist():
        parent[root(parent, a)] = root(parent, b)
        both = sets[a] | sets[b]
        for k in both:
            sets[k] = both
        for one in range(40):
            for other in range(40):
                assert (root(parent, one) == root(parent, other)) == (other in sets[one])


def test_the_way_to_the_root_is_halved() -> None:
    parent = np.array([0, 0, 1, 2, 3])
    assert root(parent, 4) == 0
    assert parent.tolist() == [0, 0, 0, 2, 2]


@published(
    module="planning",
    source="connected components of a sparse graph",
    kind=LIBRARY,
    against="scipy",
    claim="parts of a graph and their numbers",
)
def test_components_are_those_of_a_general_library() -> None:
    """scipy.sparse.csgraph numbers the parts by their lowest nodes too."""
    rng = np.random.default_rng(2)
    for count in (0, 1, 2, 30, 400):
        for edges in (0, 1, count // 2, 2 * count):
            one, other = rng.integers(0, max(count, 1), (2, min(edges, count * edges)))
            part, parts = components(one, other, count)
            graph = scipy.sparse.coo_array(
                (np.ones(len(one)), (one, other)), shape=(max(count, 1), max(count, 1))
            )
            wanted, labels = scipy.sparse.csgraph.connected_components(graph, directed=False)
            assert parts == (wanted if count else 0)
            np.testing.assert_array_equal(part, labels[:count])
