"""One group of sheets: the trade's words become the search's numbers, and back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.certificate import Certificate
from nesting.model.problem import Budget, Problem
from nesting.model.result import CutStock, Unplaced
from nesting.model.stock import Stock
from nesting.model.terms import Form, Grain, Guide, Plane, Prefer, StoppedBy
from nesting.model.tree import SheetTree
from nesting.solve.damaged import Damaged
from nesting.solve.groups import Group
from nesting.solve.hauled_sheets import is_too_large
from nesting.solve.layout import lay_out
from nesting.solve.one_more import OneMore, one_more
from nesting.solve.priorities import weighed
from nesting.solve.proof import FEW_NODES
from nesting.solve.reach import Way, kerfs, narrowest_kerfs, ways_to_cut
from nesting.solve.runs import Row, as_one, cut_up, rows_of, single
from nesting.solve.sheet_ways import needs_cutting
from nesting.solve.sheets import solve_sheets
from nesting.solve.sheets.certify import certify
from nesting.solve.sheets.linear import linear_bound
from nesting.solve.sheets.problem import (
    MOST_GUIDES,
    SheetAnswer,
    SheetGoal,
    SheetPart,
    SheetProblem,
    SheetStock,
)
from nesting.solve.solved import Solved
from nesting.solve.why_not import too_little, why_not
from nesting.trade.defaults import default_length

_PROOF_WORK = 20_000
_PROOF_CELLS = 30_000
_PER_MILLION: Final = {
    Prefer.OFFCUTS: (500, 50),
    Prefer.SETTINGS: (20_000, 500),
    Prefer.CUTS: (500, 5_000),
}
"""Of the largest sheet: what a setting less is worth, and a cut less."""


def solve_sheet_group(each: Group, problem: Problem, budget: Budget) -> Solved:
    """Lay the blanks of one sheet material out.

    Parameters
    ----------
    each
        The blanks and sheets.
    problem
        The whole problem, for its saws, stages and seed.
    budget
        For this group.

    Returns
    -------
    Solved
        With the reason for whatever is not placed.
    """
    ways = ways_to_cut(problem.saws, Form.SHEET, _thickness(each))
    rows = {row.name: row for row in rows_of(each)}
    asked = sheet_question(each, problem, ways)
    question, notes = weighed(asked, _priorities(each, rows), each.name)
    answer = _ask(question, problem, budget, each)
    saws: tuple[str, ...] = ()
    leasts = [
        (kerfs(ways, plane) or (0, 0))[0] for plane in (Plane.CROSSCUT, Plane.RIP)
    ]
    if answer.unplaced and question.kerf_x + question.kerf_y > sum(leasts):
        # What does not fit by the widest kerf may fit by the narrowest saw alone.
        least = max(leasts)
        narrow = tuple(way for way in ways if way.kerf <= least)
        asked = sheet_question(each, problem, narrow)
        retry, _ = weighed(asked, _priorities(each, rows), each.name)
        again = _ask(retry, problem, budget, each)
        if _missing(again, retry) < _missing(answer, question):
            answer = replace(again, lower_bound=answer.lower_bound, basis=answer.basis)
            saws = tuple(dict.fromkeys(way.saw.name for way in narrow))
    short = {
        name: count
        for name, count in answer.unplaced
        if why_not(_shape(name, each, rows), each, ways, problem) == too_little(each)
    }
    more = OneMore(notes=(), work=0)
    if short:
        more = one_more(
            question,
            short,
            each.stock,
            lambda asked, own: _ask(asked, problem, own, each),
            budget,
        )
    return Solved(
        trees=tuple(
            CutStock(stock=stock, tree=cut_up(tree, rows), saws=saws)
            for stock, tree in answer.sheets
        ),
        unplaced=_unplaced(answer, each, ways, rows, problem),
        value=answer.cost,
        lower_bound=answer.lower_bound,
        basis=answer.basis,
        stopped_by=answer.stopped_by,
        work=answer.work + more.work,
        notes=(notes if answer.unplaced else ()) + more.notes,
        certificate=_certificate(question, answer, each, problem),
    )


def _certificate(
    question: SheetProblem, answer: SheetAnswer, each: Group, problem: Problem
) -> Certificate | None:
    """Return a proof of the answer's bound that anyone can check again, if it has one.

    It takes every saw that cuts so thick as one that might make any cut.
    """
    is_proved = answer.lower_bound == answer.cost
    if answer.unplaced or answer.cost == 0:
        return None
    if not is_proved and answer.stopped_by is StoppedBy.CANCELLED:
        return None
    thickness = min(stock.thickness for stock in each.stock)
    thickness = min(thickness, _thickness(each))
    kerf_x, kerf_y = narrowest_kerfs(problem.every_saw, Form.SHEET, thickness)
    asked = replace(question, least_kerf_x=kerf_x, least_kerf_y=kerf_y)
    known = [answer.duals] if answer.duals else []
    if not is_proved:
        return certify(asked, answer.lower_bound, known, most_nodes=FEW_NODES)
    return certify(asked, answer.cost, known) or _by_linear_program(asked, answer.cost)


def _by_linear_program(asked: SheetProblem, value: int) -> Certificate | None:
    """Return a proof by duals that are found for it, after other ways have failed."""
    try:
        linear = linear_bound(
            asked, most_work=_PROOF_WORK, most_cells=_PROOF_CELLS, goal=value
        )
    except ArithmeticError:  # the linear program was not solved
        return None
    return certify(asked, value, [linear.duals]) if linear.duals else None


def _priorities(each: Group, rows: Mapping[str, Row]) -> dict[str, int]:
    """Return the priority of each part of the search; a run has its members' best."""
    own = {demand.blank.id: demand.priority for demand in each.demands}
    of_rows = {
        name: min(own[member] for member in row.run.members)
        for name, row in rows.items()
    }
    return own | of_rows


