"""Mixes of boards: which cost how much, which are too small, which hold everything."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from nesting.model.terms import StoppedBy
from nesting.solve.boards.problem import BoardStock
from nesting.solve.boards.small_cover import Covering, Found
from nesting.solve.boards.small_prices import Prices, Pricing, limit_of
from nesting.solve.boards.small_sections import Sections
from nesting.solve.boards.small_sets import (
    MOST_BITS,
    Effort,
    Packing,
    Room,
    RoomError,
    fields,
)

_MOST_NODES = 300_000
_MOST_MIXES = 5_000
_STEPS_PER_NODE = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """Boards that can be bought."""

    group: int
    stock: BoardStock
    limit: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cut:
    """A row that every mix holds which can hold everything."""

    groups: frozenset[int] | None
    """Only for mixes of these; None: for all."""
    sizes: tuple[int, ...]
    """By kind."""
    needed: int


class Mixes:
    """The mixes of boards for some parts.

    Parameters
    ----------
    groups, prices
        What there is for each width, and prices for that.
    pricing
        Finds other prices.
    packing, kerf, room, effort
        As of `Covering`.
    """

    def __init__(
        self,
        groups: Sequence[Sections],
        prices: Prices,
        pricing: Pricing,
        packing: Packing,
        kerf: int,
        room: Room,
        effort: Effort,
    ) -> None:
        self._groups = groups
        self._pricing = pricing
        self._packing = packing
        self._kerf = kerf
        self._room = room
        self._effort = effort
        parts = sum(packing.wanted)
        self._rack: list[tuple[int, BoardStock]] = []
        self._kinds: list[_Kind] = []
        self._is_plain = True
        for index, each in enumerate(groups):
            for stock in each.stock:
                limit = limit_of(stock, parts)
                if limit == 0:
                    continue
                if stock.cost > 0:
                    most = parts if limit is None else limit
                    self._kinds.append(_Kind(group=index, stock=stock, limit=most))
                elif limit is None:
                    self._is_plain = False
                else:
                    self._rack.append((index, replace(stock, limit=limit)))
        self._kinds = [kind for kind in self._kinds if not self._is_useless(kind)]
        self._kinds.sort(key=lambda kind: (-kind.stock.cost, kind.stock.id))
        self._cuts: list[_Cut] = []
        self._steps: list[int] = []
        self._listed: dict[tuple[int, int], list[tuple[int, tuple[int, ...]]]] = {}
        self._add_cut(prices.worths, dict(enumerate(prices.rates)))

    def _is_useless(self, kind: _Kind) -> bool:
        """Tell whether a longer board costs no more."""
        for number, other in enumerate(self._kinds):
            if other is kind or other.group != kind.group:
                continue
            if other.limit < sum(self._packing.wanted):
                continue
            more = (other.stock.length, -other.stock.cost)
            own = (kind.stock.length, -kind.stock.cost)
            if all(a >= b for a, b in zip(more, own, strict=True)) and (
                more != own or number < self._kinds.index(kind)
            ):
                return True
        return False

    # --- which there are --------------------------------------------------------------

    def are_few(self, least: int, goal: int, steps: float | None) -> bool:
        """Tell whether to try the mixes between costs one by one.

        Parameters
        ----------
        least, goal
            From the one to below the other.
        steps
            That another way of looking takes; None if there is none.
        """
        if not self._is_plain:
            return False
        mixes = self._between(least, goal)
        if mixes is None:
            return False
        if steps is None:
            return True
        tried = self._steps or [int(steps / 4)]
        return len(mixes) * sum(tried) / len(tried) < steps

    def _between(
        self, least: int, goal: int
    ) -> list[tuple[int, tuple[int, ...]]] | None:
        """Return (cost, number of each kind) of mixes that may do, by cost."""
        first = self._cuts[0]
        kinds = self._kinds
        best = [0.0] * (len(kinds) + 1)
        for i in range(len(kinds) - 1, -1, -1):
            best[i] = max(best[i + 1], first.sizes[i] / kinds[i].stock.cost)
        needed = first.needed - 1e-9 * abs(first.needed)
        found: list[tuple[int, tuple[int, ...]]] = []
        counts = [0] * len(kinds)
        nodes = 0

        def visit(i: int, cost: int, size: int) -> bool:
            nonlocal nodes
            nodes += 1
            if nodes > _MOST_NODES or len(found) > _MOST_MIXES:
                return False
            if size + best[i] * (goal - 1 - cost) < needed:
                return True
            if i == len(kinds):
                if cost >= least and not self._is_small(counts):
                    found.append((cost, tuple(counts)))
                return True
            kind = kinds[i]
            done = True
            for count in range(kind.limit + 1):
                more = cost + count * kind.stock.cost
                if more >= goal:
                    break
                counts[i] = count
                done = visit(i + 1, more, size + count * first.sizes[i])
                if not done:
                    break
            counts[i] = 0
            return done

        is_complete = visit(0, 0, 0)
        self._effort.add(nodes * _STEPS_PER_NODE)
        return sorted(found) if is_complete else None

    def _is_small(self, counts: Sequence[int]) -> bool:
        """Tell whether a mix is too small by a row."""
        for cut in self._cuts:
            if cut.groups is not None and not all(
                kind.group in cut.groups
                for kind, count in zip(self._kinds, counts, strict=True)
                if count
            ):
                continue
            held = sum(n * size for n, size in zip(counts, cut.sizes, strict=True))
            if held < cut.needed:
                return True
        return False

    def _add_cut(
        self,
        worths: Sequence[int],
        rates: dict[int, int],
        needed: int | None = None,
    ) -> None:
        """Add a row: boards cost at some rates what the parts are worth, or need.

        Parameters
        ----------
        worths
            Of the kinds of parts.
        rates
            By group.
        needed
            That sections of these groups cost at least for everything; None: what
            everything is worth.
        """
        import numpy as np

        groups = None if needed is None else frozenset(rates)
        rates = dict(rates)
        if needed is None:
            needed = sum(
                v * d for v, d in zip(worths, self._packing.wanted, strict=True)
            )
            for index, each in enumerate(self._groups):
                if index not in rates:
                    values = each.counts @ np.array(worths, dtype=np.int64)
                    rates[index] = int((-(-values // each.lengths)).max())
        for index, stock in self._rack:
            length = stock.length + self._kerf
            needed -= (stock.limit or 0) * rates.get(index, 0) * length
        sizes = tuple(
            rates.get(kind.group, 0) * (kind.stock.length + self._kerf)
            for kind in self._kinds
        )
        self._cuts.append(_Cut(groups=groups, sizes=sizes, needed=needed))

    # --- what they hold ---------------------------------------------------------------

    def tried(self, least: int, goal: int) -> Iterator[tuple[int, Found | None]]:
        """Try the mixes between two costs, the cheapest first.

        Yields
        ------
        (int, Found or None)
            The cost of a mix, cheaper ones being settled, and a plan if it holds one.
        """
        for cost, counts in self._between(least, goal) or []:
            if self._is_small(counts):
                continue
            before = self._effort.steps
            found = self._held(counts)
            self._steps.append(self._effort.steps - before)
            yield cost, found

    def _held(self, counts: Sequence[int]) -> Found | None:
        """Return a plan by a mix and the rack, if there is one."""
        boards: dict[int, list[BoardStock]] = {}
        for index, stock in self._rack:
            boards.setdefault(index, []).append(replace(stock, cost=0))
        for kind, count in zip(self._kinds, counts, strict=True):
            if count:
                stock = replace(kind.stock, cost=0, limit=count)
                boards.setdefault(kind.group, []).append(stock)
        bits = fields(
            [stock.limit or 0 for each in boards.values() for stock in each]
        ).bits
        if self._packing.bits + bits > MOST_BITS:
            raise RoomError(StoppedBy.WORK)
        indices = sorted(boards)
        groups = [
            replace(self._groups[index], stock=tuple(boards[index]))
            for index in indices
        ]
        prices = self._pricing.of_mix(groups, indices)
        rates = dict(zip(indices, prices.rates, strict=True))
        self._add_cut(prices.worths, rates)
        covering = Covering(
            groups, prices, self._packing, self._kerf, self._room, self._effort
        )
        if covering.linear_cost > 0:
            return None
        covering.fill(1)
        if covering.least_cost > 0:
            # c may be less where sections cost more than this mix does in all.
            needed = min(covering.least, covering.saved + 1)
            self._add_cut(prices.worths, rates, needed)
            return None
        found = covering.below(1)
        if found is None:
            return None
        costs = {kind.stock.id: kind.stock.cost for kind in self._kinds}
        return replace(
            found, cost=sum(costs.get(stock, 0) for stock, _ in found.boards)
        )
