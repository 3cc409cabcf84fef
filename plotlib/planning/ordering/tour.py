"""A closed tour through strokes: shortest links first, then local search, then annealed kicks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.lists import Lists, near_lists

if TYPE_CHECKING:
    from plotlib.planning.ordering import tour_kernel as kernel

Tour = NDArray[np.int32]
GoOn = Callable[[], bool] | None
Tell = Callable[[float], object] | None
# Near points tried for the third link. Without it pcb3038 and rl5915 end 0.52 and 0.63 % above the
# optimum, with it 0.25 and 0.32 at equal time; looking deeper gained nothing (measured once, on a
# prototype).
DEEP = 5
LONGEST = 50  # strokes in a run that a kick swaps, of dots
SHORTER = 25  # and of strokes, whose other ends lie further off
FEW = 8  # near ends looked at when paths are joined: those of other paths, so few are enough
STEP = 10_000  # kicks between two looks at the clock: about 0.15 s
ENDS = 100_000  # ends settled between two looks at the clock


@dataclass(frozen=True)
class Annealing:
    """Kicks for each stroke, and the loss that the search bears at the first and after the last, in
    mean links of what it searches.
    """

    kicks: float
    hot: float
    cool: float
    seed: int
    go_on: GoOn = None
    tell: Tell = None  # of the share done

    def part(self, begin: float, end: float, seed: int) -> Annealing:
        """What is done between two shares (0 to 1) of the way."""
        hot, cool = (self.hot + (self.cool - self.hot) * share for share in (begin, end))
        return Annealing(self.kicks * (end - begin), hot, cool, seed, self.go_on)

    def goes_on(self) -> bool:
        """Whether there is time left."""
        return self.go_on is None or self.go_on()

    def done(self, share: float) -> None:
        """Tell whoever wants to know."""
        if self.tell is not None:
            self.tell(share)


def greedy_tour(metric: Metric, xy: FloatArray, lists: Lists) -> Tour:
    """Entry ends of all strokes: the shortest listed links first, then the same for the ends that
    are left, until one path is left.
    """
    from plotlib.planning.ordering.greedy_kernel import candidate_links, join_links, walk_links

    mates = np.full(len(xy), -1, np.int32)
    parent = np.arange(len(xy) // 2, dtype=np.int32)
    known = ~np.isnan(xy[:, 0])
    ends = np.flatnonzero(known)
    while len(ends) > 2:
        one, two, cost = candidate_links(lists.row, lists.near, lists.far, ends)
        if join_links(one, two, np.argsort(cost, kind="stable"), mates, parent) == 0:
            break
        ends = np.flatnonzero(known & (mates < 0))
        left = np.full_like(xy, np.nan)
        left[ends] = xy[ends]
        lists = near_lists(metric, left, searched=FEW, each=0, kept=FEW)
    return walk_links(mates)


class Search:
    """Local search on one tour: its arrays, and the places where the search stands.

    Attributes
    ----------
    seq : Tour
        The tour as it stands.
    best : Tour
        The best tour seen.
    """

    def __init__(self, metric: Metric, xy: FloatArray, lists: Lists, seq: Tour, seed: int) -> None:
        from plotlib.planning.ordering import tour_kernel as kernel

        n = len(seq)
        self.metric = metric
        self.lists = lists
        self.xy = np.ascontiguousarray(xy)
        self.row = lists.row
        if lists.seats is not None:  # the search moves them
            self.xy = self.xy.copy()
            self.row = lists.row.copy()
        self.seq = seq.astype(np.int32)
        self.place = np.empty(n, np.int32)
        self.place[self.seq >> 1] = 2 * np.arange(n) + (self.seq & 1)
        self.mates = np.empty(2 * n, np.int32)
        self.costs = np.empty(2 * n)
        self.best = self.seq.copy()
        self.best_row = self.row[0::2].copy()
        self.queue = np.zeros(2 * n, np.int32)
        self.waiting = np.zeros(2 * n, np.int32)
        self.turned = np.empty(3 * kernel.JOURNAL, np.int32)
        self.cut = np.empty(2 * kernel.JOURNAL, np.int32)
        self.cut_costs = np.empty(kernel.JOURNAL)
        self.seated = np.empty(2 * kernel.JOURNAL, np.int32)
        self.whole = np.zeros(8, np.int64)
        self.real = np.zeros(5)
        self.tour = self._addresses()
        self.whole[kernel.RANDOM] = (seed * 0x9E3779B97F4A7C15 + 0x2545F4914F6CDD1D) % 2**63 or 1
        self.real[kernel.NOW] = self.cost()
        self.real[kernel.BEST] = self.real[kernel.NOW]
        self.real[kernel.LEAST] = 1e-9 * (self.real[kernel.NOW] / n + 1e-300)

    def _addresses(self) -> kernel.Tour:
        """The state as the kernels read it; this search holds the arrays as long as they do."""
        from plotlib.planning.ordering import tour_kernel as kernel

        lists = self.lists
        seats = lists.seats
        return kernel.Tour(
            n=len(self.seq),
            width=lists.near.shape[1],
            deep=min(lists.near.shape[1], DEEP * (2 if lists.twins else 1)),
            longest=LONGEST if lists.twins else SHORTER,
            rings=int(seats is not None),
            xy=self.xy.ctypes.data,
            row=self.row.ctypes.data,
            near=lists.near.ctypes.data,
            far=lists.far.ctypes.data,
            seq=self.seq.ctypes.data,
            place=self.place.ctypes.data,
            mates=self.mates.ctypes.data,
            costs=self.costs.ctypes.data,
            best=self.best.ctypes.data,
            queue=self.queue.ctypes.data,
            waiting=self.waiting.ctypes.data,
            turned=self.turned.ctypes.data,
            cut=self.cut.ctypes.data,
            cut_costs=self.cut_costs.ctypes.data,
            whole=self.whole.ctypes.data,
            real=self.real.ctypes.data,
            places=0 if seats is None else seats.places.ctypes.data,
            port=0 if seats is None else seats.port.ctypes.data,
            span=0 if seats is None else seats.span.ctypes.data,
            best_row=self.best_row.ctypes.data,
            seated=self.seated.ctypes.data,
        )

    def cost(self) -> float:
        """Cost of the tour as it stands."""
        from plotlib.planning.ordering.tour_kernel import tour_cost

        return float(tour_cost(self.metric, self.tour))

    def best_cost(self) -> float:
        """Cost of the best tour seen."""
        from plotlib.planning.ordering.tour_kernel import BEST

        return float(self.real[BEST])

    def descend(self, go_on: GoOn = None) -> None:
        """Improve until no move of the search improves, or no time is left."""
        from plotlib.planning.ordering import tour_kernel as kernel
        from plotlib.planning.ordering.search_kernel import settle

        self.queue[:] = np.arange(len(self.queue))
        self.waiting[:] = 1
        self.whole[kernel.HEAD] = 0
        self.whole[kernel.QUEUED] = len(self.queue)
        self.whole[kernel.TURNED] = self.whole[kernel.CUT] = kernel.JOURNAL
        self.whole[kernel.SEATED] = kernel.JOURNAL
        while self.whole[kernel.QUEUED] > 0:
            self.real[kernel.NOW] -= settle(self.metric, self.tour, ENDS)
            if go_on is not None and not go_on():
                break
        self._emptied()
        if self.real[kernel.NOW] < self.real[kernel.BEST]:
            self.real[kernel.BEST] = self.real[kernel.NOW]
            self.best[:] = self.seq
            self.best_row[:] = self.row[0::2]

    def _emptied(self) -> None:
        """Forget what waits in the queue."""
        from plotlib.planning.ordering.tour_kernel import QUEUED

        if self.whole[QUEUED] > 0:
            self.whole[QUEUED] = 0
            self.waiting[:] = 0

    def anneal(self, work: Annealing) -> None:
        """Kick and settle; ends early where there is no time left."""
        from plotlib.planning.ordering import tour_kernel as kernel
        from plotlib.planning.ordering.search_kernel import anneal

        kicks = int(work.kicks * len(self.seq))
        self.whole[kernel.KICK] = 0
        self.whole[kernel.KICKS] = kicks
        mean = self.cost() / len(self.seq)
        self.real[kernel.HOT] = work.hot * mean
        self.real[kernel.COOL] = work.cool * mean
        step = kicks if work.go_on is None else STEP
        for until in range(step, kicks + step, step) if kicks > 0 else ():
            anneal(self.metric, self.tour, min(until, kicks))
            work.done(min(1.0, until / kicks))
            if not work.goes_on():
                return
