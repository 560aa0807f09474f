"""Advice for the store: its sums, as far as the plan's own offers tell them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from nesting.model.plan import Offer, Plan, Purchase, Violation
from nesting.model.terms import Origin
from nesting.verify.rules import Rule, broken


def check_advice(plan: Plan) -> Iterator[Violation]:
    """Find advice that does not add up (rule ``advice``).

    What is missing is on the shopping list, and is not taken instead; what is taken is
    offered by the store, of that material, at its price and within its limit; the
    difference is that of the sums. As many pieces are owned as are used. Spares are of
    what is bought, at its price.
    """
    offers: Mapping[str, Offer] = {offer.id: offer for offer in reversed(plan.offers)}
    bought = {line.stock for line in plan.purchases}
    for other in plan.advice.alternatives:
        where = f"instead of {other.missing!r}"
        if other.missing not in bought:
            yield broken(Rule.ADVICE, where, "that is not on the shopping list")
        planned = [p for p in plan.purchases if p.material == other.material]
        for line in other.instead:
            if line.stock == other.missing or line.material != other.material:
                what = f"{line.stock!r} is what is missing, or of another material"
                yield broken(Rule.ADVICE, where, what)
            yield from _line(line, offers, where)
        sums = [line.cost_cents for line in (*other.instead, *planned)]
        more = None
        if None not in sums:
            more = _sum(other.instead) - _sum(planned)
        if other.more_cents != more:
            what = f"it costs {other.more_cents} more; it adds up to {more}"
            yield broken(Rule.ADVICE, where, what)
    owned = Counter(
        layout.material
        for layout in plan.layouts
        if layout.stock.origin in (Origin.RACK.value, Origin.BENCH.value)
    )
    for saving in plan.advice.rack:
        if saving.pieces != owned[saving.material]:
            where = f"rack saving of {saving.material!r}"
            what = f"{saving.pieces} pieces; {owned[saving.material]} are used"
            yield broken(Rule.ADVICE, where, what)
    for spare in plan.advice.spares:
        where = f"spare {spare.stock!r}"
        offer = offers.get(spare.stock)
        if spare.stock not in bought or offer is None:
            yield broken(Rule.ADVICE, where, "that is not on the shopping list")
        elif offer.material != spare.material:
            yield broken(Rule.ADVICE, where, f"it is no {spare.material}")
        yield from _price(spare.stock, spare.qty, spare.cost_cents, offers, where)


def _line(
    line: Purchase, offers: Mapping[str, Offer], where: str
) -> Iterator[Violation]:
    offer = offers.get(line.stock)
    if offer is None or offer.material != line.material:
        yield broken(Rule.ADVICE, where, f"{line.stock!r} is not offered")
        return
    if offer.origin != Origin.STORE.value:
        yield broken(Rule.ADVICE, where, f"{line.stock!r} is not sold")
    if offer.limit is not None and line.qty > offer.limit:
        what = f"{line.qty} of {line.stock!r}, and there are {offer.limit}"
        yield broken(Rule.ADVICE, where, what)
    yield from _price(line.stock, line.qty, line.cost_cents, offers, where)


def _price(
    stock: str,
    qty: int,
    cost: int | None,
    offers: Mapping[str, Offer],
    where: str,
) -> Iterator[Violation]:
    offer = offers.get(stock)
    price = None if offer is None else offer.price_cents
    if cost != (None if price is None else price * qty):
        what = f"{qty} of {stock!r} cost {cost}, which is not its price"
        yield broken(Rule.ADVICE, where, what)


def _sum(lines: tuple[Purchase, ...] | list[Purchase]) -> int:
    return sum(line.cost_cents or 0 for line in lines)