def _thickness(each: Group) -> int:
    return max(demand.blank.thickness for demand in each.demands)


def _missing(answer: SheetAnswer, question: SheetProblem) -> int:
    """Return the area that is left out, by what it weighs."""
    left = dict(answer.unplaced)
    return sum(
        left.get(part.id, 0) * part.length * part.width * part.weight
        for part in question.parts
    )


def sheet_question(
    each: Group, problem: Problem, ways: tuple[Way, ...]
) -> SheetProblem:
    """Return what the search is asked about a group, with its runs as single parts."""
    crosscut = kerfs(ways, Plane.CROSSCUT) or (0, 0)
    rip = kerfs(ways, Plane.RIP) or (0, 0)
    widest = {Plane.CROSSCUT: crosscut[1], Plane.RIP: rip[1]}
    rows = rows_of(each)
    haul = problem.haul_sheet
    closest = crosscut[1] + rip[1]
    if haul is not None and any(is_too_large(stock, haul) for stock in each.stock):
        closest = haul.saw.kerf + 2 * haul.tolerance
    return SheetProblem(
        parts=tuple(
            SheetPart(
                id=demand.blank.id,
                length=demand.blank.length,
                width=demand.blank.width,
                quantity=demand.quantity,
                grain_bound=demand.blank.grain is Grain.LENGTH,
            )
            for demand in single(each, rows)
        )
        + tuple(as_one(row, each.stock, widest) for row in rows),
        stock=tuple(
            SheetStock(
                id=stock.id,
                length=stock.usable_length,
                width=stock.usable_width,
                cost=each.cost(stock),
                limit=stock.limit,
                grain_along_length=stock.grain is Grain.LENGTH,
                trim=stock.trim,
            )
            for stock in each.stock
        ),
        kerf_x=crosscut[1],
        kerf_y=rip[1],
        # Between two pieces that the store cuts apart there may be less than that.
        least_kerf_x=min(crosscut[0], closest),
        least_kerf_y=min(rip[0], closest),
        ways=ways,
        stages=problem.stages,
        goal=_goal(each, problem, ways),
    )


