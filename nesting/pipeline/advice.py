"""What to know at the store: what to take instead, what the rack saves, spares.

Each answer is a small plan of its own: the parts of one material are laid out again
without a line of stock, or without what is owned, by counted work. They are no best
plans; a line says what doing without costs at most.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from nesting.model.blank import Need
from nesting.model.job import Material
from nesting.model.plan import Advice, Alternative, Purchase, RackSaving, Spare
from nesting.model.problem import Budget, Problem
from nesting.model.stock import Stock
from nesting.model.terms import Form, Origin, StoppedBy
from nesting.pipeline.one_material import only
from nesting.solve import solve

_WORK = {Form.SHEET: 20_000, Form.STICK: 5_000, Form.BOARD: 1_000}
"""Search steps of one small plan."""
_LONGEST = 3.0
"""Seconds after which a small plan is given up, and those behind it are not begun."""
_SHARE = 0.2
"""Of the time there is, what advice may take."""


def advise(
    problem: Problem,
    needs: Sequence[Need],
    purchases: Sequence[Purchase],
    used: Iterable[str],
    materials: Iterable[Material],
    budget: Budget,
) -> Advice:
    """Return what to know at the store.

    Parameters
    ----------
    problem
        What was planned.
    needs
        With the build that was chosen, alone.
    purchases
        What the plan buys.
    used
        The id of the stock of each layout.
    materials
        They say how many spares are wanted.
    budget
        Its deadline and its cancelling hold; so does its work, where it is little.
    """
    return _Adviser(problem, needs, purchases, used, budget).advise(materials)


def before_advice(budget: Budget) -> Budget:
    """Return a budget that leaves time for advice."""
    if budget.deadline is None:
        return budget
    there = max(0.0, budget.deadline - time.monotonic())
    return replace(budget, deadline=budget.deadline - min(_LONGEST, _SHARE * there))


class _Adviser:
    def __init__(
        self,
        problem: Problem,
        needs: Sequence[Need],
        purchases: Sequence[Purchase],
        used: Iterable[str],
        budget: Budget,
    ) -> None:
        self.problem = problem
        self.needs = needs
        self.purchases = purchases
        self.stock = {stock.id: stock for stock in problem.stock}
        self.used = Counter(used)
        self.budget = budget
        self.until = time.monotonic() + _LONGEST
        if budget.deadline is not None:
            self.until = min(self.until, budget.deadline)

    def advise(self, materials: Iterable[Material]) -> Advice:
        """Return all advice, as far as the time goes."""
        rates = {m.name: m.spare_percent for m in materials if m.spare_percent}
        return Advice(
            alternatives=tuple(self._alternatives()),
            rack=tuple(self._rack()),
            spares=tuple(_spares(self.purchases, self.stock, rates)),
        )

    def _alternatives(self) -> Iterator[Alternative]:
        """Yield what to take where a line of the shopping list is not to be had."""
        for line in self.purchases:
            left = [s for s in self._of(line.material) if s.id != line.stock]
            tried = self._plan(line.material, left)
            if tried is None:
                return
            bought, unplaced = tried
            yield Alternative(
                material=line.material,
                missing=line.stock,
                instead=bought,
                more_cents=self._more(line.material, bought),
                unplaced=unplaced,
            )

    def _rack(self) -> Iterator[RackSaving]:
        """Yield what would have to be bought if nothing were owned."""
        owned: Counter[str] = Counter()
        for name, count in self.used.items():
            stock = self.stock[name]
            if stock.origin is not Origin.STORE:
                owned[stock.material] += count
        for material, pieces in owned.items():
            left = [s for s in self._of(material) if s.origin is Origin.STORE]
            tried = self._plan(material, left)
            if tried is None:
                return
            bought, unplaced = tried
            yield RackSaving(
                material=material,
                pieces=pieces,
                saved_cents=self._more(material, bought),
                unplaced=unplaced,
            )

    def _of(self, material: str) -> list[Stock]:
        return [s for s in self.problem.stock if s.material == material]

    def _plan(
        self, material: str, stock: Sequence[Stock]
    ) -> tuple[tuple[Purchase, ...], int] | None:
        """Return what is bought, and how many blanks find no place; None: no time.

        A plan that the clock or the maker cut short is none: it would not repeat, and
        what it leaves out might have found a place.
        """
        if self.budget.cancelled() or time.monotonic() >= self.until:
            return None
        form = next(s.form for s in self.problem.stock if s.material == material)
        small = only(self.problem, self.needs, material)
        small = replace(small, stock=tuple(stock), prefer=None)
        work = min(_WORK[form], max(1, self.budget.work // 10))
        limit = replace(self.budget.quiet(), work=work, deadline=self.until)
        result = solve(small, limit)
        if result.stopped_by in (StoppedBy.CLOCK, StoppedBy.CANCELLED):
            return None
        unplaced = sum(miss.quantity for miss in result.unplaced)
        counts = Counter(tree.stock for tree in result.trees)
        bought = tuple(
            Purchase(
                material=material,
                stock=each.id,
                qty=counts[each.id],
                cost_cents=_cost(each, counts[each.id]),
            )
            for each in stock
            if each.origin is Origin.STORE and counts[each.id]
        )
        return bought, unplaced

    def _more(self, material: str, bought: Sequence[Purchase]) -> int | None:
        """Return what it costs more than the plan; None where a price is not known."""
        planned = [line for line in self.purchases if line.material == material]
        costs = [line.cost_cents for line in (*bought, *planned)]
        if None in costs:
            return None
        return _sum(bought) - _sum(planned)


def _spares(
    purchases: Sequence[Purchase], stock: dict[str, Stock], rates: dict[str, int]
) -> Iterator[Spare]:
    """Yield what to take more, of each section the piece that is bought most."""
    lines: dict[tuple[str, str], list[Purchase]] = {}
    for line in purchases:
        section = stock[line.stock].section
        lines.setdefault((line.material, section), []).append(line)
    for (material, _), bought in lines.items():
        if material not in rates:
            continue
        count = sum(line.qty for line in bought)
        most = max(bought, key=lambda line: line.qty)
        extra = -(-count * rates[material] // 100)
        yield Spare(
            material=material,
            stock=most.stock,
            qty=extra,
            cost_cents=_cost(stock[most.stock], extra),
        )


def _cost(stock: Stock, count: int) -> int | None:
    return None if stock.price_cents is None else stock.price_cents * count


def _sum(lines: Iterable[Purchase]) -> int:
    return sum(line.cost_cents or 0 for line in lines)
