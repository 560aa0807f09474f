"""Sheets with damaged zones: cut into clear rectangles first, and then searched.

Each clear rectangle of a dissection (`clear`) is a sheet of its own to the search. The
largest one of a sheet carries the sheet's cost, the others cost nothing; as many of
each are offered as there are sheets. Where a sheet is free that is exact. Where it is
not, the search could take side rectangles of sheets whose largest one it does not use:
so it is asked with none of them first, then with those of as many sheets as may do, at
last with those of one sheet less than were used. What counts is the cost of the sheets
that are really used.

Several dissections are tried on a part of the work, the best goes on with the rest.

Guarantee: no part lies on damage. The bound is that of the same sheets without any
damage, on which every plan for these could be cut as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.model.problem import Budget
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Grain, Plane, StoppedBy
from nesting.model.tree import SheetTree, Tree
from nesting.solve.clear import (
    NOTHING,
    Dissection,
    Rect,
    dissections,
    is_damaged,
    usable,
)
from nesting.solve.shares import share_of, what_ended
from nesting.solve.sheets import solve_sheets
from nesting.solve.sheets.bounds import full_bound
from nesting.solve.sheets.confined import confined_bound
from nesting.solve.sheets.linear import linear_bound
from nesting.solve.sheets.plant import leaves
from nesting.solve.sheets.problem import (
    SheetAnswer,
    SheetPart,
    SheetProblem,
    SheetStock,
)

_MOST_TRIED: Final = 4
"""Choices of dissections."""
_TRIAL: Final = 0.1
"""The share of the work that each choice gets at first."""
_BOUND_SHARE: Final = 0.1

Choice = Mapping[str, Dissection]
"""A dissection of each damaged stock, by its id."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """What one search came to."""

    sheets: tuple[tuple[str, SheetTree], ...]
    unplaced: tuple[tuple[str, int], ...]
    missing: int
    """What is unplaced counts, in area and weight."""
    cost: int
    used: Mapping[str, int]
    """Sheets of each damaged stock."""
    stopped_by: StoppedBy
    work: int

    @property
    def rank(self) -> tuple[int, int]:
        return self.missing, self.cost


class Damaged:
    """One problem with damaged stock.

    Parameters
    ----------
    question
        As if nothing were damaged.
    stock
        What its sheets really are.
    can_cut
        Tells whether the saws of the shop cut a tree.
    keeps
        Tells whether a rectangle is worth keeping where nothing is cut from it.
    """

    def __init__(
        self,
        question: SheetProblem,
        stock: Sequence[Stock],
        *,
        can_cut: Callable[[Stock, SheetTree], bool],
        keeps: Callable[[Rect], bool],
    ) -> None:
        self.question = question
        self.keeps = keeps
        self.can_cut = can_cut
        self.stock = {each.id: each for each in stock}
        kerfs = {Plane.CROSSCUT: question.kerf_x, Plane.RIP: question.kerf_y}
        self.choices: dict[str, list[Dissection]] = {}
        for each in question.stock:
            own = self.stock[each.id]
            if is_damaged(own):
                ways = [
                    way for way in dissections(own, kerfs) if self._reached(own, way)
                ]
                ways.sort(key=lambda way: -self._fit(way, own.grain))
                self.choices[each.id] = ways

    def solve(self, *, seed: int, budget: Budget, scope: str) -> SheetAnswer:
        """Return the best plan found, and the bound of sheets that are whole."""
        choices = self._tried()
        found: list[_Found] = []
        work = 0
        alone = len(choices) == 1
        share = 1.0 if alone else _TRIAL
        question = self.question if alone else replace(self.question, goal=None)
        for choice in choices:
            part = share_of(budget, share, share)
            found.append(self._search(question, choice, seed, part, scope))
            work += found[-1].work
        if not alone:
            best = min(range(len(choices)), key=lambda n: (found[n].rank, n))
            left = 1.0 - _TRIAL * len(choices)
            part = share_of(budget, left, 1.0)
            found.append(
                self._search(self.question, choices[best], seed + 1, part, scope)
            )
            work += found[-1].work
        best_found = min(found, key=lambda each: each.rank)
        value, basis, duals, more = self._bound(best_found, budget)
        stopped = what_ended(each.stopped_by for each in found)
        proven = not best_found.unplaced and best_found.cost <= value
        return SheetAnswer(
            sheets=best_found.sheets,
            unplaced=best_found.unplaced,
            cost=best_found.cost,
            lower_bound=value,
            basis=basis,
            stopped_by=(
                StoppedBy.PROOF if proven and stopped is StoppedBy.WORK else stopped
            ),
            work=work + more,
            duals=duals,
        )

    def _reached(self, own: Stock, way: Dissection) -> bool:
        bare = way.tree(dict.fromkeys(way.rects, NOTHING))
        return bare is not None and self.can_cut(own, bare)

    def _fit(self, way: Dissection, grain: Grain) -> int:
        """Return the area of the parts that some rectangle of a dissection holds."""
        return sum(
            part.length * part.width * part.quantity * part.weight
            for part in self.question.parts
            if any(_lies(part, rect, grain) for rect in way.rects)
        )

    def _tried(self) -> list[Choice]:
        """Return the choices: the best of each stock, then others of one of them."""
        best = {name: ways[0] for name, ways in self.choices.items() if ways}
        tried: list[Choice] = [best]
        for place in range(1, _MOST_TRIED):
            for name, ways in self.choices.items():
                if place < len(ways) and len(tried) < _MOST_TRIED:
                    tried.append({**best, name: ways[place]})
        return tried

    def _search(
        self,
        question: SheetProblem,
        choice: Choice,
        seed: int,
        budget: Budget,
        scope: str,
    ) -> _Found:
        """Search on one dissection of each damaged stock."""
        priced = [
            each.id
            for each in self.question.stock
            if each.id in choice and each.cost and len(choice[each.id].rects) > 1
        ]
        if not priced:
            return self._ask(question, choice, {}, seed, budget, scope)
        none = dict.fromkeys(priced, 0)
        first = share_of(budget, 0.4, 0.4)
        best = self._ask(question, choice, none, seed, first, scope)
        found = [best]
        sides = {name: _guess(choice[name], best.used.get(name, 0)) for name in priced}
        for share in (0.5, 1.0):
            part = share_of(budget, 0.3, share)
            found.append(self._ask(question, choice, sides, seed, part, scope))
            best = min(found, key=lambda each: each.rank)
            sides = {name: max(1, best.used.get(name, 0) - 1) for name in priced}
        work = sum(each.work for each in found)
        stopped = what_ended(each.stopped_by for each in found)
        return replace(best, work=work, stopped_by=stopped)

    def _ask(
        self,
        question: SheetProblem,
        choice: Choice,
        sides: Mapping[str, int],
        seed: int,
        budget: Budget,
        scope: str,
    ) -> _Found:
        """Search with so many side rectangles of each stock that has a cost."""
        stock: list[SheetStock] = []
        origin: dict[str, tuple[str, Rect | None]] = {}
        for each in self.question.stock:
            if each.id not in self.choices:
                stock.append(each)
                origin[each.id] = (each.id, None)
                continue
            if each.id not in choice:
                continue  # nothing of it is clear, or no saw cuts it
            for number, rect in enumerate(choice[each.id].rects):
                made = self._as_sheet(each, rect, number, sides)
                stock.append(made)
                origin[made.id] = (each.id, rect)
        answer = solve_sheets(
            replace(question, stock=tuple(stock)),
            seed=seed,
            budget=budget,
            scope=scope,
        )
        return self._put_together(choice, answer, origin)

    def _as_sheet(
        self, each: SheetStock, rect: Rect, number: int, sides: Mapping[str, int]
    ) -> SheetStock:
        whole = usable(self.stock[each.id])
        trim = each.trim
        limit = each.limit
        if number and each.id in sides:
            most = sides[each.id]
            limit = most if limit is None else min(limit, most)
        return SheetStock(
            id=f"{each.id} / {number}",
            length=rect.length,
            width=rect.width,
            cost=0 if number else each.cost,
            limit=limit,
            grain_along_length=each.grain_along_length,
            trim=Edges(
                low_x=trim.low_x if rect.low_x == whole.low_x else 0,
                high_x=trim.high_x if rect.high_x == whole.high_x else 0,
                low_y=trim.low_y if rect.low_y == whole.low_y else 0,
                high_y=trim.high_y if rect.high_y == whole.high_y else 0,
            ),
        )

    def _put_together(
        self,
        choice: Choice,
        answer: SheetAnswer,
        origin: Mapping[str, tuple[str, Rect | None]],
    ) -> _Found:
        """Put the rectangles of each sheet together again."""
        costs = {each.id: each.cost for each in self.question.stock}
        sheets: list[tuple[str, SheetTree]] = []
        filled: dict[str, dict[Rect, list[Tree]]] = {}
        for made, tree in answer.sheets:
            name, rect = origin[made]
            if rect is None or not isinstance(tree, Tree):
                sheets.append((name, tree))
            else:
                filled.setdefault(name, {}).setdefault(rect, []).append(tree)
        used: dict[str, int] = {}
        missing = dict(answer.unplaced)
        for name, by_rect in filled.items():
            used[name] = max(map(len, by_rect.values()))
            for number in range(used[name]):
                trees = {
                    rect: by_rect[rect][number]
                    for rect in choice[name].rects
                    if number < len(by_rect.get(rect, ()))
                }
                for rect in choice[name].rects:
                    if rect not in trees and self.keeps(rect):
                        trees[rect] = NOTHING
                whole = choice[name].tree(trees)
                if whole is not None and self.can_cut(self.stock[name], whole):
                    sheets.append((name, whole))
                    continue
                # A piece was a little larger than its rectangle, and out of reach.
                for leaf in (leaf for tree in trees.values() for leaf in leaves(tree)):
                    missing[leaf.blank] = missing.get(leaf.blank, 0) + 1
        areas = {
            part.id: part.length * part.width * part.weight
            for part in self.question.parts
        }
        return _Found(
            sheets=tuple(sheets),
            unplaced=tuple(
                (part.id, missing[part.id])
                for part in self.question.parts
                if missing.get(part.id)
            ),
            missing=sum(areas[name] * count for name, count in missing.items()),
            cost=sum(costs[name] for name, _ in sheets),
            used=used,
            stopped_by=(
                StoppedBy.WORK
                if answer.stopped_by is StoppedBy.PROOF
                else answer.stopped_by
            ),
            work=answer.work,
        )

    def _bound(
        self, found: _Found, budget: Budget
    ) -> tuple[int, str, tuple[int, ...], int]:
        """Return a bound on sheets without damage, its basis, duals and work."""
        bound = max(
            full_bound(self.question),
            confined_bound(self.question),
            key=lambda each: each.value,
        )
        if found.unplaced or found.cost <= bound.value:
            return bound.value, bound.basis, (), 0
        line = linear_bound(
            self.question,
            most_work=int(_BOUND_SHARE * budget.work),
            deadline=budget.deadline,
            cancelled=budget.cancelled,
            known=bound.value,
            goal=found.cost,
        )
        if line.value > bound.value:
            return line.value, line.basis, line.duals, line.work
        return bound.value, bound.basis, line.duals, line.work


def _guess(way: Dissection, used: int) -> int:
    """Return how many sheets may do, if so many largest rectangles alone would."""
    areas = [rect.length * rect.width for rect in way.rects]
    return max(1, -(-used * areas[0] // sum(areas)))


def _lies(part: SheetPart, rect: Rect, grain: Grain) -> bool:
    straight = part.length <= rect.length and part.width <= rect.width
    turned = part.width <= rect.length and part.length <= rect.width
    if not part.grain_bound:
        return straight or turned
    return straight if grain is Grain.LENGTH else turned
