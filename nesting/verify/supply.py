"""Whether the stock of the layouts is among what could be had."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Final

from nesting.model.plan import Offer, Plan, Violation
from nesting.verify.rules import Rule, broken

_OF_STOCK: Final = (
    "length",
    "width",
    "thickness",
    "grain",
    "origin",
    "tag",
    "price_cents",
    "zones",
)
_OF_LAYOUT: Final = ("material", "section", "form")


def check_supply(plan: Plan) -> Iterator[Violation]:
    """Hold the stock of every layout, glue-ups apart, against its offer.

    Rule ``stock``: the offer of that name exists and is alike in size, material,
    section, form, grain, origin, tag, price and damage. Rule ``limit``: an offer with a
    limit is used no more often, whether it is bought, on the rack or on the bench.
    """
    offers: Mapping[str, Offer] = {offer.id: offer for offer in reversed(plan.offers)}
    used: Counter[str] = Counter()
    for layout in plan.layouts:
        if layout.form == "glueup":
            continue
        where = f"layout {layout.id!r}"
        offer = offers.get(layout.stock.name)
        if offer is None:
            what = f"its stock {layout.stock.name!r} is not offered"
            yield broken(Rule.STOCK, where, what)
            continue
        used[offer.id] += 1
        for record, names in ((layout.stock, _OF_STOCK), (layout, _OF_LAYOUT)):
            for name in names:
                held, offered = getattr(record, name), getattr(offer, name)
                if held != offered:
                    what = f"its {name} is {held}, that of offer {offer.id!r} {offered}"
                    yield broken(Rule.STOCK, where, what)
    for offer in plan.offers:
        if offer.limit is not None and used[offer.id] > offer.limit:
            what = f"it is used {used[offer.id]} times, and {offer.limit} can be had"
            yield broken(Rule.LIMIT, f"offer {offer.id!r}", what)
