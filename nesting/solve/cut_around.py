"""Lumber that is damaged or too long to carry: cut into pieces first, then solved.

Damage is cut around (`clear`), and what is too long is sawn in two at the store
(`hauled`).

Each clear rectangle of a dissection (`clear`) is a stick or a board of its own to the
solver. The largest one of a piece of stock carries its cost, the others cost nothing;
as many of each are offered as there are pieces. Where stock has a cost, the solver
could take side rectangles of pieces whose largest one it does not use: so it is asked
with none of them first, then with those of as many pieces as may do, of all stock and
of what the best plan takes alone, at last with those of one piece less than were used.
What counts is the cost of the pieces really used.

A few dissections are tried, and what is to be had without damage by itself.

Guarantee: no blank lies on damage. The bound and its certificate are those of the same
stock without damage and uncut, on which every plan for these could be cut as well.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from nesting.model.blank import Blank
from nesting.model.problem import Budget, Problem
from nesting.model.result import CutStock, Unplaced
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Fate, Objective, Place, Plane, StoppedBy
from nesting.model.tree import Split, Tree
from nesting.solve.clear import (
    NOTHING,
    Dissection,
    Rect,
    usable,
)
from nesting.solve.groups import Group
from nesting.solve.needed import leaves
from nesting.solve.shares import share_of, what_ended
from nesting.solve.solved import Solved
from nesting.solve.ways_to_pieces import Choice, Ways

_BOUND_SHARE: Final = 0.3
"""The share of the work that goes into stock without damage."""

Solver: TypeAlias = Callable[[Group, Problem, Budget], Solved]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """What one search came to."""

    trees: tuple[CutStock, ...]
    missing: Mapping[str, int]
    """Blanks without a place."""
    volume: int
    """Of these."""
    cost: int
    used: Mapping[str, int]
    """Pieces of each stock that is dissected."""
    stopped_by: StoppedBy
    work: int
    notes: tuple[str, ...]

    @property
    def rank(self) -> tuple[int, int, int]:
        return self.volume, self.cost, len(self.trees)


def solve_cut_around(
    each: Group, problem: Problem, budget: Budget, solver: Solver
) -> Solved:
    """Lay the blanks of a group out on lumber, some of it damaged or too long to carry.

    Parameters
    ----------
    each
        The blanks and sticks or boards.
    problem
        The whole problem, for its saws and seed.
    budget
        For this group.
    solver
        Solves a group whose stock is cut as it comes.

    Returns
    -------
    Solved
        With the reason for whatever is not placed.
    """
    sound = replace(each, stock=tuple(replace(one, zones=()) for one in each.stock))
    plain = _with_thin_store_saw(replace(problem, prefer=None))
    whole = solver(sound, plain, share_of(budget, _BOUND_SHARE, _BOUND_SHARE))
    ways = Ways(each, problem)
    asked = _Asked(each, problem, solver, ways)
    choices = ways.choices()
    found = []
    for left in range(len(choices), 0, -1):
        share = share_of(budget, (1 - _BOUND_SHARE) / len(choices), 1 / left)
        found.append(asked.search(choices[-left], share))
    best = asked.best_of(found)
    is_proven = not best.missing and best.cost == whole.lower_bound
    # What was not placed even so says nothing of what placing it costs.
    holds = not whole.unplaced or bool(best.missing)
    return Solved(
        trees=best.trees,
        unplaced=tuple(asked.unplaced(best, whole)),
        value=best.cost,
        lower_bound=whole.lower_bound if holds else 0,
        basis=whole.basis if holds else "nothing was shown",
        stopped_by=(
            StoppedBy.PROOF
            if is_proven
            else what_ended([StoppedBy.WORK, *(one.stopped_by for one in found)])
        ),
        work=whole.work + sum(one.work for one in found),
        certificate=None if best.missing or not holds else whole.certificate,
        notes=best.notes,
    )


def _with_thin_store_saw(problem: Problem) -> Problem:
    """Return a problem whose bounds hold where the store cuts closer than the shop.

    Where it cuts to the line with a thin blade, less is lost than by a cut at home.
    """
    haul = problem.haul
    if haul is None:
        return problem
    home = [saw for saw in problem.saws if saw.place is Place.SHOP]
    kerfs = [saw.kerf for saw in home if Plane.CROSSCUT in saw.planes]
    if haul.saw.kerf + 2 * haul.tolerance >= min(kerfs, default=0):
        return problem
    return replace(problem, saws=(*home, replace(haul.saw, place=Place.SHOP)))


class _Asked:
    """One group with stock that needs cutting."""

    def __init__(
        self, each: Group, problem: Problem, solver: Solver, ways: Ways
    ) -> None:
        self.each = each
        self.problem = problem
        self.solver = solver
        self.costs = {one.id: each.cost(one) for one in each.stock}
        self.ways = ways

    def unplaced(self, best: _Found, whole: Solved) -> list[Unplaced]:
        """Return what has no place, and why: for its cuts only where they are why."""
        reasons = {miss.blank: miss.why for miss in whole.unplaced}
        name = self.each.name
        missing = []
        for blank, count in best.missing.items():
            why = reasons.get(blank) or self._why(self.ways.blanks[blank], name)
            missing.append(Unplaced(blank=blank, quantity=count, why=why))
        return missing

    def _why(self, blank: Blank, name: str) -> str:
        holding = [one for one in self.each.stock if self.ways.lies(blank, one)]
        if not holding and self.problem.haul is not None:
            return f"no clear piece of {name} that can be carried home is long enough"
        if not holding:
            return f"no clear piece of {name} is large enough for it"
        if all(one.limit is not None for one in self.each.stock):
            return f"the limited stock of {name} does not hold everything"
        return "no saw of the shop reaches the cuts it needs"

    def best_of(self, found: Sequence[_Found]) -> _Found:
        """Return the best; between plans as good as each other the largest rest."""
        least = min(one.rank for one in found)
        equal = [one for one in found if one.rank == least]
        if len(equal) == 1 or self.problem.prefer is None:
            return equal[0]
        return max(equal, key=self._largest_offcut)

    def _largest_offcut(self, one: _Found) -> int:
        """Return the area of the largest rest kept, in square ticks."""
        return max(
            (
                piece.length * piece.width
                for made in one.trees
                for piece in self.ways.lay_out(made.stock, made.tree).pieces
                if piece.fate == Fate.OFFCUT
            ),
            default=0,
        )

    def search(self, choice: Choice, budget: Budget) -> _Found:
        """Search on one dissection of each damaged stock."""
        priced = [
            name
            for name, way in choice.items()
            if self.costs[name] and len(self.ways.rects(name, way)) > 1
        ]
        if not priced:
            return self._ask(choice, {}, budget)
        none = dict.fromkeys(priced, 0)
        best = self._ask(choice, none, share_of(budget, 0.3, 0.3))
        found, asked = [best], [none]
        guess = {
            name: _guess(self.ways.rects(name, choice[name]), best.used.get(name, 0))
            for name in priced
        }
        for number in range(3):
            used = best.used
            sides = (
                guess,
                {name: guess[name] if used.get(name) else 0 for name in priced},
                {name: max(1, used.get(name, 0) - 1) for name in priced},
            )[number]
            if sides not in asked:
                share = share_of(budget, 0.23, 1 / (3 - number))
                found.append(self._ask(choice, sides, share))
                asked.append(sides)
                best = self.best_of(found)
        return replace(
            best,
            work=sum(one.work for one in found),
            stopped_by=what_ended(one.stopped_by for one in found),
        )

    def _ask(self, choice: Choice, sides: Mapping[str, int], budget: Budget) -> _Found:
        """Solve with so many side rectangles of each stock that has a cost."""
        stock: list[Stock] = []
        origin: dict[str, tuple[str, Rect | None]] = {}
        for own in self.each.stock:
            if own.id not in self.ways.of:
                stock.append(replace(own, zones=(), price_cents=self.costs[own.id]))
                origin[own.id] = own.id, None
            elif own.id in choice:
                rects = self.ways.rects(own.id, choice[own.id])
                for number, rect in enumerate(rects):
                    made = self._as_stock(own, rect, number, sides)
                    stock.append(made)
                    origin[made.id] = own.id, rect
        group = replace(self.each, stock=tuple(stock), objective=Objective.COST)
        if not stock:
            missing = {d.blank.id: d.quantity for d in self.each.demands}
            return self._found((), missing, {}, StoppedBy.WORK)
        answer = self.solver(group, self.problem, budget)
        return self._put_together(choice, answer, origin)

    def _as_stock(
        self, own: Stock, rect: Rect, number: int, sides: Mapping[str, int]
    ) -> Stock:
        """Return a clear rectangle as a piece of stock."""
        whole, trim, limit = usable(own), own.trim, own.limit
        if number and own.id in sides:
            most = sides[own.id]
            limit = most if limit is None else min(limit, most)
        edges = Edges(
            low_x=trim.low_x if rect.low_x == whole.low_x else 0,
            high_x=trim.high_x if rect.high_x == whole.high_x else 0,
            low_y=trim.low_y if rect.low_y == whole.low_y else 0,
            high_y=trim.high_y if rect.high_y == whole.high_y else 0,
        )
        return replace(
            own,
            id=f"{own.id} / {number}",
            length=rect.length + edges.across_x,
            width=rect.width + edges.across_y,
            trim=edges,
            price_cents=0 if number else self.costs[own.id],
            limit=limit,
            zones=(),
        )

    def _put_together(
        self,
        choice: Choice,
        answer: Solved,
        origin: Mapping[str, tuple[str, Rect | None]],
    ) -> _Found:
        """Put the rectangles of each piece of stock together again."""
        trees: list[CutStock] = []
        filled: dict[str, dict[Rect, list[Tree]]] = {}
        for made in answer.trees:
            name, rect = origin[made.stock]
            if rect is None or isinstance(made.tree, Split):
                trees.append(replace(made, stock=name))
            else:
                filled.setdefault(name, {}).setdefault(rect, []).append(made.tree)
        missing: Counter[str] = Counter()
        for miss in answer.unplaced:
            missing[miss.blank] += miss.quantity
        used = {name: max(map(len, rects.values())) for name, rects in filled.items()}
        for name, by_rect in filled.items():
            for number in range(used[name]):
                own = {
                    rect: made[number]
                    for rect, made in by_rect.items()
                    if number < len(made)
                }
                way = choice[name]
                whole = self.ways.shortened(name, way, self._with_rests(name, way, own))
                if whole is not None and self.ways.is_cut(self.ways.stock[name], whole):
                    trees.append(CutStock(stock=name, tree=whole))
                    continue
                # A piece was a little larger than its rectangle, and out of reach.
                missing.update(leaf.blank for t in own.values() for leaf in leaves(t))
        return self._found(
            tuple(trees), missing, used, answer.stopped_by, answer.work, answer.notes
        )

    def _with_rests(
        self, name: str, way: Dissection, own: Mapping[Rect, Tree]
    ) -> dict[Rect, Tree]:
        """Return the trees of a piece, with the clear rests that are worth keeping."""
        stock = self.ways.stock[name]
        return {
            rect: own.get(rect, NOTHING)
            for rect in way.rects
            if rect in own
            or (
                rect.width == usable(stock).width
                and self.problem.offcuts.keeps(stock.form, rect.length, rect.width)
            )
        }

    def _found(
        self,
        trees: tuple[CutStock, ...],
        missing: Mapping[str, int],
        used: Mapping[str, int],
        stopped_by: StoppedBy,
        work: int = 0,
        notes: Sequence[str] = (),
    ) -> _Found:
        return _Found(
            trees=trees,
            missing=missing,
            volume=sum(
                n * self.ways.blanks[name].volume for name, n in missing.items()
            ),
            cost=sum(self.costs[tree.stock] for tree in trees),
            used=used,
            stopped_by=stopped_by,
            work=work,
            notes=tuple(notes),
        )


def _guess(rects: Sequence[Rect], used: int) -> int:
    """Return how many pieces may do, if so many largest rectangles alone would."""
    areas = [rect.length * rect.width for rect in rects]
    return max(1, -(-used * areas[0] // sum(areas)))
