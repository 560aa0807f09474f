"""Bounds: what a plan claims about the best that exists."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from nesting.model.plan import Plan, PlanBound, PlanStock, Violation
from nesting.model.terms import Objective, Origin
from nesting.verify.certificate import check_certificate
from nesting.verify.rules import Rule, broken

SEARCH: Final = "search"
"""How the basis of a proof begins that is not checked again."""


def check_bounds(plan: Plan) -> Iterator[Violation]:
    """Hold every bound against the layouts in its scope (rule ``bound``).

    The scope is the layouts of its materials, glue-ups apart, and of its section or its
    sections if it names any. `value` is what their stock counts: its price for a cost,
    1 for a count, length times width for an area; stock that is free, by its price or
    by being owned without one, counts nothing in any of them. The bound is at least 0
    and at most the value. What is proven has a bound equal to its value, and nothing in
    its scope is unplaced; unless there is nothing to pay it has a certificate, which is
    gone through (rule ``certificate``), or its basis says ``search`` first of all, and
    whoever reads it has to trust that. A scope names materials of the plan, each once.
    """
    known = {offer.material for offer in plan.offers}
    known |= {blank.material for blank in plan.blanks}
    for bound in plan.bounds:
        where = f"bound of {', '.join(map(repr, bound.scope))} {bound.section}".rstrip()
        scope = set(bound.scope)
        if not scope or len(scope) < len(bound.scope) or not scope <= known:
            what = "its scope is empty, doubled or names a material the plan has not"
            yield broken(Rule.BOUND, where, what)
        value = _value(plan, bound)
        if value is None:
            what = "its value is a cost, but stock is bought that has no price"
            yield broken(Rule.BOUND, where, what)
        elif bound.value != value:
            what = f"its value is {bound.value}; the layouts add up to {value}"
            yield broken(Rule.BOUND, where, what)
        if not 0 <= bound.lower_bound <= bound.value:
            what = f"the bound {bound.lower_bound} is not from 0 to {bound.value}"
            yield broken(Rule.BOUND, where, what)
        if bound.proven:
            yield from _proven(plan, bound, where)
        yield from check_certificate(plan, bound, where)


def _value(plan: Plan, bound: PlanBound) -> int | None:
    """Return what the stock in scope counts; None where a price is wanting."""
    value = 0
    for layout in plan.layouts:
        if layout.form == "glueup" or not bound.covers(layout.material, layout.section):
            continue
        counts = _counts(layout.stock, bound.objective)
        if counts is None:
            return None
        value += counts
    return value


def _counts(stock: PlanStock, objective: str) -> int | None:
    price = stock.price_cents
    if price is None and stock.origin != Origin.STORE.value:
        price = 0
    if objective == Objective.COST.value or price == 0:
        return price
    if objective == Objective.COUNT.value:
        return 1
    return stock.length * stock.width


def _proven(plan: Plan, bound: PlanBound, where: str) -> Iterator[Violation]:
    if bound.lower_bound != bound.value:
        yield broken(Rule.BOUND, where, "it is called proven, and leaves a gap")
    if bound.is_by_search and not bound.basis.startswith(SEARCH):
        what = "it is called proven, and has neither a certificate nor a search to name"
        yield broken(Rule.BOUND, where, what)
    blanks = {blank.id: blank for blank in plan.blanks}
    for missing in plan.unplaced:
        blank = blanks.get(missing.blank)
        if blank is not None and bound.is_about(blank):
            what = f"it is called proven, and blank {blank.id!r} is unplaced"
            yield broken(Rule.BOUND, where, what)
