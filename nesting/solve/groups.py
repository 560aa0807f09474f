"""Independent groups: blanks and stock of one material and section meet in no other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.model.blank import USUAL_PRIORITY, Blank, Need, Run
from nesting.model.problem import Problem
from nesting.model.stock import Stock
from nesting.model.terms import Form, Objective, Origin
from nesting.solve.families import Key, families, keys_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """A blank and how many of it are wanted."""

    blank: Blank
    quantity: int
    priority: int = USUAL_PRIORITY


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Blanks and stock of one material and section."""

    material: str
    section: str
    """Empty for sheets, and where there are several."""
    sections: tuple[str, ...] = ()
    """Where several share blanks."""
    form: Form
    demands: tuple[Demand, ...]
    stock: tuple[Stock, ...]
    objective: Objective
    runs: tuple[Run, ...] = ()

    @property
    def name(self) -> str:
        """The material, with the section where there is one."""
        sections = self.section or ", ".join(self.sections)
        return f"{self.material} {sections}".strip()

    def cost(self, stock: Stock) -> int:
        """Return what one piece of stock counts in this group's objective.

        What is free, by its price or by being owned without one, counts nothing.
        Square ticks are counted for an area, pieces for a count.
        """
        price = stock.price_cents
        if price is None and stock.origin is not Origin.STORE:
            price = 0
        if self.objective is Objective.COST:
            return price or 0
        if price == 0:
            return 0
        return 1 if self.objective is Objective.COUNT else stock.length * stock.width


def _objective(stock: Sequence[Stock]) -> Objective:
    store = [s for s in stock if s.origin is Origin.STORE]
    if all(s.price_cents is not None for s in store):
        return Objective.COST
    return Objective.COUNT if len(store) == 1 else Objective.AREA


def _wanted(needs: Sequence[Need]) -> list[Demand]:
    demands = []
    for need in needs:
        if len(need.builds) != 1:
            message = f"need {need.id!r}: the solver takes exactly one build of a need"
            raise ValueError(message)
        demands += [
            Demand(
                blank=take.blank,
                quantity=take.count * need.quantity,
                priority=need.priority,
            )
            for take in need.builds[0].takes
        ]
    return demands


def _runs(runs: Sequence[Run], demands: Sequence[Demand]) -> tuple[Run, ...]:
    names = {demand.blank.id for demand in demands}
    own = tuple(run for run in runs if names.intersection(run.members))
    for run in own:
        if not names.issuperset(run.members):
            message = f"run {run.id!r}: its members are not of one material"
            raise ValueError(message)
    return own


def _in_order(family: frozenset[Key], stock: Sequence[Stock]) -> tuple[str, ...]:
    """Return the sections of a family as they stand in the stock, then by name."""
    met = [s.section for s in stock if (s.material, s.section) in family]
    return tuple(dict.fromkeys([*met, *sorted(section for _, section in family)]))


def group(problem: Problem) -> tuple[Group, ...]:
    """Split a problem into groups that share no blank and no stock.

    Returns
    -------
    tuple of Group
        In the order in which their blanks first appear; a group without stock has an
        empty `stock` and counts pieces.

    Raises
    ------
    ValueError
        If a need offers a choice of builds, which the solver does not take yet, or a
        blank a choice of sections that are not boards (see `forms`).
    """
    wanted = _wanted(problem.needs)
    kin = families(demand.blank for demand in wanted)
    found: dict[frozenset[Key], list[Demand]] = {}
    for demand in wanted:
        found.setdefault(kin[keys_of(demand.blank)[0]], []).append(demand)
    groups = []
    for family, demands in found.items():
        stock = tuple(
            s
            for s in problem.stock
            if (s.material, s.section) in family and s.limit != 0
        )
        several = len(family) > 1
        if several and any(s.form is not Form.BOARD for s in stock):
            message = f"{sorted(family)} share blanks and are not all boards"
            raise ValueError(message)
        groups.append(
            Group(
                material=demands[0].blank.material,
                section="" if several else demands[0].blank.section,
                sections=_in_order(family, problem.stock) if several else (),
                form=stock[0].form if stock else Form.SHEET,
                demands=tuple(demands),
                stock=stock,
                objective=_objective(stock),
                runs=_runs(problem.runs, demands),
            )
        )
    return tuple(groups)
