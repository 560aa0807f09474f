"""Damage and pith: whether anything cut or kept has a piece of it in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from nesting.model.plan import Offer, Plan, PlanStock, Violation
from nesting.model.terms import Fate, ZoneKind
from nesting.verify.replay import Trail
from nesting.verify.rules import Rule, broken

_REFUSED: Final[Mapping[str, tuple[str, ...]]] = {
    Fate.PART.value: (ZoneKind.DAMAGE.value, ZoneKind.PITH.value),
    Fate.OFFCUT.value: (ZoneKind.DAMAGE.value,),
}
"""What a piece of each fate may not have in it."""


def check_zones(plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    """Hold parts and offcuts against what is marked on their stock (rule ``zone``).

    A zone goes through the whole thickness. It lies on its stock, in a layout as in an
    offer. Where the replay has them, no offcut shares any area with damage, no part
    with damage or pith, and no part of a clear blank with a blemish.
    """
    clear = {blank.id for blank in plan.blanks if blank.clear}
    damaged: list[tuple[str, PlanStock | Offer]] = [
        (f"layout {layout.id!r}", layout.stock) for layout in plan.layouts
    ]
    damaged += [(f"offer {offer.id!r}", offer) for offer in plan.offers]
    for where, stock in damaged:
        for zone in stock.zones:
            right, top = zone.x + zone.length, zone.y + zone.width
            if min(zone.x, zone.y) < 0 or right > stock.length or top > stock.width:
                yield broken(Rule.ZONE, where, f"its {zone.kind} is not on its stock")
    for layout, trail in zip(plan.layouts, trails, strict=True):
        for piece in layout.pieces:
            box = trail.boxes.get(piece.id)
            kinds = _REFUSED.get(piece.fate, ())
            if piece.blank in clear:
                kinds = tuple(ZoneKind)
            if box is None:
                continue
            for zone in layout.stock.zones:
                if zone.kind in kinds and (
                    zone.x < box.x + box.length
                    and box.x < zone.x + zone.length
                    and zone.y < box.y + box.width
                    and box.y < zone.y + zone.width
                ):
                    what = f"piece {piece.id!r}, {piece.fate}, has {zone.kind} in it"
                    yield broken(Rule.ZONE, f"layout {layout.id!r}", what)
