"""What is carried home: whether the rest is cut at the store, and before all else."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.model.plan import Cut, Layout, Plan, PlanShop, Violation
from nesting.model.terms import Fate, Form, Origin, Place, Plane, Purpose
from nesting.units import Ticks
from nesting.verify.replay import AXES, Box, Trail
from nesting.verify.rules import Rule, broken

_LUMBER = (Form.STICK.value, Form.BOARD.value)
_PLANES = {
    Form.SHEET.value: (Plane.CROSSCUT.value, Plane.RIP.value),
    **dict.fromkeys(_LUMBER, (Plane.CROSSCUT.value,)),
}


def check_haul(plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    """Hold stock from the store against what is carried home (rule ``haul``).

    Every piece of it that cannot be carried, where the replay has it, is cut by a saw
    at the store: lumber that is too long across, sheets that do not fit either way
    round across or along, each by no more cuts than are made in a sheet. These are the
    cuts whose purpose is ``haul``, and no others; their steps come before all others of
    the plan. A saw at the store makes no other cuts, unless no saw stands at home. No
    part lies nearer to such a cut than it may be off.
    """
    at_store: list[tuple[str, Layout, Cut]] = []
    others: list[int] = []
    stores = {s.name for s in plan.shop.saws if s.place == Place.STORE.value}
    is_home = len(stores) < len(plan.shop.saws)
    for layout, trail in zip(plan.layouts, trails, strict=True):
        where = f"layout {layout.id!r}"
        bought = layout.stock.origin == Origin.STORE.value
        large = {
            name
            for name, box in trail.boxes.items()
            if bought and not _is_carried(plan.shop, layout.form, box)
        }
        for piece in layout.pieces:
            if piece.id in large and piece.fate != Fate.CUT.value:
                what = f"piece {piece.id!r} is too large to be carried home"
                yield broken(Rule.HAUL, where, what)
        for cut in layout.cuts:
            is_haul = cut.purpose == Purpose.HAUL.value
            if is_haul:
                at_store.append((where, layout, cut))
                yield from _nearness(plan.shop, layout, trail, cut, where)
            else:
                others.append(cut.step)
            if (cut.piece in large) != is_haul:
                what = f"step {cut.step} is made at the store, or not, against the haul"
                yield broken(Rule.HAUL, where, what)
            if is_home and cut.saw in stores and not is_haul:
                what = f"step {cut.step} is made at home, by a saw at the store"
                yield broken(Rule.HAUL, where, what)
        yield from _number(plan.shop, layout, where)
    for where, layout, cut in at_store:
        if cut.saw not in stores or cut.plane not in _PLANES.get(layout.form, ()):
            what = f"step {cut.step} is none of the cuts that a saw at the store makes"
            yield broken(Rule.HAUL, where, what)
        if others and cut.step > min(others):
            what = f"step {cut.step} is at the store, and cuts at home come before it"
            yield broken(Rule.HAUL, where, what)


def _is_carried(shop: PlanShop, form: str, box: Box) -> bool:
    """Tell whether a piece can be carried home as it is."""
    if form in _LUMBER:
        return shop.haul is None or box.length <= shop.haul
    most = shop.haul_sheet
    if form != Form.SHEET.value or most is None:
        return True
    return (box.length <= most.length and box.width <= most.width) or (
        box.length <= most.width and box.width <= most.length
    )


def _number(shop: PlanShop, layout: Layout, where: str) -> Iterator[Violation]:
    """Find a sheet in which the store makes more cuts than it does."""
    cuts = sum(cut.purpose == Purpose.HAUL.value for cut in layout.cuts)
    most = shop.haul_sheet
    if layout.form == Form.SHEET.value and most is not None and cuts > most.cuts:
        what = f"the store makes {cuts} cuts in it, {most.cuts} at most"
        yield broken(Rule.HAUL, where, what)


def _nearness(
    shop: PlanShop, layout: Layout, trail: Trail, cut: Cut, where: str
) -> Iterator[Violation]:
    """Find the parts that keep some of what the cut of the store may be off."""
    off: Ticks = next((s.tolerance for s in shop.saws if s.name == cut.saw), None) or 0
    whole = trail.boxes.get(cut.piece)
    axis = AXES.get(cut.plane)
    if whole is None or axis is None:
        return
    begin = whole[axis] + cut.at - off
    end = whole[axis] + cut.at + cut.kerf + off
    for piece in layout.pieces:
        box = trail.boxes.get(piece.id)
        if piece.fate != Fate.PART.value or box is None or not _lies_in(box, whole):
            continue
        if box[axis] < end and begin < box[axis] + box[axis + 3]:
            what = (
                f"piece {piece.id!r} keeps an edge of step {cut.step} at the store, "
                f"without the {off} ticks it may be off"
            )
            yield broken(Rule.HAUL, where, what)


def _lies_in(box: Box, whole: Box) -> bool:
    return all(
        whole[axis] <= box[axis]
        and box[axis] + box[axis + 3] <= whole[axis] + whole[axis + 3]
        for axis in range(3)
    )