def _goal(each: Group, problem: Problem, ways: Sequence[Way]) -> SheetGoal | None:
    """Say in square ticks what is preferred among plans of one cost."""
    if problem.prefer is None:
        return None
    held = (way for way in ways if way.guide is not Guide.LINE)
    numbers = {key: n for n, key in enumerate(dict.fromkeys(map(_held_by, held)))}
    largest = max((s.usable_length * s.usable_width for s in each.stock), default=0)
    setting, cut = _PER_MILLION[problem.prefer]
    return SheetGoal(
        keeps=tuple(
            size
            for one in problem.offcuts.sheet
            for size in dict.fromkeys((one, one[::-1]))
        ),
        setting=largest * setting // 1_000_000,
        cut=largest * cut // 1_000_000,
        handy=(
            default_length("handy_sheet_length"),
            default_length("handy_sheet_width"),
        ),
        guides=tuple(min(numbers.get(_held_by(way), -1), MOST_GUIDES) for way in ways),
    )


def _held_by(way: Way) -> tuple[str, Guide]:
    """Return what is set for a way of cutting."""
    return way.saw.name, way.guide


def _ask(
    question: SheetProblem, problem: Problem, budget: Budget, each: Group
) -> SheetAnswer:
    if not question.stock or not question.ways:
        return SheetAnswer(
            sheets=(),
            unplaced=tuple((part.id, part.quantity) for part in question.parts),
            cost=0,
            lower_bound=0,
            basis="nothing to cut it from",
            stopped_by=StoppedBy.PROOF,
            work=0,
        )
    if any(needs_cutting(stock, problem.haul_sheet) for stock in each.stock):
        return _ask_damaged(question, problem, budget, each)
    return solve_sheets(question, seed=problem.seed, budget=budget, scope=each.name)


def _ask_damaged(
    question: SheetProblem, problem: Problem, budget: Budget, each: Group
) -> SheetAnswer:
    saws = [
        saw
        for saw in problem.saws
        if any(way.saw.name == saw.name for way in question.ways)
    ]

    rows = {row.name: row for row in rows_of(each)}
    blanks = {demand.blank.id: demand.blank for demand in each.demands}

    def can_cut(stock: Stock, tree: SheetTree) -> bool:
        try:
            lay_out(
                cut_up(tree, rows),
                stock,
                saws,
                blanks=blanks,
                offcuts=problem.offcuts,
                layout="-",
            )
        except InfeasibleError:
            return False
        return True

    asked = Damaged(
        question,
        each.stock,
        can_cut=can_cut,
        keeps=lambda rect: problem.offcuts.keeps(Form.SHEET, rect.length, rect.width),
        haul=problem.haul_sheet,
    )
    return asked.solve(seed=problem.seed, budget=budget, scope=each.name)


def _unplaced(
    answer: SheetAnswer,
    each: Group,
    ways: tuple[Way, ...],
    rows: Mapping[str, Row],
    problem: Problem,
) -> tuple[Unplaced, ...]:
    """Return the blanks without a place; those of a run are all without one."""
    blanks = {demand.blank.id: demand.blank for demand in each.demands}
    missing: list[Unplaced] = []
    for name, count in answer.unplaced:
        if name not in rows:
            why = why_not(blanks[name], each, ways, problem)
            missing.append(Unplaced(blank=name, quantity=count, why=why))
            continue
        row = rows[name]
        reason = why_not(_shape(name, each, rows), each, ways, problem)
        why = f"run {row.run.id} is cut from one place: {reason}"
        missing += [
            Unplaced(blank=blank, quantity=times, why=why)
            for blank, times in Counter(row.run.members).items()
        ]
    return tuple(missing)


def _shape(name: str, each: Group, rows: Mapping[str, Row]) -> Blank:
    """Return a part of the search as a blank, a run as one without kerfs."""
    if name not in rows:
        return next(d.blank for d in each.demands if d.blank.id == name)
    row = rows[name]
    length, width = row.size(0)
    return replace(row.blanks[0], length=length, width=width, grain=row.grain)
