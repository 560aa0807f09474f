"""Stock with blemishes: wood to most parts, and damage to those that are to be clear.

A blemish is a sound knot or a stain. A blank that is to be clear may not have any of it
in it; others may, and so may a rest that is kept. Two plans are made and the better one
is taken: all blanks together, with blemishes cut around; and the clear blanks by
themselves, then the others from what stock is left, as if there were no blemishes. So
no plan lays an ordinary blank over a blemish on a piece that gives clear ones, too.

Guarantee: no clear blank lies on a blemish. The bound is that of all blanks on the same
stock without any zones, on which every plan for these could be cut as well.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection
from dataclasses import replace
from typing import Final, TypeAlias

from nesting.model.problem import Budget, Problem
from nesting.model.stock import Stock
from nesting.model.terms import ZoneKind
from nesting.solve.groups import Group
from nesting.solve.shares import share_of, what_ended
from nesting.solve.solved import Solved

_BOUND_SHARE: Final = 0.2
"""The share of the work that a bound gets where the plan did not bring one."""

Solver: TypeAlias = Callable[[Group, Problem, Budget], Solved]


def has_blemish(stock: Stock) -> bool:
    """Tell whether stock has a blemish."""
    return any(zone.kind is ZoneKind.BLEMISH for zone in stock.zones)


def solve_blemished(
    each: Group, problem: Problem, budget: Budget, solver: Solver
) -> Solved:
    """Lay the blanks of a group out on stock with blemishes.

    Parameters
    ----------
    each
        The blanks and their stock.
    problem
        The whole problem, for its saws and seed.
    budget
        For this group.
    solver
        Solves a group; to it every zone is damage.

    Returns
    -------
    Solved
        With the reason for whatever is not placed.
    """
    clear = _clear(each)
    if not clear:
        return solver(_as_wood(each), problem, budget)
    if len(clear) == len(each.demands):
        return solver(each, problem, budget)
    together = solver(each, problem, share_of(budget, 0.5, 0.5))
    apart = _apart(each, clear, problem, budget, solver)
    if apart is None or _rank(together, each) <= _rank(apart, each):
        work = together.work + (0 if apart is None else apart.work)
        return replace(together, work=work)
    bounding = together
    if together.unplaced and not apart.unplaced:
        bounding = _whole(each, problem, share_of(budget, _BOUND_SHARE, 1.0), solver)
    note = f"{each.name}: parts that are to be clear are cut from pieces of their own"
    return replace(
        apart,
        lower_bound=bounding.lower_bound,
        basis=bounding.basis,
        certificate=None if apart.unplaced else bounding.certificate,
        work=together.work + apart.work,
        notes=(*apart.notes, note),
    )


def _whole(each: Group, problem: Problem, budget: Budget, solver: Solver) -> Solved:
    """Return what bounds all plans: that of stock without zones, if it holds all."""
    stock = tuple(replace(one, zones=()) for one in each.stock)
    found = solver(replace(each, stock=stock), replace(problem, prefer=None), budget)
    if not found.unplaced:
        return found
    return replace(found, lower_bound=0, basis="nothing was shown", certificate=None)


def _clear(each: Group) -> frozenset[str]:
    """Return the blanks that are to be clear, and all of a run that has one."""
    found = {demand.blank.id for demand in each.demands if demand.blank.clear}
    for run in each.runs:
        if found.intersection(run.members):
            found.update(run.members)
    return frozenset(found)


def _as_wood(each: Group) -> Group:
    """Return a group whose stock has no blemishes."""
    return replace(
        each,
        stock=tuple(
            replace(
                one,
                zones=tuple(z for z in one.zones if z.kind is not ZoneKind.BLEMISH),
            )
            for one in each.stock
        ),
    )


def _part_of(each: Group, names: Collection[str]) -> Group:
    """Return a group with some of its blanks."""
    return replace(
        each,
        demands=tuple(d for d in each.demands if d.blank.id in names),
        runs=tuple(run for run in each.runs if run.members[0] in names),
    )


def _apart(
    each: Group,
    clear: frozenset[str],
    problem: Problem,
    budget: Budget,
    solver: Solver,
) -> Solved | None:
    """Solve the clear blanks first, and the others on what is left, if anything is."""
    first = solver(_part_of(each, clear), problem, share_of(budget, 0.25, 0.5))
    used = Counter(tree.stock for tree in first.trees)
    left = tuple(
        one if one.limit is None else replace(one, limit=one.limit - used[one.id])
        for one in each.stock
    )
    others = {demand.blank.id for demand in each.demands} - clear
    rest = _as_wood(_part_of(each, others))
    rest = replace(
        rest,
        stock=tuple(
            replace(one, zones=wood.zones)
            for one, wood in zip(left, rest.stock, strict=True)
            if one.limit != 0
        ),
    )
    if not rest.stock:
        return None
    second = solver(rest, problem, share_of(budget, 0.25, 1.0))
    return Solved(
        trees=(*first.trees, *second.trees),
        unplaced=(*first.unplaced, *second.unplaced),
        value=first.value + second.value,
        lower_bound=0,
        basis="",
        stopped_by=what_ended([first.stopped_by, second.stopped_by]),
        work=first.work + second.work,
        notes=(*first.notes, *second.notes),
    )


def _rank(one: Solved, each: Group) -> tuple[int, int, int]:
    """Return how good a plan is: what finds no place, its cost, its pieces."""
    volumes = {demand.blank.id: demand.blank.volume for demand in each.demands}
    missing = sum(volumes[miss.blank] * miss.quantity for miss in one.unplaced)
    return missing, one.value, len(one.trees)
