"""A search for boards under way: its memory, and the kernels that work on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from nesting.solve.boards import greedy as greedies
from nesting.solve.boards import rows, streams
from nesting.solve.boards import search as searches
from nesting.solve.boards.instance import (
    AREA,
    FAMILY,
    LAYERS,
    LIMIT,
    PENALTY,
    SQUARE,
    BoardInstance,
    board_instance_of,
)
from nesting.solve.boards.streams import Plan
from nesting.solve.boards.tiny import tiny_problem
from nesting.solve.compile import compiled, mark_complete, may_compile
from nesting.solve.kernel import seeded

BOARD_KERNELS: Final = (
    "nesting.solve.kernel",
    "nesting.solve.boards.streams",
    "nesting.solve.boards.rows",
    "nesting.solve.boards.sections",
    "nesting.solve.boards.greedy",
    "nesting.solve.boards.buying",
    "nesting.solve.boards.search",
)
"""Modules of kernels, callees before callers."""

_PLAIN: Final[Mapping[str, Any]] = {
    "start": searches.start,
    "search": searches.search,
    "copy_plan": streams.copy_plan,
}
_VALUE = 100_000  # of the part that is worth most
_ROUND = 4_000


class BoardEngine:
    """One search from one seed: lists at first, arrays once it is compiled.

    Both do the same, so it does not matter when the change is made.
    """

    def __init__(self, instance: BoardInstance, *, seed: int, stream: int = 0) -> None:
        self.instance = instance
        count = max(1, instance.count)
        self._stride = streams.HEAD + streams.MOST_PER_PART * count
        self._kernels = _PLAIN
        self._given: Any = tuple(list(each) for each in instance.given)
        self._best: Any = self._empty()
        self._present: Any = self._empty()
        self._work: Any = self._empty()
        self._volumes: Any = _volumes(instance)
        self._tables: Any = self._make_tables()
        self._scratch: Any = self._make_scratch()
        self._state: Any = [0] * searches.STATE_SIZE
        self._state[searches.LONGEST_ROUND] = _ROUND
        self._rng: Any = [seeded(seed, stream)]
        self._starts = 0

    @property
    def is_compiled(self) -> bool:
        """Whether the compiled kernels are in use."""
        return self._kernels is not _PLAIN

    @property
    def done(self) -> int:
        """Rebuildings so far."""
        return int(self._state[searches.DONE])

    @property
    def rank(self) -> tuple[int, int, int]:
        """How good the best plan is, as the search counts: less is better."""
        tally = self._best[1]
        rest = streams.largest_rest(self._best, self._given, self._stride)
        return (
            int(tally[streams.PRICE] + tally[streams.OUT]),
            int(tally[streams.BOARDS]),
            -int(rest),
        )

    @property
    def boards(self) -> tuple[tuple[int, ...], ...]:
        """The streams of the best plan."""
        found = []
        for b in range(int(self._best[1][streams.BOARDS])):
            start = b * self._stride
            size = int(self._best[0][start])
            found.append(tuple(int(n) for n in self._best[0][start : start + size]))
        return tuple(found)

    def compile(self) -> None:
        """Go on with the compiled kernels."""
        if self.is_compiled:
            return
        for name in (
            "_given",
            "_best",
            "_present",
            "_work",
            "_volumes",
            "_tables",
            "_scratch",
            "_state",
            "_rng",
        ):
            setattr(self, name, _arrays(getattr(self, name)))
        self._kernels = compiled(BOARD_KERNELS)

    def price(self, values: Sequence[int]) -> None:
        """Take values of parts by what they cost, in thousandths.

        What parts cost together is taken for a bound of the boards that hold them.
        """
        most = max(values, default=0)
        if most <= 0:
            return
        base = self._scratch[greedies.BASE]
        count = len(values)
        scale = sum(int(base[p]) * n for p, n in enumerate(self.instance.wanted))
        whole = sum(values[p] * n for p, n in enumerate(self.instance.wanted))
        for p, value in enumerate(values):
            base[count + p] = max(1, value * scale // whole)
        duals = self._scratch[greedies.DUALS]
        for p, value in enumerate(values):
            duals[p] = value // self.instance.scale

    def raise_bound(self, cost: int) -> None:
        """Take a cost that no plan goes below: a search ends where it meets that."""
        self._state[searches.BOUND] = cost // self.instance.scale

    def start(self) -> None:
        """Place everything from nothing; keep it if it is the best."""
        self._kernels["start"](
            self._best,
            self._work,
            self._tables,
            self._given,
            self._scratch,
            self._rng,
            int(self._starts == 0),
        )
        self._starts += 1
        self._kernels["copy_plan"](self._best, self._present, self._stride)

    def search(self, effort: int) -> int:
        """Rebuild for so many steps; return how many there were."""
        return int(
            self._kernels["search"](
                self._best,
                self._present,
                self._work,
                self._tables,
                self._given,
                self._scratch,
                self._state,
                self._rng,
                self._volumes,
                effort,
            )
        )

    def take(self, boards: Sequence[Sequence[int]]) -> None:
        """Go on from a plan, given by its streams."""
        best = self._empty()
        for stream in boards:
            streams.add_board(best, self._given, self._stride, list(stream), 0)
        streams.tally_out(best, self._given)
        self._best = _arrays(best) if self.is_compiled else best
        self._state[searches.ROUND] = self._state[searches.LONGEST_ROUND]

    def adopt(self, other: BoardEngine) -> None:
        """Go on from the best plan of another engine."""
        self._kernels["copy_plan"](other._best, self._best, self._stride)
        self._state[searches.ROUND] = self._state[searches.LONGEST_ROUND]

    def _empty(self) -> Plan:
        given = self.instance.given
        wanted = list(self.instance.wanted)
        tally = [0] * streams.TALLY_SIZE
        tally[streams.OUT] = sum(
            penalty * count
            for penalty, count in zip(given[PENALTY], wanted, strict=True)
        )
        count = max(1, self.instance.count) + 1
        return ([0] * (count * self._stride), tally, list(given[LIMIT]), wanted)

    def _make_tables(self) -> tuple[list[int], ...]:
        items = min(rows.MOST_ITEMS, max(1, len(self.instance.parts)))
        has_square = any(self.instance.given[SQUARE])
        lines = (4 if has_square else 2) * items
        self._table_stride = 2 * self.instance.longest + 1
        counts = [0] * rows.COUNTS_SIZE
        return (
            [0] * items,
            [0] * items,
            [0] * items,
            [0] * lines,
            [0] * lines,
            [0] * lines,
            [0] * lines,
            [0] * (lines * self._table_stride),
            counts,
        )

    def _make_scratch(self) -> tuple[list[int], ...]:
        instance = self.instance
        kinds = len(instance.problem.stock)
        lines = len(self._tables[rows.ITEM])
        across = instance.widest + 1
        base = list(self._volumes)
        most = max(base, default=1)
        base = [max(1, each * _VALUE // most) for each in base]
        measures = [
            self._stride,
            self._table_stride,
            max(instance.given[FAMILY], default=-1) + 1,
        ]
        return (
            [0] * (greedies.MOST_SIZES + 1),
            [0] * (greedies.MOST_SIZES + 1),
            [0] * across,
            [0] * (lines * across),
            [0] * (2 * self._stride),
            [0] * (2 * self._stride),
            [0] * (2 * rows.MOST_ITEMS),
            [0] * 3,
            [1] * kinds,
            measures,
            [1] * len(base),
            [*base, *base],
            [0] * kinds,
            [0] * len(base),
        )


def _volumes(instance: BoardInstance) -> list[int]:
    """Return the area of board that each part takes, less where it may be resawn."""
    count = len(instance.parts)
    layers = instance.given[LAYERS]
    return [
        max(1, area // max(1, *layers[p::count]))
        for p, area in enumerate(instance.given[AREA])
    ]


def _arrays(value: Any) -> Any:
    import numpy as np

    if isinstance(value, tuple):
        return tuple(_arrays(each) for each in value)
    return np.array(value, dtype=np.int64)


def prepare_boards() -> None:
    """Run every kernel of the board search once, compiled if that is possible."""
    engine = BoardEngine(board_instance_of(tiny_problem()), seed=1)
    if may_compile():
        engine.compile()
    engine.start()
    engine.search(10_000)
    if may_compile():
        mark_complete(BOARD_KERNELS)
