"""One section of lumber as sticks: lengths only, with what width and kerf ask for.

A blank as wide as its section is crosscut and done; a narrower one is ripped down after
the crosscut. The pattern bound holds where no two blanks could share a length side by
side or one above the other; elsewhere the bound falls back to volume.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from nesting.model.blank import Blank
from nesting.model.certificate import Certificate
from nesting.model.problem import Budget, Problem
from nesting.model.result import CutStock, Unplaced
from nesting.model.shop import Saw
from nesting.model.terms import Plane, StoppedBy
from nesting.model.tree import Leaf, Node
from nesting.solve.groups import Demand, Group
from nesting.solve.lumber_reach import asked_resawn, why_not_cut, why_not_resawn
from nesting.solve.reach import (
    Way,
    first_way,
    kerfs,
    narrowest_kerfs,
    ways_to_cut,
)
from nesting.solve.solved import Solved
from nesting.solve.sticks import solve_sticks
from nesting.solve.sticks.certify import certify
from nesting.solve.sticks.problem import (
    StickAnswer,
    StickPart,
    StickPattern,
    StickProblem,
    StickStock,
)
from nesting.solve.wood import by_volume, volume_bound
from nesting.units import Ticks


def solve_stick_group(each: Group, problem: Problem, budget: Budget) -> Solved:
    """Lay the blanks of one section out on sticks.

    Parameters
    ----------
    each
        The blanks and sticks.
    problem
        The whole problem, for its saws and seed.
    budget
        For this group.

    Returns
    -------
    Solved
        With the reason for whatever is not placed.
    """
    stick = each.stock[0]
    ways = ways_to_cut(problem.saws, stick.form, stick.thickness)
    crosscut = first_way(ways, Plane.CROSSCUT, stick.width, 0)
    resawn = asked_resawn(problem)
    refused = {
        demand.blank.id: why
        for demand in each.demands
        if (why := _why_not(demand.blank, each, problem, resawn))
    }
    able = tuple(d for d in each.demands if d.blank.id not in refused)
    answer = _ask(able, each, problem, budget, ways, crosscut)
    missing = [*answer.unplaced]
    missing += [(d.blank.id, d.quantity) for d in each.demands if d.blank.id in refused]
    bound, basis = answer.lower_bound, answer.basis
    is_shared = _could_share(each, problem.saws)
    if is_shared:
        bound, basis = volume_bound(each), "volume of wood"
    certificate = None
    if not missing and answer.cost:
        certificate = (
            by_volume(each, bound)
            if is_shared
            else _certificate(able, each, problem, answer)
        )
    lengths = {demand.blank.id: demand.blank.length for demand in each.demands}
    return Solved(
        trees=tuple(
            CutStock(stock=pattern.stock, tree=_tree(pattern, lengths))
            for pattern in answer.patterns
            for _ in range(pattern.times)
        ),
        unplaced=tuple(
            Unplaced(
                blank=blank,
                quantity=count,
                why=refused.get(
                    blank, f"the limited stock of {each.name} does not hold everything"
                ),
            )
            for blank, count in missing
        ),
        value=answer.cost,
        lower_bound=bound,
        basis=basis,
        stopped_by=answer.stopped_by,
        work=answer.work,
        certificate=certificate,
    )


def _certificate(
    able: tuple[Demand, ...], each: Group, problem: Problem, answer: StickAnswer
) -> Certificate | None:
    """Return a proof of the answer's bound that anyone can check again, if it has one.

    It takes every saw that cuts so thick as one that might crosscut.
    """
    thickness = min(
        *(stock.thickness for stock in each.stock),
        *(demand.blank.thickness for demand in able),
    )
    kerf, _ = narrowest_kerfs(problem.every_saw, each.form, thickness)
    question = _question(able, each, kerf, kerf)
    return certify(question, answer.lower_bound, answer.duals)


def _ask(
    able: tuple[Demand, ...],
    each: Group,
    problem: Problem,
    budget: Budget,
    ways: tuple[Way, ...],
    crosscut: Way | None,
) -> StickAnswer:
    least = kerfs(ways, Plane.CROSSCUT)
    if not able or crosscut is None or least is None:
        return StickAnswer(
            patterns=(),
            unplaced=(),
            cost=0,
            lower_bound=0,
            basis="nothing can be cut",
            stopped_by=StoppedBy.PROOF,
            work=0,
        )
    return solve_sticks(
        _question(able, each, crosscut.kerf, least[0]),
        seed=problem.seed,
        budget=budget,
        scope=each.name,
    )


def _question(
    able: tuple[Demand, ...], each: Group, kerf: Ticks, least_kerf: Ticks
) -> StickProblem:
    return StickProblem(
        parts=tuple(
            StickPart(id=d.blank.id, length=d.blank.length, quantity=d.quantity)
            for d in able
        ),
        stock=tuple(
            StickStock(
                id=stock.id,
                length=stock.usable_length,
                cost=each.cost(stock),
                limit=stock.limit,
            )
            for stock in each.stock
        ),
        kerf=kerf,
        least_kerf=least_kerf,
    )


def _why_not(
    blank: Blank, each: Group, problem: Problem, resawn: Collection[str]
) -> str:
    stick = max(each.stock, key=lambda stock: stock.usable_length)
    if blank.length > stick.usable_length:
        return (
            f"it is longer than any stick of {each.name} between its end trims; the "
            f"longest is {stick.id}"
        )
    if blank.square_edges and blank.width > stick.square_width:
        return f"it is wider than {each.name} between its rounded edges"
    if (
        blank.width < stick.width
        and not blank.minimum
        and blank.width
        > (stick.straight_width(blank.length, square=blank.square_edges))
    ):
        return f"it is wider than {each.name} once that has a straight edge"
    why = why_not_cut(blank, stick, problem)
    if not why and blank.id in resawn:
        why = why_not_resawn(blank, stick, problem)
    return why


def _could_share(each: Group, saws: Sequence[Saw]) -> bool:
    """Tell whether two blanks might lie in one length of a stick.

    Any saw of the shop might part them, also one that no stick is cut on here: what
    resaws has a narrow kerf.
    """
    stick = each.stock[0]
    narrowest = min(demand.blank.width for demand in each.demands)
    thinnest = min(demand.blank.thickness for demand in each.demands)
    kerf = min((saw.kerf for saw in saws), default=0)
    return 2 * narrowest + kerf <= stick.width or 2 * thinnest + kerf <= stick.thickness


def _tree(pattern: StickPattern, lengths: Mapping[str, Ticks]) -> Node:
    names = [name for name, count in pattern.counts for _ in range(count)]
    return Node(
        plane=Plane.CROSSCUT,
        sizes=tuple(lengths[name] for name in names),
        children=tuple(Leaf(blank=name) for name in names),
    )
