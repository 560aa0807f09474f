"""The cheapest plan for one kerf: sets of parts by board, then a cover.

v, r, u and x(T) as in `small_prices`, c(R) as in `small_least`. In a plan that costs
less than g, with M = sum a[k] u[k], for each section T and for each set S on a board or
on part of one, of length x: r x + c(all - S) <= g - 1 + M. The sets on boards are
joined from sections, the least length of each is kept, and those over the line are
dropped. Then boards are taken one after another, each with the first kind that is
still wanted.

Guarantee: what is left out is in no plan cheaper than g, so the cheapest found is the
best, or there is none below g. The search raises g step by step, which costs little,
for the effort grows steeply with it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from nesting.model.tree import Tree
from nesting.solve.boards import small_join as join
from nesting.solve.boards.problem import BoardPart, BoardProblem
from nesting.solve.boards.small_least import Least
from nesting.solve.boards.small_prices import find_prices, limit_of
from nesting.solve.boards.small_sections import families
from nesting.solve.boards.small_sets import MOST_BITS, Effort, Packing, Room, Table

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

_MOST_ENTRIES = 1 << 22
_MOST_COST = 1 << 48
_LISTS = 6
"""Room for lists of sections, in lists of all of them."""
_STEP: Final = 5
"""How far g rises in thousandths of the bound: first, and later by a part more."""
_MARGINS: Final = (60, 120, 250)
"""How far above the bound the sections are looked for that C is made of, likewise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The cheapest plan."""

    cost: int
    boards: tuple[tuple[str, Tree], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Boards:
    """Sets that single boards give."""

    sets: Line
    costs: Line
    """With what their being few is worth."""
    worths: Line
    indices: Line
    extras: Line
    lengths: Line
    group: int
    stock: int
    chains: _Chains


class Search:
    """A search for the cheapest plan; `bound` rises as it goes.

    Parameters
    ----------
    problem
        Whose `kerf_x` and `kerf_y` count.
    kinds
        Its parts with a quantity, each of which fits somewhere.
    layers
        For each of them, by section, how many slices.
    known
        No plan costs less.
    goal
        What a plan has to be cheaper than; None for any.
    effort
        Counts the work.
    plain
        Whether to do without the compiler.
    """

    def __init__(
        self,
        problem: BoardProblem,
        kinds: Sequence[BoardPart],
        layers: Sequence[Mapping[str, int]],
        *,
        known: int,
        goal: int | None,
        effort: Effort,
        plain: bool,
    ) -> None:
        order = sorted(
            range(len(kinds)),
            key=lambda i: (-kinds[i].length * kinds[i].width, kinds[i].id),
        )
        self._problem = problem
        self._kinds = [kinds[i] for i in order]
        self._layers = [layers[i] for i in order]
        self._packing = Packing([kind.quantity for kind in self._kinds])
        self._room = Room(plain)
        self._effort = effort
        parts = sum(self._packing.wanted)
        dearest = max((stock.cost for stock in problem.stock), default=0)
        self._top = parts * dearest + 1
        if goal is not None:
            self._top = min(goal, self._top)
        self.bound = known
        self._parts = parts
        self._dearest = dearest
        self._is_cut_to = 0
        self._best: Found | None = None

    @property
    def bits(self) -> int:
        """How long sets get, with the boards there are few of."""
        few = [limit_of(stock, self._parts) for stock in self._problem.stock]
        return self._packing.bits + sum(
            limit.bit_length() + 1 for limit in few if limit
        )

    @property
    def is_small(self) -> bool:
        """Whether sets, and costs in small shares, fit into numbers."""
        return self.bits <= MOST_BITS and self._dearest * self._parts < _MOST_COST

    def run(self) -> Found | None:
        """Find the cheapest plan below the goal; None if there is none.

        Raises
        ------
        StoppedError
            If it takes too much; `bound` holds nevertheless.
        """
        if self.bound >= self._top:
            return None
        self._groups = families(
            self._problem,
            self._kinds,
            self._packing,
            self._layers,
            self._room,
            self._effort,
        )
        if not self._groups:
            self.bound = self._top
            return None
        self._set_prices()
        for goal in self._goals():
            found = self._below(goal)
            if found is not None and found.cost < self._top:
                self._best, self._top = found, found.cost
            self.bound = max(self.bound, min(goal, self._top))
        return self._best

    def _goals(self) -> Iterator[int]:
        """Yield rising costs to look below; fill c for each."""
        above = 0
        margins = [*_MARGINS]
        one = self._prices.one
        start = max(-(-(self._worth - self._saved) // one), self.bound)
        whole = max(self._worth // one, start, 1)
        while self.bound < self._top:
            above += max(_STEP, above // 6)
            goal = min(self._top, start + max(1, whole * above // 1000))
            while goal > self._is_cut_to:
                most = self._top
                if margins:
                    margin = whole * margins.pop(0) // 1000
                    most = min(most, start + 1 + margin)
                self._fill_least(most)
                self.bound = max(self.bound, min(self._least_cost(), self._top))
            if goal > self.bound:
                yield goal

    # --- prices and the bound of every rest -------------------------------------------

    def _set_prices(self) -> None:
        """Find prices, and what sections hold and cost by them."""
        import numpy as np

        kerf = self._problem.kerf_x
        groups, packing = self._groups, self._packing
        prices = find_prices(groups, packing, kerf, self._top, self._effort)
        self._prices = prices
        worths = np.array(prices.worths, dtype=np.int64)
        self._counts = [packing.counts(each.sets) for each in groups]
        self._worths = [rows @ worths for rows in self._counts]
        self._costs = [
            rate * each.lengths for rate, each in zip(prices.rates, groups, strict=True)
        ]
        self._spare = [
            cost - worth for cost, worth in zip(self._costs, self._worths, strict=True)
        ]
        self._firsts = [np.argmax(rows > 0, axis=1) for rows in self._counts]
        self._worth = sum(
            v * d for v, d in zip(prices.worths, packing.wanted, strict=True)
        )
        self._saved = sum(
            (limit_of(stock, self._parts) or 0) * saving
            for each, savings in zip(groups, prices.savings, strict=True)
            for stock, saving in zip(each.stock, savings, strict=True)
        )

    def _target(self, goal: int) -> int:
        return (goal - 1) * self._prices.one + self._saved

    def _fill_least(self, goal: int) -> None:
        """Find c, of sections that a plan below some cost may have."""
        import numpy as np

        self._is_cut_to = goal
        slack = self._target(goal) - self._worth
        kept = [np.flatnonzero(spare <= slack) for spare in self._spare]
        counts, costs = (
            np.concatenate([each[at] for each, at in zip(lines, kept, strict=True)])
            for lines in (self._counts, self._costs)
        )
        self._least = Least(
            counts,
            costs,
            self._packing.wanted,
            self._prices.worths,
            self._room,
            self._effort,
        )
        self._indices = [self._least.indices(rows) for rows in self._counts]
        self._extras = [self._least.extras(rows) for rows in self._counts]

    def _least_cost(self) -> int:
        """Return what no plan costs less than, by C."""
        least = int(self._least.table[self._least.index])
        if least < 0:
            return self._is_cut_to
        cost = -(-(least + self._least.extra - self._saved) // self._prices.one)
        return min(cost, self._is_cut_to)

    # --- boards and the cover ---------------------------------------------------------

    def _below(self, goal: int) -> Found | None:
        """Find the cheapest plan if it costs less than something, else maybe one."""
        target = self._target(goal)
        boards: list[_Boards] = []
        for group in range(len(self._groups)):
            boards.extend(self._boards(group, target))
        if not boards:
            return None
        return self._cover(boards, target)

    def _frame(self, target: int) -> Any:
        frame = [0] * join.FRAME_SIZE
        frame[join.ROOM] = self._packing.full | self._packing.guard
        frame[join.GUARD] = self._packing.guard
        frame[join.TARGET] = target
        frame[join.WORTH] = self._worth
        frame[join.INDEX] = self._least.index
        frame[join.EXTRA] = self._least.extra
        frame[join.KINDS] = len(self._kinds)
        return self._room.line(frame)

    def _boards(self, group: int, target: int) -> Iterator[_Boards]:
        """Return the sets on boards of a width that a plan within a target may have."""
        import numpy as np

        each, room = self._groups[group], self._room
        rate, kerf = self._prices.rates[group], self._problem.kerf_x
        rests = self._least.rests(self._indices[group], self._extras[group])
        over = self._costs[group] + rests
        at = np.flatnonzero((rests >= 0) & (over <= target))
        if not len(at):
            return
        firsts, spare = self._firsts[group][at], self._spare[group][at]
        order = np.lexsort((at, spare, firsts))
        at = at[order]
        begins = np.searchsorted(firsts[order], np.arange(len(self._kinds) + 1))
        frame = self._frame(target)
        frame[join.RATE] = rate
        frame[join.CAPACITY] = max(stock.length for stock in each.stock) + kerf
        columns = (
            each.sets,
            each.lengths,
            self._worths[group],
            self._indices[group],
            self._extras[group],
            self._spare[group],
            self._firsts[group],
        )
        items = tuple(room.line(column[at]) for column in columns)
        start = (0, 0, 0, 0, 0, -1, -1, 1, len(self._kinds))
        table = Table(room, start, _MOST_ENTRIES)
        lists = room.filled(_LISTS * len(at) + 1)
        lists[: len(at)] = room.line(np.arange(len(at)))
        levels = [room.filled(self._parts + 2) for _ in range(4)]
        levels[2][0] = table.cursor[join.ITEM] = len(at)
        stack = (lists, *levels)
        for steps in table.run(
            "join_along",
            frame,
            items,
            room.line(begins),
            stack,
            last=self._least.table,
        ):
            self._effort.add(steps)
        alive = np.flatnonzero(table.column(7))
        alive = alive[alive > 0]
        sets, lengths, worths, indices, extras = (
            table.column(number)[alive] for number in range(5)
        )
        rests = self._least.rests(indices, extras)
        is_bought = np.zeros(len(alive), dtype=bool)
        by_cost = sorted(
            range(len(each.stock)),
            key=lambda number: (each.stock[number].cost, number),
        )
        for number in by_cost:
            stock = each.stock[number]
            saving = self._prices.savings[group][number]
            limit = limit_of(stock, self._parts)
            if limit == 0:
                continue
            cost = stock.cost * self._prices.one + saving
            fits = (lengths <= stock.length + kerf) & (cost + rests <= target)
            if limit is None:
                fits &= ~is_bought
                is_bought |= fits
            chosen = np.flatnonzero(fits)
            if len(chosen):
                yield _Boards(
                    sets=sets[chosen],
                    costs=np.full(len(chosen), cost, dtype=np.int64),
                    worths=worths[chosen],
                    indices=indices[chosen],
                    extras=extras[chosen],
                    lengths=lengths[chosen],
                    group=group,
                    stock=number,
                    chains=_Chains(table, alive[chosen], at),
                )

    def _cover(self, boards: Sequence[_Boards], target: int) -> Found | None:
        """Find the cheapest boards that hold everything."""
        import numpy as np

        shift, marks = self._packing.bits, []
        frame = self._frame(target)
        for each in boards:
            stock = self._groups[each.group].stock[each.stock]
            limit = limit_of(stock, self._parts)
            marks.append(0)
            if limit is not None:
                marks[-1] = 1 << shift
                guard = 1 << shift + limit.bit_length()
                frame[join.GUARD] |= guard
                frame[join.ROOM] |= guard | limit << shift
                shift += limit.bit_length() + 1
        sets = np.concatenate(
            [each.sets + mark for each, mark in zip(boards, marks, strict=True)]
        )
        costs, worths, indices, extras = (
            np.concatenate([getattr(each, name) for each in boards])
            for name in ("costs", "worths", "indices", "extras")
        )
        origin = np.concatenate(
            [np.full(len(each.sets), n) for n, each in enumerate(boards)]
        )
        within = np.concatenate([np.arange(len(each.sets)) for each in boards])
        order = np.lexsort((origin, costs, sets))
        _, first = np.unique(sets[order], return_index=True)
        chosen = order[first]
        parts = self._packing.counts(sets[chosen])
        firsts = np.argmax(parts > 0, axis=1)
        spare = costs[chosen] - worths[chosen]
        order = np.lexsort((chosen, spare, firsts))
        chosen = chosen[order]
        begins = np.searchsorted(firsts[order], np.arange(len(self._kinds) + 1))
        room = self._room
        fields = tuple(
            room.line(line)
            for line in (
                self._packing.shifts,
                self._packing.masks,
                self._packing.wanted,
            )
        )
        items = tuple(
            room.line(column[chosen])
            for column in (sets, costs, worths, indices, extras)
        )
        items = (*items, room.line(spare[order]))
        table = Table(room, (0, 0, 0, 0, 0, -1, -1, 1, 0), _MOST_ENTRIES)
        for steps in table.run(
            "cover", frame, items, room.line(begins), fields, last=self._least.table
        ):
            self._effort.add(steps)
        best: Found | None = None
        firsts = table.column(8)
        for entry in np.flatnonzero(firsts == len(self._kinds)).tolist():
            taken = []
            while entry > 0:
                taken.append(int(chosen[table.at(6, entry)]))
                entry = table.at(5, entry)
            found = [(boards[origin[at]], int(within[at])) for at in taken[::-1]]
            cost = sum(
                self._groups[each.group].stock[each.stock].cost for each, _ in found
            )
            if best is None or cost < best.cost:
                best = Found(
                    cost=cost, boards=tuple(self._drawn(*each) for each in found)
                )
        return best

    def _drawn(self, boards: _Boards, number: int) -> tuple[str, Tree]:
        """Return a board and how it is cut."""
        sections = self._groups[boards.group]
        stock = sections.stock[boards.stock]
        chosen = boards.chains[number]
        return stock.id, sections.family.tree(sections, chosen, stock.length)


class _Chains:
    """The sections that the sets on boards are joined from."""

    def __init__(self, table: Table, entries: Line, numbers: Line) -> None:
        self._table = table
        self._entries = entries
        self._numbers = numbers

    def __getitem__(self, number: int) -> list[int]:
        entry = int(self._entries[number])
        found = []
        while entry > 0:
            found.append(int(self._numbers[self._table.at(6, entry)]))
            entry = self._table.at(5, entry)
        return found
