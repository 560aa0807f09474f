"""Where the stock goes: parts, offcuts, scrap and kerf, as shares of its face.

A piece that is as thick as its stock counts with length times width. A slice counts
with its share of the thickness, so that slices that lie above each other count no more
than the face they share, and what a resaw turns to dust counts as kerf. Stock is then
always the sum of the four.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import prod
from typing import Final, TypeAlias

from nesting.model.plan import Layout, Plan, Violation
from nesting.model.terms import Fate
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
        if layout.stock.thickness > 0:
            for name, area in _areas(layout, trail).items():
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


def _areas(layout: Layout, trail: Trail) -> dict[str, int]:
    """Add up the wood of one layout, and share out its face.

    What the cuts took is reckoned from the cuts. The shares of parts, offcuts and scrap
    are rounded down; what that leaves goes to the kerf.
    """
    fates = {piece.id: piece.fate for piece in layout.pieces}
    volumes = dict.fromkeys((*_SHARES.values(), "kerf"), 0)
    for name, box in trail.boxes.items():
        sides = [box.length, box.width, box.thickness]
        cut = trail.divided.get(name)
        share = _SHARES.get(fates.get(name, "")) if cut is None else "kerf"
        if cut is not None:
            sides[AXES[cut.plane]] = cut.kerf
        if share is not None:
            volumes[share] += prod(sides)
    areas = {}
    for name in _SHARES.values():
        areas[name], left = divmod(volumes[name], layout.stock.thickness)
        volumes["kerf"] += left
    areas["kerf"] = volumes["kerf"] // layout.stock.thickness
    return areas
