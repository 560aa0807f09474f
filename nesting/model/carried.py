"""What of a plan is sawn at the store, so that it can be carried home."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from nesting.model.plan import Layout, Plan
from nesting.model.terms import Purpose
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Sawn:
    """Like pieces of stock that are sawn at the same places."""

    stock: str
    qty: int
    places: tuple[Ticks, ...]
    """From the left end of the whole piece to the near side of each kerf."""


def sawn_at_store(plan: Plan) -> tuple[Sawn, ...]:
    """Return what is sawn at the store, in the order of the layouts."""
    found = Counter(
        (layout.stock.name, places)
        for layout in plan.layouts
        if (places := _places(layout))
    )
    return tuple(
        Sawn(stock=stock, qty=qty, places=places)
        for (stock, places), qty in found.items()
    )


def _places(layout: Layout) -> tuple[Ticks, ...]:
    starts = {piece.id: piece.x for piece in layout.pieces}
    return tuple(
        sorted(
            starts[cut.piece] + cut.at
            for cut in layout.cuts
            if cut.purpose == Purpose.HAUL
        )
    )
