"""How near the best a plan is, in honest words.

A bound is a floor: nothing can be cheaper (or smaller, or fewer). What lies between
the floor and the plan may be waste, or the floor may just be low; the words say only
what is known. A percentage is left out where one piece of stock more or less would
make it look like a verdict.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nesting.model.plan import Plan, PlanBound
    from nesting.render.wording import Wording

_FEW = 10
"""With fewer pieces of stock than this a percentage says little."""


def say_nearness(bound: PlanBound, plan: Plan, wording: Wording) -> str:
    """Return a sentence or two on one bound of a plan."""
    scope = bound.title
    gap = bound.value - bound.lower_bound
    if gap <= 0:
        better = {"cost": "cheaper", "count": "made of fewer pieces"}
        than = better.get(bound.objective, "made of less stock")
        if bound.proven:
            if bound.certificate is not None:
                how = f"proved and re-checked, no plan is {than} ({bound.basis})"
            elif bound.is_by_search:
                how = f"proved by {bound.basis}; not re-checked; no plan is {than}"
            else:
                how = f"no plan is {than}: {bound.basis}"
            return f"{scope}: {how}."
        return f"{scope}: no plan is {than}, by a bound that was not re-checked."
    stock = _stock_in(bound, plan)
    match bound.objective:
        case "count":
            word = _forms(bound, plan, gap)
            above = f"{gap} {word}{_percent(gap, bound.lower_bound, stock)}"
            floor = f"no plan needs fewer than {bound.lower_bound}"
            this = f"this one takes {bound.value}"
        case "cost":
            above = wording.money(gap) + _percent(gap, bound.lower_bound, stock)
            floor = f"no plan costs less than {wording.money(bound.lower_bound)}"
            this = f"this one costs {wording.money(bound.value)}"
        case _:
            share = _share(gap, bound.lower_bound)
            above = f"{share} of stock" if share else "a little stock"
            floor = "a bound that no plan can beat"
            this = "found by the search"
    return f"{scope}: at most {above} above the best there can be; {floor}, {this}." + (
        _caveat(bound, plan, gap, stock)
    )


def _caveat(bound: PlanBound, plan: Plan, gap: int, stock: int) -> str:
    """Return what keeps a gap from being read as waste."""
    prices = [
        offer.price_cents
        for offer in plan.offers
        if offer.material in bound.scope and offer.price_cents
    ]
    one = gap <= 1 if bound.objective == "count" else False
    if bound.objective == "cost":
        one = bool(prices) and gap <= max(prices)
    if one:
        return " That leaves room for one piece of stock less, if that; perhaps none."
    if stock < _FEW:
        return " The best may well be this plan: so few pieces leave the floor low."
    return ""


def _stock_in(bound: PlanBound, plan: Plan) -> int:
    """Return how many pieces of stock a bound speaks of."""
    return sum(bound.covers(layout.material, layout.section) for layout in plan.layouts)


def _forms(bound: PlanBound, plan: Plan, count: int) -> str:
    forms = {lay.form for lay in plan.layouts if lay.material in bound.scope}
    word = forms.pop() if len(forms) == 1 else "piece"
    return word if count == 1 else f"{word}s"


def _percent(gap: int, floor: int, stock: int) -> str:
    """Return the gap as a share in brackets, where there is stock enough to say so."""
    share = _share(gap, floor)
    return f" ({share})" if share and stock >= _FEW else ""


def _share(gap: int, floor: int) -> str:
    """Return a gap in percent of its floor, rounded up."""
    if floor <= 0:
        return ""
    tenths = -(-1000 * gap // floor)
    return (
        f"{tenths // 10}.{tenths % 10} %" if tenths < 100 else f"{-(-tenths // 10)} %"
    )
