"""What lumber costs at least that has enough wood in it, however it is cut."""

from __future__ import annotations

from nesting.model.certificate import Certificate
from nesting.model.stock import Stock
from nesting.solve.groups import Group
from nesting.solve.least_cost import Offer, least_cost
from nesting.solve.sticks.certify import certify_volume


def volume_bound(each: Group) -> int:
    """Return the least cost of lumber with the volume of all blanks between trims."""
    wanted = sum(d.quantity * d.blank.volume for d in each.demands)
    offers = [
        Offer(cost=each.cost(stock), holds=wood_in(stock), limit=stock.limit)
        for stock in each.stock
    ]
    return least_cost(offers, wanted)


def by_volume(each: Group, bound: int) -> Certificate | None:
    """Return a proof of such a bound that anyone can check again, if it has one."""
    return certify_volume(
        [(d.blank.id, d.blank.volume, d.quantity) for d in each.demands],
        [(s.id, wood_in(s), each.cost(s), s.limit) for s in each.stock],
        bound,
    )


def wood_in(stock: Stock) -> int:
    """Return the volume of a piece of lumber between its end trims, in cubic ticks."""
    return stock.usable_length * stock.width * stock.thickness
