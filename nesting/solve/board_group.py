"""A family of lumber sections as boards: crosscut, ripped, resawn, crosscut again.

The problem of `boards` knows no single saw: it takes the widest kerf that may make a
cut, and the bounds the narrowest. Whether a tree can be cut is asked of the layout
itself; what no saw reaches is put on boards of its own, by lengths only.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.problem import Budget, Problem
from nesting.model.result import CutStock, Unplaced
from nesting.model.shop import Saw
from nesting.model.stock import Stock
from nesting.model.terms import Form, Guide, Plane
from nesting.model.tree import Leaf, Tree
from nesting.solve.boards.certify import certify_boards
from nesting.solve.boards.naive import habit_plan
from nesting.solve.boards.problem import (
    BoardPart,
    BoardProblem,
    BoardStock,
)
from nesting.solve.boards.solver import solve_boards
from nesting.solve.groups import Demand, Group
from nesting.solve.layout import lay_out
from nesting.solve.reach import (
    first_way,
    kerfs,
    narrowest_kerfs,
    ways_to_cut,
    why_not_ripped,
)
from nesting.solve.slices import layers_in
from nesting.solve.solved import Solved
from nesting.units import Ticks

STEP_WORK = 20
"""So much work is one step of the search for boards; a sheet has many in its time."""
FEW_STEPS = 3_000
"""Up to so many, each counts one: little work is enough for a first plan."""


def solve_board_group(each: Group, problem: Problem, budget: Budget) -> Solved:
    """Lay the blanks of one family of sections out on boards.

    Parameters
    ----------
    each
        The blanks and boards.
    problem
        The whole problem, for its saws and seed.
    budget
        For this group.

    Returns
    -------
    Solved
        With the reason for whatever is not placed.
    """
    refused = {
        demand.blank.id: why
        for demand in each.demands
        if (why := _why_not(demand.blank, each, problem.saws))
    }
    question = _question(each, problem, refused)
    steps = max(budget.work // STEP_WORK, min(budget.work, FEW_STEPS))
    answer = solve_boards(
        question,
        seed=problem.seed,
        budget=replace(budget, work=steps),
        scope=each.name,
    )
    boards, lost = _cuttable(answer.boards, each, problem)
    if lost:
        again, lost = _cuttable(_plainly(question, boards, lost), each, problem)
        boards += again
    missing = Counter(dict(answer.unplaced)) + lost
    missing += Counter(
        {d.blank.id: d.quantity for d in each.demands if d.blank.id in refused}
    )
    costs = {stock.id: each.cost(stock) for stock in each.stock}
    return Solved(
        trees=tuple(CutStock(stock=stock, tree=tree) for stock, tree in boards),
        unplaced=tuple(
            Unplaced(
                blank=blank,
                quantity=count,
                why=refused.get(blank) or _why_left(blank, each, lost),
            )
            for blank, count in missing.items()
        ),
        value=sum(costs[stock] for stock, _ in boards),
        lower_bound=answer.lower_bound,
        basis=answer.basis,
        stopped_by=answer.stopped_by,
        work=answer.work,
        certificate=(
            None
            if answer.basis.startswith("search")
            else certify_boards(
                _as_checked(question, each, problem),
                answer.lower_bound,
                answer.vectors,
            )
        ),
    )


def _as_checked(question: BoardProblem, each: Group, problem: Problem) -> BoardProblem:
    """Return the question as whoever checks a proof sees it.

    Any saw that resaws reaches, every part may stay as thick as its board, and strips
    may be as narrow as one likes; only the maker's own limit of length holds.
    """
    blanks = {demand.blank.id: demand.blank for demand in each.demands}
    thickness = {stock.section: stock.thickness for stock in each.stock}
    saws = [
        replace(saw, tallest=None, longest_cut=None)
        for saw in problem.saws
        if saw.tallest is None or saw.tallest >= _thinnest(each)
    ]
    parts = []
    for part in question.parts:
        most = {
            section: layers_in(blanks[part.id], thickness[section], saws)[1]
            for section in part.most_layers
        }
        parts.append(replace(part, most_layers=most, may_stay_thick=True))
    return replace(
        question,
        parts=tuple(parts),
        longest_rough=problem.longest_rough,
        narrowest_rip=0,
    )


def _thinnest(each: Group) -> Ticks:
    return min(
        [stock.thickness for stock in each.stock]
        + [demand.blank.thickness for demand in each.demands],
        default=0,
    )


def _why_left(blank: str, each: Group, lost: Counter[str]) -> str:
    if lost[blank]:
        return f"no saw of the shop makes the cuts it needs on {each.name}"
    return f"the limited stock of {each.name} does not hold everything"


def _plainly(
    question: BoardProblem, boards: Sequence[tuple[str, Tree]], lost: Counter[str]
) -> tuple[tuple[str, Tree], ...]:
    """Return boards for what was lost, cut in the simplest way, from what is left."""
    used = Counter(name for name, _ in boards)
    return habit_plan(
        replace(
            question,
            parts=tuple(
                replace(part, quantity=lost[part.id]) for part in question.parts
            ),
            stock=tuple(
                one
                if one.limit is None
                else replace(one, limit=max(0, one.limit - used[one.id]))
                for one in question.stock
            ),
        )
    ).boards


def _cuttable(
    boards: Sequence[tuple[str, Tree]], each: Group, problem: Problem
) -> tuple[list[tuple[str, Tree]], Counter[str]]:
    """Return the boards that can be cut, and the blanks of those that cannot."""
    stock = {one.id: one for one in each.stock}
    blanks = {demand.blank.id: demand.blank for demand in each.demands}
    kept: list[tuple[str, Tree]] = []
    lost: Counter[str] = Counter()
    for name, tree in boards:
        try:
            lay_out(
                tree,
                stock[name],
                problem.saws,
                blanks=blanks,
                offcuts=problem.offcuts,
                layout="-",
            )
        except InfeasibleError:
            lost.update(leaf for leaf in _leaves(tree))
        else:
            kept.append((name, tree))
    return kept, lost


def _leaves(tree: Tree) -> list[str]:
    if isinstance(tree, Leaf):
        return [tree.blank]
    return [name for child in tree.children for name in _leaves(child)]


def _question(
    each: Group, problem: Problem, refused: Mapping[str, str]
) -> BoardProblem:
    """Say the group's problem in numbers."""
    ways = [
        way
        for thickness in {stock.thickness for stock in each.stock}
        for way in ways_to_cut(problem.saws, Form.BOARD, thickness)
    ]
    widest = {
        plane: (kerfs(ways, plane) or (0, 0))[1]
        for plane in (Plane.CROSSCUT, Plane.RIP)
    }
    least_x, least_y = narrowest_kerfs(problem.every_saw, Form.BOARD, _thinnest(each))
    rips = [way for way in ways if way.plane is Plane.RIP and way.guide is Guide.FENCE]
    reach = [way.longest_run for way in rips]
    longest = None if None in reach or not reach else max(r for r in reach if r)
    limits = [each for each in (longest, problem.longest_rough) if each is not None]
    asking = [demand.blank.square_edges for demand in each.demands]
    if all(asking):  # each strip is to have square edges: there is that much less
        width = {stock.id: stock.square_width for stock in each.stock}
    else:
        width = {stock.id: stock.usable_width for stock in each.stock}
    return BoardProblem(
        parts=tuple(
            _part(demand, each, problem.saws)
            for demand in each.demands
            if demand.blank.id not in refused
        ),
        stock=tuple(
            BoardStock(
                id=stock.id,
                section=stock.section,
                length=stock.usable_length,
                width=width[stock.id],
                cost=each.cost(stock),
                limit=stock.limit,
                eased=stock.eased if any(asking) and not all(asking) else 0,
            )
            for stock in each.stock
        ),
        kerf_x=widest[Plane.CROSSCUT],
        kerf_y=widest[Plane.RIP],
        least_kerf_x=least_x,
        least_kerf_y=least_y,
        longest_rough=min(limits, default=None),
        narrowest_rip=min((way.smallest_measure for way in rips), default=0),
        crook=max((stock.crook for stock in each.stock), default=0),
        keeps=None if problem.prefer is None else problem.offcuts.stick,
    )


