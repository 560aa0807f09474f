"""Sheets damaged or too large to carry: cut into rectangles first, and then searched.

Each clear rectangle of a dissection (`clear`) is a sheet of its own to the search. The
largest one of a sheet carries the sheet's cost, the others cost nothing; as many of
each are offered as there are sheets. Where a sheet is free that is exact. Where it is
not, the search could take side rectangles of sheets whose largest one it does not use:
so it is asked with none of them first, then with those of as many sheets as may do, at
last with those of one sheet less than were used. What counts is the cost of the sheets
that are really used.

What is cut at the store for the way home is mostly alike, and sheets of one kind may be
cut there in several ways: so the search is first asked with a share of the sheet's cost
on each rectangle, by its area, which tells how many sheets may do.

Several dissections are tried on a part of the work, the best goes on with the rest.

Guarantee: no part lies on damage. The bound is that of the same sheets, whole and
without any damage, on which every plan for these could be cut as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.model.problem import Budget
from nesting.model.shop import SheetHaul
from nesting.model.stock import Stock
from nesting.model.terms import StoppedBy
from nesting.model.tree import SheetTree, Tree
from nesting.solve.clear import NOTHING, Dissection, Rect
from nesting.solve.hauled_sheets import is_too_large
from nesting.solve.regroup import regrouped, sheets_of
from nesting.solve.shares import share_of, what_ended
from nesting.solve.sheet_ways import sheet_ways
from nesting.solve.sheets import solve_sheets
from nesting.solve.sheets.bounds import full_bound
from nesting.solve.sheets.confined import confined_bound
from nesting.solve.sheets.linear import linear_bound
from nesting.solve.sheets.plant import leaves
from nesting.solve.sheets.problem import SheetAnswer, SheetProblem, SheetStock

_MOST_TRIED: Final = 4
"""Choices of dissections."""
_TRIAL: Final = 0.1
"""The share of the work that each choice gets at first."""
_BOUND_SHARE: Final = 0.1

Choice = Mapping[str, tuple[Dissection, ...]]
"""Of each stock that needs it the dissections that its sheets may have, by its id."""

Name = tuple[str, int]
"""A stock and the number of its dissection."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """What one search came to."""

    sheets: tuple[tuple[str, SheetTree], ...]
    unplaced: tuple[tuple[str, int], ...]
    missing: int
    """What is unplaced counts, in area and weight."""
    cost: int
    used: Mapping[Name, int]
    """Sheets of each dissection of a stock that needs it."""
    area: Mapping[Name, int]
    """Of the rectangles that are used of them, in square ticks."""
    stopped_by: StoppedBy
    work: int

    cuts: int
    """Made at the store."""

    @property
    def rank(self) -> tuple[int, int, int]:
        return self.missing, self.cost, self.cuts


class Damaged:
    """One problem with stock that is damaged or too large to carry.

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
    haul
        What of a sheet can be carried home; None for whole ones.
    """

    def __init__(
        self,
        question: SheetProblem,
        stock: Sequence[Stock],
        *,
        can_cut: Callable[[Stock, SheetTree], bool],
        keeps: Callable[[Rect], bool],
        haul: SheetHaul | None = None,
    ) -> None:
        self.question = question
        self.keeps = keeps
        self.can_cut = can_cut
        self.stock = {each.id: each for each in stock}
        self.haul = haul
        self.choices = sheet_ways(question, stock, haul, can_cut)

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

    def _tried(self) -> list[Choice]:
        """Return the choices: the best of each stock, then others of one of them.

        With what is cut at the store the last is several of them side by side.
        """
        known = {name: ways for name, ways in self.choices.items() if ways.each}
        best = {name: ways.each[:1] for name, ways in known.items()}
        tried: list[Choice] = [best]
        mixed = {name: ways.mix for name, ways in known.items() if ways.mix}
        if mixed:
            tried.append(best | mixed)
        for place in range(1, _MOST_TRIED):
            for name, ways in known.items():
                if place < len(ways.each) and len(tried) < _MOST_TRIED:
                    tried.append({**best, name: (ways.each[place],)})
        return tried

    def _search(
        self,
        question: SheetProblem,
        choice: Choice,
        seed: int,
        budget: Budget,
        scope: str,
    ) -> _Found:
        """Search on some dissections of each stock that needs it."""
        priced = [
            (each.id, number)
            for each in self.question.stock
            for number, way in enumerate(choice.get(each.id, ()))
            if each.cost and len(way.rects) > 1
        ]
        if not priced:
            return self._ask(question, choice, {}, seed, budget, scope)
        is_shared = any(is_too_large(self.stock[name], self.haul) for name, _ in priced)
        first = share_of(budget, 0.4, 0.4)
        none = None if is_shared else dict.fromkeys(priced, 0)
        best = self._ask(question, choice, none, seed, first, scope)
        found = [best]
        sides = {
            name: _enough(choice[name[0]][name[1]], best, name, is_shared=is_shared)
            for name in priced
        }
        for share in (0.5, 1.0):
            part = share_of(budget, 0.3, share)
            found.append(self._ask(question, choice, sides, seed, part, scope))
            best = min(found, key=lambda each: each.rank)
            least = 0 if is_shared else 1
            sides = {name: max(least, best.used.get(name, 0) - 1) for name in priced}
        work = sum(each.work for each in found)
        stopped = what_ended(each.stopped_by for each in found)
        return replace(best, work=work, stopped_by=stopped)

    def _ask(
        self,
        question: SheetProblem,
        choice: Choice,
        sides: Mapping[Name, int] | None,
        seed: int,
        budget: Budget,
        scope: str,
    ) -> _Found:
        """Search with so many side rectangles of each stock that has a cost.

        Without any such numbers every rectangle has its share of the cost.
        """
        stock: list[SheetStock] = []
        origin: dict[str, tuple[Name, Rect | None]] = {}
        for each in self.question.stock:
            if each.id not in self.choices:
                stock.append(each)
                origin[each.id] = ((each.id, 0), None)
                continue
            # There is no way where nothing is clear, or no saw cuts it.
            for which, way in enumerate(choice.get(each.id, ())):
                for number in range(len(way.rects)):
                    made = _as_sheet(each, way, which, number, sides)
                    stock.append(made)
                    origin[made.id] = ((each.id, which), way.rects[number])
        answer = solve_sheets(
            replace(question, stock=tuple(stock)),
            seed=seed,
            budget=budget,
            scope=scope,
        )
        return self._put_together(choice, answer, origin)

    def _put_together(
        self,
        choice: Choice,
        answer: SheetAnswer,
        origin: Mapping[str, tuple[Name, Rect | None]],
    ) -> _Found:
        """Put the rectangles of each sheet together again."""
        costs = {each.id: each.cost for each in self.question.stock}
        sheets: list[tuple[str, SheetTree]] = []
        filled: dict[Name, dict[Rect, list[Tree]]] = {}
        for made, tree in answer.sheets:
            name, rect = origin[made]
            if rect is None or not isinstance(tree, Tree):
                sheets.append((name[0], tree))
            else:
                filled.setdefault(name, {}).setdefault(rect, []).append(tree)
        filled = self._on_few(choice, filled)
        used: dict[Name, int] = {}
        missing = dict(answer.unplaced)
        for name, by_rect in filled.items():
            used[name] = sheets_of(by_rect)
            way = choice[name[0]][name[1]]
            for number in range(used[name]):
                trees = {
                    rect: by_rect[rect][number]
                    for rect in way.rects
                    if number < len(by_rect.get(rect, ()))
                }
                for rect in way.rects:
                    if rect not in trees and self.keeps(rect):
                        trees[rect] = NOTHING
                whole = way.tree(trees)
                if whole is not None and self.can_cut(self.stock[name[0]], whole):
                    sheets.append((name[0], whole))
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
            cuts=sum(
                count * choice[name[0]][name[1]].cuts_at_store
                for name, count in used.items()
            ),
            area={
                name: sum(
                    len(trees) * rect.length * rect.width
                    for rect, trees in by_rect.items()
                )
                for name, by_rect in filled.items()
            },
            stopped_by=(
                StoppedBy.WORK
                if answer.stopped_by is StoppedBy.PROOF
                else answer.stopped_by
            ),
            work=answer.work,
        )

    def _on_few(
        self, choice: Choice, filled: dict[Name, dict[Rect, list[Tree]]]
    ) -> dict[Name, dict[Rect, list[Tree]]]:
        """Return the trees on few of the sheets that are cut at the store."""
        found = dict(filled)
        for each in dict.fromkeys(name for name, _ in filled):
            if is_too_large(self.stock[each], self.haul):
                own = {
                    which: found.pop((each, which))
                    for which in range(len(choice[each]))
                    if (each, which) in found
                }
                few = regrouped(own, choice[each], self.question)
                found |= {(each, which): by_rect for which, by_rect in few.items()}
        return found

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


def _enough(way: Dissection, found: _Found, name: Name, *, is_shared: bool) -> int:
    """Return how many sheets may do: by the area that was used of them.

    Where only the largest rectangles were offered, that is the area of as many.
    """
    areas = [rect.length * rect.width for rect in way.rects]
    if is_shared:
        return -(-found.area.get(name, 0) // sum(areas))
    return max(1, -(-found.used.get(name, 0) * areas[0] // sum(areas)))


def _as_sheet(
    each: SheetStock,
    way: Dissection,
    which: int,
    number: int,
    sides: Mapping[Name, int] | None,
) -> SheetStock:
    """Return a rectangle of a dissection as a sheet."""
    rect, limit, cost = way.rects[number], each.limit, 0 if number else each.cost
    if sides is None:
        area = sum(one.length * one.width for one in way.rects)
        cost = -(-each.cost * rect.length * rect.width // area)
    elif number and (each.id, which) in sides:
        most = sides[each.id, which]
        limit = most if limit is None else min(limit, most)
    return SheetStock(
        id=f"{each.id} / {which}.{number}",
        length=rect.length,
        width=rect.width,
        cost=cost,
        limit=limit,
        grain_along_length=each.grain_along_length,
        trim=way.edges[rect],
    )
