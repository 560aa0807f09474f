"""A family of lumber sections as boards: crosscut, ripped, resawn, crosscut again.

The problem of `boards` knows no single saw: it takes the widest kerf that may make a
cut, and the bounds the narrowest. Whether a tree can be cut is asked of the layout
itself; what no saw reaches is put on boards of its own, by lengths only.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.problem import Budget, Problem
from nesting.model.result import CutStock, Unplaced
from nesting.model.stock import Stock
from nesting.model.terms import Form, Guide, Place, Plane
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
from nesting.solve.lumber_reach import (
    asked_resawn,
    is_plain,
    why_not_cut,
    why_not_resawn,
)
from nesting.solve.reach import (
    kerfs,
    narrowest_kerfs,
    ways_to_cut,
)
from nesting.solve.rip_first import ripped_first
from nesting.solve.slices import layers_in
from nesting.solve.solved import Solved
from nesting.solve.wood import by_volume, volume_bound
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
    resawn = asked_resawn(problem)
    refused = {
        demand.blank.id: why
        for demand in each.demands
        if (why := _why_not(demand.blank, each, problem, resawn))
    }
    awkward = {
        demand.blank.id: demand.quantity
        for demand in each.demands
        if demand.blank.id not in refused
        and not _plain_sections(demand.blank, each, problem, resawn)
    }
    question = _question(each, problem, {*refused, *awkward}, resawn)
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
    missing = Counter(dict(answer.unplaced)) + lost + Counter(awkward)
    hard = {
        demand.blank.id: missing[demand.blank.id]
        for demand in each.demands
        if demand.blank.id in {*awkward, *lost} or _is_plenty(demand.blank, each)
    }
    more: list[tuple[str, Tree]] = []
    if any(hard.values()):
        more = ripped_first(
            hard,
            Counter(name for name, _ in boards),
            each,
            problem,
            resawn=resawn,
            is_cut=lambda name, tree: not _cuttable([(name, tree)], each, problem)[1],
        )
        boards += more
        missing -= Counter(leaf for _, tree in more for leaf in _leaves(tree))
    missing += Counter(
        {d.blank.id: d.quantity for d in each.demands if d.blank.id in refused}
    )
    bound, basis, certificate = answer.lower_bound, answer.basis, None
    if more and (wood := volume_bound(each)) > bound:
        bound, basis = wood, "volume of wood"
        certificate = None if missing else by_volume(each, bound)
    elif not more and not basis.startswith("search"):
        certificate = certify_boards(
            _as_checked(question, each, problem), bound, answer.vectors
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
        lower_bound=bound,
        basis=basis,
        stopped_by=answer.stopped_by,
        work=answer.work,
        certificate=certificate,
    )


def _as_checked(question: BoardProblem, each: Group, problem: Problem) -> BoardProblem:
    """Return the question as whoever checks a proof sees it.

    Any saw that resaws reaches, every part may stay as thick as its board, and strips
    may be as narrow as one likes; only the maker's own limit of length holds.
    """
    blanks = {demand.blank.id: demand.blank for demand in each.demands}
    thickness = {stock.section: stock.thickness for stock in each.stock}
    saws = [
        replace(
            saw,
            place=Place.SHOP,
            tallest=None,
            longest_cut=None,
            widest_rip=None,
            narrowest_rip=None,
        )
        for saw in problem.saws
        if saw.tallest is None or saw.tallest >= _thinnest(each)
    ]
    parts = []
    for part in question.parts:
        most = {
            section: layers_in(blanks[part.id], thickness[section], saws)[1]
            for section in blanks[part.id].own_sections
            if section in thickness
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


def _is_plenty(blank: Blank, each: Group) -> bool:
    """Tell whether there is no end of some stock that a blank may come from."""
    return any(
        stock.limit is None
        for stock in each.stock
        if stock.section in blank.own_sections
    )


def _why_left(blank: str, each: Group, lost: Counter[str]) -> str:
    of = next(d.blank for d in each.demands if d.blank.id == blank)
    if lost[blank] or _is_plenty(of, each):
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
                rough=problem.longest_rough,
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
    each: Group,
    problem: Problem,
    refused: Collection[str],
    resawn: Collection[str],
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
            _part(demand, each, problem, resawn)
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


def _plain_sections(
    blank: Blank, each: Group, problem: Problem, resawn: Collection[str]
) -> set[str]:
    """Return the sections that a blank is crosscut from, then ripped, if it is.

    Where nothing rips, the search resaws nothing.
    """
    return {
        stock.section
        for stock in each.stock
        if stock.section in blank.own_sections
        and not _why_not_from(blank, stock, problem)
        and is_plain(blank, stock, problem)
        and (blank.id not in resawn or _rips(stock, problem))
    }


def _rips(stock: Stock, problem: Problem) -> bool:
    ways = ways_to_cut(problem.saws, Form.BOARD, stock.thickness)
    return kerfs(ways, Plane.RIP) is not None


def _part(
    demand: Demand, each: Group, problem: Problem, resawn: Collection[str]
) -> BoardPart:
    blank = demand.blank
    thickness = {stock.section: stock.thickness for stock in each.stock}
    able = {
        stock.section
        for stock in each.stock
        if not _why_not_from(blank, stock, problem)
    }
    plain = _plain_sections(blank, each, problem, resawn)
    layers = {
        section: layers_in(blank, thickness[section], problem.saws)
        for section in blank.own_sections
        if section in able
    }
    return BoardPart(
        id=blank.id,
        length=blank.length,
        width=blank.width,
        thickness=blank.thickness if blank.resawn is None else blank.resawn,
        quantity=demand.quantity,
        layers={s: surely for s, (surely, _) in layers.items() if s in plain},
        most_layers={section: most for section, (_, most) in layers.items()},
        # What can be resawn is not planed away.
        may_stay_thick=all(layers[s][0] < 2 for s in plain if s in layers),
        square=blank.square_edges,
    )


def _why_not(
    blank: Blank, each: Group, problem: Problem, resawn: Collection[str]
) -> str:
    """Return why a blank can be cut from no board of its group, or nothing."""
    own = [s for s in each.stock if s.section in blank.own_sections]
    if not own:
        return f"there is no stock of {each.material} {blank.section}".rstrip()
    own.sort(key=lambda stock: -stock.usable_length)
    reasons = [
        _why_not_from(blank, stock, problem)
        or (why_not_resawn(blank, stock, problem) if blank.id in resawn else "")
        for stock in own
    ]
    return "" if "" in reasons else reasons[0]


def _why_not_from(blank: Blank, stock: Stock, problem: Problem) -> str:
    name = f"{stock.material} {stock.section}"
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
    return why_not_cut(blank, stock, problem)
