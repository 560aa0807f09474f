"""Crooked lumber: whether parts lie where a straight edge has been made before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from nesting.model.plan import Layout, Offer, Plan, Violation
from nesting.model.terms import Fate, Plane
from nesting.units import TICKS_PER_FOOT, Ticks
from nesting.verify.replay import Box, Trail
from nesting.verify.rules import Rule, broken

_PER: Final = 8 * TICKS_PER_FOOT


def check_crook(plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    """Hold what is ripped of lumber against its crook (rule ``crook``).

    A piece as wide as its stock that is ripped gives parts over some of its length. Its
    front edge is off the straight by the crook of the offer, which is that of 8 ft,
    times the square of that length; no part of it lies nearer to the edge of the stock.
    """
    offers: Mapping[str, Offer] = {offer.id: offer for offer in reversed(plan.offers)}
    for layout, trail in zip(plan.layouts, trails, strict=True):
        offer = offers.get(layout.stock.name)
        if offer is None or not offer.crook or layout.form == "glueup":
            continue
        for name, box in trail.boxes.items():
            cut = trail.divided.get(name)
            is_whole = (box.y, box.width) == (0, layout.stock.width)
            if cut is None or cut.plane != Plane.RIP.value or not is_whole:
                continue
            held = list(_parts(name, layout, trail))
            if not held:
                continue
            start = min(part.x for part in held)
            used: Ticks = max(part.x + part.length for part in held) - start
            lost = -(-offer.crook * used * used // (_PER * _PER))
            least = min(part.y for part in held)
            if least < lost:
                what = f"piece {name!r} loses {lost} ticks to its crook, not {least}"
                yield broken(Rule.CROOK, f"layout {layout.id!r}", what)


def _parts(name: str, layout: Layout, trail: Trail) -> Iterator[Box]:
    """Yield the parts that come of a piece, as the replay has them."""
    fates = {piece.id: piece.fate for piece in layout.pieces}
    waiting = [name]
    while waiting:
        each = waiting.pop()
        if fates.get(each) == Fate.PART.value and each in trail.boxes:
            yield trail.boxes[each]
        waiting += trail.made.get(each, ())
