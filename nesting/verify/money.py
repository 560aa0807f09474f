"""The shopping list and the sums over the plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from nesting.model.plan import Offer, Plan, Violation
from nesting.model.terms import Origin
from nesting.verify.rules import Rule, broken


def check_purchases(plan: Plan) -> Iterator[Violation]:
    """Hold the shopping list against the layouts (rule ``purchase``).

    Each store stock that layouts use is on one line, with its material, as many as the
    layouts that use it, and that many times the price of its offer, or no cost where
    the offer has no price. Nothing else is on the list: what is owned is not bought.
    """
    offers: Mapping[str, Offer] = {offer.id: offer for offer in reversed(plan.offers)}
    used = Counter(
        layout.stock.name
        for layout in plan.layouts
        if layout.stock.origin == Origin.STORE.value
    )
    lines = Counter(purchase.stock for purchase in plan.purchases)
    for stock, count in used.items():
        if lines[stock] != 1:
            what = f"{count} are used, and {lines[stock]} lines of the list are of it"
            yield broken(Rule.PURCHASE, f"stock {stock!r}", what)
    for purchase in plan.purchases:
        where = f"purchase {purchase.stock!r}"
        if purchase.qty != used[purchase.stock] or purchase.qty == 0:
            what = f"{purchase.qty} are bought, {used[purchase.stock]} are used"
            yield broken(Rule.PURCHASE, where, what)
        offer = offers.get(purchase.stock)
        if offer is None:
            yield broken(Rule.PURCHASE, where, "it is not offered")
            continue
        if purchase.material != offer.material:
            what = f"it is of {offer.material!r}, not of {purchase.material!r}"
            yield broken(Rule.PURCHASE, where, what)
        price = offer.price_cents
        cost = None if price is None else price * purchase.qty
        if purchase.cost_cents != cost:
            what = f"it costs {purchase.cost_cents}; by its price it is {cost}"
            yield broken(Rule.PURCHASE, where, what)


def check_totals(plan: Plan) -> Iterator[Violation]:
    """Add up anew (rule ``total``).

    `stock_cents` and `hardware_cents` are the lines that have a price, `cost_cents`
    both together, `unpriced` the number of lines that have none. `layouts`, `cuts` and
    `settings` are counted (glue-ups too), `blanks` and `parts` are the sums of their
    quantities, placed or not.
    """
    bought = [purchase.cost_cents for purchase in plan.purchases]
    hardware = [item.cost_cents for item in plan.hardware]
    stock_cents = sum(cost for cost in bought if cost is not None)
    hardware_cents = sum(cost for cost in hardware if cost is not None)
    totals = plan.totals
    for name, said, sum_ in (
        ("cost_cents", totals.cost_cents, stock_cents + hardware_cents),
        ("stock_cents", totals.stock_cents, stock_cents),
        ("hardware_cents", totals.hardware_cents, hardware_cents),
        ("unpriced", totals.unpriced, bought.count(None) + hardware.count(None)),
        ("layouts", totals.layouts, len(plan.layouts)),
        ("cuts", totals.cuts, sum(len(layout.cuts) for layout in plan.layouts)),
        ("settings", totals.settings, len(plan.settings)),
        ("blanks", totals.blanks, sum(blank.qty for blank in plan.blanks)),
        ("parts", totals.parts, sum(part.qty for part in plan.parts)),
    ):
        if said != sum_:
            what = f"{name} is {said}; it adds up to {sum_}"
            yield broken(Rule.TOTAL, "totals", what)
