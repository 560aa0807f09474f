"""A job while it is being made."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from random import Random

from nesting.model.job import Material, Part
from nesting.model.stock import Stock
from nesting.model.terms import Origin
from nesting.units import TICKS_PER_INCH, TICKS_PER_MM, Ticks, Unit

TRIMS: dict[Unit, list[float]] = {
    Unit.MM: [2, 5, 10],
    Unit.INCH: [1 / 16, 1 / 8, 3 / 8],
}
WORDS = (
    "shelf", "side", "rail", "stile", "back", "slat", "cleat", "apron", "divider",
    "drawer front", "kick board", "lid", "brace", "runner", "tray bottom",
)  # fmt: skip


@dataclass(slots=True)
class Draft:
    """A job while it is being made."""

    rng: Random
    unit: Unit
    grid: Ticks
    """What positions of cuts are multiples of."""
    kerf: Ticks
    rail: Ticks | None
    """The longest cut on a sheet; None for no limit."""
    limits: str
    priced: bool
    left: int
    """How many pieces may still be made."""
    fill: float
    materials: list[Material] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    used: Counter[str] = field(default_factory=Counter)

    @property
    def scale(self) -> Ticks:
        """The ticks in a unit of the job."""
        return TICKS_PER_INCH if self.unit is Unit.INCH else TICKS_PER_MM

    def snapped(self, low: Ticks, high: Ticks) -> Ticks:
        """Return a multiple of the grid between two sizes, or the low one."""
        first, last = -(-low // self.grid), high // self.grid
        return self.rng.randint(first, last) * self.grid if first <= last else low

    def named(self) -> str:
        word = self.rng.choice(WORDS)
        return f"{word} {len(self.parts) + 1:02d}"


def grouped(
    draft: Draft, pieces: list[tuple[Ticks, Ticks]]
) -> Counter[tuple[Ticks, Ticks]]:
    """Count pieces of one size together, in an order of their own."""
    counted = Counter(pieces)
    order = list(counted)
    draft.rng.shuffle(order)
    return Counter({size: counted[size] for size in order})


def supplied(
    draft: Draft, offers: list[Stock], used: Counter[str]
) -> tuple[Stock, ...]:
    """Return the offers with prices and limits; what was used can always be had."""
    rng = draft.rng
    draft.used.update(used)
    offered: list[Stock] = []
    for stock in offers:
        limit: int | None = None
        if draft.limits == "all" or (draft.limits == "some" and rng.random() < 0.5):
            limit = used[stock.id]
        elif draft.limits == "loose":
            limit = used[stock.id] + rng.randint(1, 2)
        owned = limit is not None and limit > 0 and rng.random() < 0.3
        price = stock.price_cents if draft.priced else None
        offered.append(
            replace(
                stock,
                limit=limit,
                price_cents=0 if owned else price,
                origin=Origin.RACK if owned else Origin.STORE,
                tag=f"R{len(offered)}" if owned and rng.random() < 0.5 else None,
            )
        )
    return tuple(offered)
