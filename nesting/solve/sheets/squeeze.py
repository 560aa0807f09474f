"""Many sheets: empty the poorest one into a few others at a time.

A step of the search costs as much as there are parts. With hundreds of them it pays to
look at a few sheets only: the poorest sheet is taken away, some others are drawn (of
two the one with more room on it), and a search of its own tries to place all their
parts on those others. If all find a place, a sheet is saved; if fewer are left than lay
on the poorest sheet, these few lie on it from now on, and it is poorer than before.

Nothing is lost: what a patch cannot better stays as it is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from nesting.model.tree import Tree
from nesting.solve.kernel import draw, seeded
from nesting.solve.sheets.engine import Engine
from nesting.solve.sheets.forest import Forest
from nesting.solve.sheets.instance import Instance, instance_of
from nesting.solve.sheets.plant import leaves, trees_of
from nesting.solve.sheets.problem import SheetProblem
from nesting.solve.sheets.replant import forest_of

FEW_PARTS: Final = 80  # in a patch, about
_FEW_SHEETS = 3  # in it at least, with the poorest one
_STARTS = 10
_ANOTHER = 5  # once in so many patches another poor sheet is emptied

Sheet = tuple[str, Tree]


@dataclass(slots=True)
class Patch:
    """Some sheets that are being cut anew: the first of them is to be emptied."""

    taken: tuple[int, ...]
    engine: Engine
    area: int
    """Of the parts on the first."""


class Squeeze:
    """A plan of many sheets, bettered patch by patch.

    Parameters
    ----------
    forest
        Which holds every part.
    instance
        Of the forest.
    seed
        The same seed gives the same patches, which are searched compiled.
    """

    def __init__(self, forest: Forest, instance: Instance, *, seed: int) -> None:
        self.instance = instance
        self.sheets: list[Sheet] = [*trees_of(forest, instance)]
        self._rng = [seeded(seed, 3)]
        self._seed = seed
        self._patches = 0
        parts = instance.problem.parts
        self._area = {part.id: part.length * part.width * part.weight for part in parts}
        self._cost = {stock.id: stock.cost for stock in instance.problem.stock}

    @property
    def cost(self) -> int:
        """What the sheets cost."""
        return sum(self._cost[stock] for stock, _ in self.sheets)

    @property
    def forest(self) -> Forest:
        """The plan as a forest of the instance."""
        return forest_of(self.sheets, self.instance)

    def patch(self, apart_from: Sequence[int] = ()) -> Patch | None:
        """Choose sheets to cut anew, none of them among some others.

        Returns
        -------
        Patch or None
            None where there are too few sheets.
        """
        areas = [self._area_on(tree) for _, tree in self.sheets]
        free = [i for i in range(len(self.sheets)) if i not in apart_from]
        poor = sorted(
            (i for i in free if self._cost[self.sheets[i][0]]),
            key=lambda i: (Fraction(areas[i], self._cost[self.sheets[i][0]]), i),
        )
        if not poor or len(free) < _FEW_SHEETS:
            return None
        at = 0
        if draw(self._rng) % _ANOTHER == 0:
            at = draw(self._rng) % min(len(poor), 4)
        taken = [poor[at]]
        free.remove(poor[at])
        count = sum(1 for _ in leaves(self.sheets[poor[at]][1]))
        while free and (len(taken) < _FEW_SHEETS or count < FEW_PARTS):
            i, other = (free[draw(self._rng) % len(free)] for _ in range(2))
            if areas[other] < areas[i]:
                i = other
            free.remove(i)
            taken.append(i)
            count += sum(1 for _ in leaves(self.sheets[i][1]))
        self._patches += 1
        engine = self._engine([self.sheets[i] for i in taken])
        return Patch(taken=tuple(taken), engine=engine, area=areas[taken[0]])

    def take_in(self, patches: Sequence[Patch]) -> None:
        """Take what patches have come to into the plan, where it is better."""
        gone: set[int] = set()
        more: list[Sheet] = []
        for patch in patches:
            engine = patch.engine
            if engine.area_out >= patch.area:
                continue
            last: list[Sheet] = []
            if engine.unplaced:
                stock = self.sheets[patch.taken[0]][0]
                kept = self._on_one(stock, engine)
                if kept is None:
                    continue
                last = [kept]
            gone.update(patch.taken)
            more += [*trees_of(engine.best, engine.instance), *last]
        if gone:
            kept_sheets = [s for i, s in enumerate(self.sheets) if i not in gone]
            self.sheets = [*kept_sheets, *more]

    def _area_on(self, tree: Tree) -> int:
        return sum(self._area[leaf.blank] for leaf in leaves(tree))

    def _engine(self, sheets: Sequence[Sheet]) -> Engine:
        """Return a search for all that lies on some sheets, on all but the first."""
        wanted = Counter(leaf.blank for _, tree in sheets for leaf in leaves(tree))
        instance = self._part_of(wanted, Counter(stock for stock, _ in sheets[1:]))
        engine = Engine(
            instance,
            seed=self._seed + self._patches,
            stream=2,
            bound=0,
            start=forest_of(sheets[1:], instance),
        )
        engine.compile()
        return engine

    def _on_one(self, stock: str, engine: Engine) -> Sheet | None:
        """Lay what is out on one sheet; None where that is not done at once."""
        kinds = engine.best[3]
        parts = engine.instance.problem.parts
        wanted = Counter(parts[kind].id for kind in kinds)
        alone = Engine(
            self._part_of(wanted, Counter((stock,))), seed=self._seed, bound=0
        )
        for _ in range(_STARTS):
            alone.start()
            if not alone.unplaced:
                return trees_of(alone.best, alone.instance)[0]
        return None

    def _part_of(self, wanted: Counter[str], stock: Counter[str]) -> Instance:
        """Return the instance of some parts on so many sheets."""
        problem: SheetProblem = self.instance.problem
        return instance_of(
            replace(
                problem,
                parts=tuple(
                    replace(part, quantity=wanted[part.id])
                    for part in problem.parts
                    if wanted[part.id]
                ),
                stock=tuple(
                    replace(each, limit=stock[each.id])
                    for each in problem.stock
                    if stock[each.id]
                ),
            )
        )