def _part(demand: Demand, each: Group, saws: Sequence[Saw]) -> BoardPart:
    blank = demand.blank
    thickness = {stock.section: stock.thickness for stock in each.stock}
    layers = {
        section: layers_in(blank, thickness[section], saws)
        for section in blank.sections or (blank.section,)
        if section in thickness
    }
    return BoardPart(
        id=blank.id,
        length=blank.length,
        width=blank.width,
        thickness=blank.thickness if blank.resawn is None else blank.resawn,
        quantity=demand.quantity,
        layers={section: surely for section, (surely, _) in layers.items()},
        most_layers={section: most for section, (_, most) in layers.items()},
        # What can be resawn is not planed away.
        may_stay_thick=all(surely < 2 for surely, _ in layers.values()),
        square=blank.square_edges,
    )


def _why_not(blank: Blank, each: Group, saws: Sequence[Saw]) -> str:
    """Return why a blank can be cut from no board of its group, or nothing."""
    own = [s for s in each.stock if s.section in (blank.sections or (blank.section,))]
    if not own:
        return f"there is no stock of {each.material} {blank.section}".rstrip()
    reasons = [_why_not_from(blank, stock, saws) for stock in own]
    return "" if "" in reasons else reasons[0]


def _why_not_from(blank: Blank, stock: Stock, saws: Sequence[Saw]) -> str:
    name = f"{stock.material} {stock.section}"
    ways = ways_to_cut(saws, Form.BOARD, stock.thickness)
    if first_way(ways, Plane.CROSSCUT, stock.width, 0) is None:
        return f"no saw of the shop crosscuts {name}"
    if blank.length > stock.usable_length:
        return f"it is longer than any board of {name} between its end trims"
    if blank.width > stock.usable_width:
        return f"it is wider than {name} between its trims"
    if blank.square_edges and blank.width > stock.square_width:
        return f"it is wider than {name} between its rounded edges"
    if (
        blank.width < stock.width
        and not blank.minimum
        and blank.width
        > (stock.straight_width(blank.length, square=blank.square_edges))
    ):
        return f"it is wider than {name} once that has a straight edge"
    is_ripped = blank.width < stock.width and not blank.minimum
    is_ripped |= blank.square_edges and stock.eased > 0
    return why_not_ripped(ways, blank, name) if is_ripped else ""
