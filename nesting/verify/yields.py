"""Where the stock goes: parts, offcuts, scrap and kerf, as areas of face.

An area is length times width as the piece lies in its stock, whatever its thickness.
Where a resaw makes two pieces of one, the same face would count twice. So it is counted
once: the area goes with the first piece that the resaw makes, the one at the reference
face (or with the only one), and what lies above that one counts nothing. The wood that
a resaw takes off a face has no area. Stock is then always the sum of the four.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, TypeAlias

from nesting.model.plan import Layout, Plan, Violation
from nesting.model.terms import Fate, Plane
from nesting.verify.replay import AXES, Trail
from nesting.verify.rules import Rule, broken

_Key: TypeAlias = tuple[str, str, str]

_SHARES: Final = {
    Fate.PART.value: "parts",
    Fate.OFFCUT.value: "offcuts",
    Fate.SCRAP.value: "scrap",
}


def check_yields(plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    """Add up the areas of every material, section and form anew (rule ``yield``).

    There is one line for each that layouts use. Glue-ups have none: their wood was
    counted where it was sawn.
    """
    sums: dict[_Key, dict[str, int]] = {}
    for layout, trail in zip(plan.layouts, trails, strict=True):
        if layout.form == "glueup":
            continue
        key = (layout.material, layout.section, layout.form)
        names = ("stock", *_SHARES.values(), "kerf")
        areas = sums.setdefault(key, dict.fromkeys(names, 0))
        areas["stock"] += layout.stock.length * layout.stock.width
        for name, area in _areas(layout, trail):
            areas[name] += area
    seen = set()
    for line in plan.totals.yields:
        key = (line.material, line.section, line.form)
        where = f"yield of {key!r}"
        if key in seen or key not in sums:
            what = "it is there twice" if key in seen else "no layout is of it"
            yield broken(Rule.YIELD, where, what)
            continue
        seen.add(key)
        for name, area in sums[key].items():
            said = getattr(line, name)
            if said != area:
                what = f"{name} is {said}; the layouts add up to {area}"
                yield broken(Rule.YIELD, where, what)
    for key in sums:
        if key not in seen:
            yield broken(Rule.YIELD, f"yield of {key!r}", "it is missing")


def _areas(layout: Layout, trail: Trail) -> Iterator[tuple[str, int]]:
    """Go down the cuts of a layout and say what each area becomes."""
    fates = {piece.id: piece.fate for piece in layout.pieces}
    below = [layout.id]
    while below:
        name = below.pop()
        box = trail.boxes[name]
        cut = trail.divided.get(name)
        if cut is None:
            share = _SHARES.get(fates.get(name, ""))
            if share is not None:
                yield share, box.length * box.width
            continue
        made = trail.made[name]
        if cut.plane == Plane.RESAW.value:
            below += made[:1]
            continue
        across = box.width if AXES[cut.plane] == 0 else box.length
        yield "kerf", cut.kerf * across
        below += made
