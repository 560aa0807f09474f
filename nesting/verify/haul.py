"""What is carried home: whether longer lumber is sawn at the store, before all else."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.model.plan import Cut, Plan, Violation
from nesting.model.terms import Fate, Form, Origin, Place, Plane, Purpose
from nesting.verify.replay import Trail
from nesting.verify.rules import Rule, broken

_LUMBER = (Form.STICK.value, Form.BOARD.value)


def check_haul(plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    """Hold lumber from the store against the longest piece carried (rule ``haul``).

    Every piece of it that is longer, where the replay has it, is crosscut by a saw at
    the store. These are the cuts whose purpose is ``haul``, and no others; their steps
    come before all others of the plan.
    """
    at_store: list[tuple[str, Cut]] = []
    others: list[int] = []
    stores = {s.name for s in plan.shop.saws if s.place == Place.STORE.value}
    for layout, trail in zip(plan.layouts, trails, strict=True):
        where = f"layout {layout.id!r}"
        bought = layout.stock.origin == Origin.STORE.value and layout.form in _LUMBER
        long = {
            name
            for name, box in trail.boxes.items()
            if bought and plan.shop.haul is not None and box.length > plan.shop.haul
        }
        for piece in layout.pieces:
            if piece.id in long and piece.fate != Fate.CUT.value:
                what = f"piece {piece.id!r} is too long to be carried home"
                yield broken(Rule.HAUL, where, what)
        for cut in layout.cuts:
            if cut.purpose == Purpose.HAUL.value:
                at_store.append((where, cut))
            else:
                others.append(cut.step)
            if (cut.piece in long) != (cut.purpose == Purpose.HAUL.value):
                what = f"step {cut.step} is made at the store, or not, against the haul"
                yield broken(Rule.HAUL, where, what)
    for where, cut in at_store:
        if cut.saw not in stores or cut.plane != Plane.CROSSCUT.value:
            what = f"step {cut.step} is no crosscut by a saw at the store"
            yield broken(Rule.HAUL, where, what)
        if others and cut.step > min(others):
            what = f"step {cut.step} is at the store, and cuts at home come before it"
            yield broken(Rule.HAUL, where, what)
