"""The cheapest plan by some prices: sets of parts by board, then a cover.

v, r, u and x(T) as in `small_prices`, c(R) as in `small_least`. In a plan that costs
less than g, with M = sum a[k] u[k], for each section T and for each set S on a board or
on part of one, of length x: r x + c(all - S) <= g - 1 + M. The sets on boards are
joined from sections, the least length of each is kept, and those over the line are
dropped. Then boards are taken one after another, each with the first kind that is
still wanted.

Guarantee: what is left out is in no plan cheaper than g. So the cheapest found is the
best, if it is cheaper than g; else none is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from nesting.model.tree import Tree
from nesting.solve.boards import small_join as join
from nesting.solve.boards.small_least import Least
from nesting.solve.boards.small_prices import Prices, limit_of
from nesting.solve.boards.small_sections import Sections
from nesting.solve.boards.small_sets import (
    Effort,
    Packing,
    Room,
    Table,
    fields,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

_MOST_ENTRIES = 1 << 21
_LISTS = 6
"""Room for lists of sections, in lists of all of them."""


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


class Covering:
    """A search below a cost.

    Parameters
    ----------
    groups, prices
        What there is for each width, and the prices for that.
    packing
        The sets.
    kerf
        That sections have in their lengths.
    room, effort
        Where the numbers are, and what has been done.
    """

    def __init__(
        self,
        groups: Sequence[Sections],
        prices: Prices,
        packing: Packing,
        kerf: int,
        room: Room,
        effort: Effort,
    ) -> None:
        import numpy as np

        self._groups = groups
        self._prices = prices
        self._packing = packing
        self._kerf = kerf
        self._room = room
        self._effort = effort
        self._parts = sum(packing.wanted)
        worths = np.array(prices.worths, dtype=np.int64)
        self._worths = [each.counts @ worths for each in groups]
        self._costs = [
            rate * each.lengths for rate, each in zip(prices.rates, groups, strict=True)
        ]
        self._spare = [
            cost - worth for cost, worth in zip(self._costs, self._worths, strict=True)
        ]
        self.worth = sum(
            v * d for v, d in zip(prices.worths, packing.wanted, strict=True)
        )
        """Of all parts."""
        self.saved = sum(
            (limit_of(stock, self._parts) or 0) * saving
            for each, savings in zip(groups, prices.savings, strict=True)
            for stock, saving in zip(each.stock, savings, strict=True)
        )
        """By all boards there are few of."""
        self.is_cut_to = 0
        """c knows the sections of plans cheaper than that."""
        self.least = 0
        """What all parts cost at least, in the measure of the prices."""

    @property
    def one(self) -> int:
        """A unit of cost in the measure of the prices."""
        return self._prices.one

    @property
    def linear_cost(self) -> int:
        """What no plan costs less than, by the prices."""
        return -(-(self.worth - self.saved) // self._prices.one)

    @property
    def least_cost(self) -> int:
        """What no plan costs less than, by c."""
        cost = -(-(self.least - self.saved) // self._prices.one)
        return min(cost, self.is_cut_to)

    def _target(self, goal: int) -> int:
        return (goal - 1) * self._prices.one + self.saved

    def fill(self, goal: int) -> None:
        """Find c, of sections that a plan below some cost may have."""
        import numpy as np

        self.is_cut_to = goal
        slack = self._target(goal) - self.worth
        kept = [np.flatnonzero(spare <= slack) for spare in self._spare]
        counts = [each.counts[at] for each, at in zip(self._groups, kept, strict=True)]
        costs = [cost[at] for cost, at in zip(self._costs, kept, strict=True)]
        self._least = Least(
            np.concatenate(counts),
            np.concatenate(costs),
            self._packing.wanted,
            self._prices.worths,
            self._room,
            self._effort,
        )
        self._indices = [self._least.indices(each.counts) for each in self._groups]
        self._extras = [self._least.extras(each.counts) for each in self._groups]
        first = int(self._least.table[self._least.index])
        self.least = first + self._least.extra
        if first < 0:
            self.least = self._target(goal) + 1

    def below(self, goal: int) -> Found | None:
        """Find the cheapest plan if it costs less than something, else maybe one.

        c has to be filled for as much.
        """
        target = self._target(goal)
        boards: list[_Boards] = []
        for group in range(len(self._groups)):
            boards.extend(self._boards(group, target))
        if not boards:
            return None
        return self._cover(boards, target)

    def _frame(self, target: int) -> Any:
        frame = [0] * join.FRAME_SIZE
        own = self._packing.fields
        frame[join.ROOM], frame[join.GUARD] = own.room, own.guard
        frame[join.SINGLES] = own.singles
        frame[join.TARGET] = target
        frame[join.WORTH] = self.worth
        frame[join.INDEX] = self._least.index
        frame[join.EXTRA] = self._least.extra
        frame[join.KINDS] = len(self._packing.wanted)
        return self._room.line(frame)

    def _boards(self, group: int, target: int) -> Iterator[_Boards]:
        """Return the sets on boards of a width that a plan within a target may have."""
        import numpy as np

        each, room = self._groups[group], self._room
        rate, kerf = self._prices.rates[group], self._kerf
        rests = self._least.rests(self._indices[group], self._extras[group])
        over = self._costs[group] + rests
        at = np.flatnonzero((rests >= 0) & (over <= target))
        if not len(at):
            return
        firsts, spare = each.firsts[at], self._spare[group][at]
        order = np.lexsort((at, spare, firsts))
        at = at[order]
        begins = np.searchsorted(
            firsts[order], np.arange(len(self._packing.wanted) + 1)
        )
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
            each.firsts,
        )
        items = tuple(room.line(column[at]) for column in columns)
        start = (0, 0, 0, 0, 0, -1, -1, 1, len(self._packing.wanted))
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

        frame = self._frame(target)
        limits = [
            limit_of(self._groups[each.group].stock[each.stock], self._parts)
            for each in boards
        ]
        few = fields([limit or 0 for limit in limits], self._packing.bits)
        marks = [
            1 << shift if limit else 0
            for limit, shift in zip(limits, few.shifts, strict=True)
        ]
        frame[join.ROOM] |= few.room
        frame[join.GUARD] |= few.guard
        frame[join.SINGLES] |= few.singles
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
        begins = np.searchsorted(
            firsts[order], np.arange(len(self._packing.wanted) + 1)
        )
        room = self._room
        places = tuple(
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
            "cover", frame, items, room.line(begins), places, last=self._least.table
        ):
            self._effort.add(steps)
        best: Found | None = None
        firsts = table.column(8)
        for entry in np.flatnonzero(firsts == len(self._packing.wanted)).tolist():
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
