"""Format, words and numbers: what can be told of one record alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from nesting.model.mill import BuildKind
from nesting.model.plan import (
    FORMAT,
    Cut,
    Layout,
    Movement,
    Offer,
    Operation,
    Piece,
    Plan,
    PlanBlank,
    PlanBound,
    PlanBuild,
    PlanHardware,
    PlanJob,
    PlanMill,
    PlanNeed,
    PlanPart,
    PlanRoute,
    PlanRun,
    PlanSaw,
    PlanSheetHaul,
    PlanShop,
    PlanStock,
    PlanTake,
    PlanTrim,
    PlanUnplaced,
    PlanZone,
    RackSaving,
    Setting,
    Spare,
    Violation,
)
from nesting.model.terms import (
    Fate,
    Flow,
    Form,
    Grain,
    Guide,
    Objective,
    Origin,
    Place,
    Plane,
    Purpose,
    ZoneKind,
)
from nesting.units import TICKS_PER_MM
from nesting.verify.rules import Rule, broken

LARGEST: Final = 2**53
"""No size, quantity or sum of money reaches this; below it a float is exact too."""

_OPERATIONS: Final = (
    *("cut", "joint", "plane", "glue", "rip", "crosscut", "joints", "fit"),
)
_LIES: Final = (Grain.LENGTH.value, Grain.WIDTH.value)
_WORDS: Final[Mapping[type, Mapping[str, Iterable[str]]]] = {
    PlanJob: {"unit": ("inch", "mm")},
    PlanSaw: {
        "place": tuple(Place),
        "cuts": tuple(Plane),
        "rip_guide": ("", *Guide),
    },
    PlanPart: {"grain": tuple(Grain)},
    PlanBlank: {"grain": (Grain.LENGTH.value, Grain.ANY.value)},
    PlanRun: {"axis": tuple(Flow)},
    PlanStock: {"grain": _LIES, "origin": (*Origin, "shop")},
    Layout: {"form": (*Form, "glueup")},
    Piece: {"fate": tuple(Fate)},
    Cut: {
        "plane": tuple(Plane),
        "from_": ("low", "high"),
        "guide": tuple(Guide),
        "purpose": tuple(Purpose),
    },
    Offer: {"form": tuple(Form), "grain": _LIES, "origin": tuple(Origin)},
    PlanZone: {"kind": tuple(ZoneKind)},
    Setting: {"kind": tuple(Guide)},
    PlanMill: {"name": ("jointer", "planer")},
    Operation: {"what": _OPERATIONS},
    PlanBuild: {"kind": tuple(BuildKind)},
    PlanBound: {"objective": tuple(Objective)},
}

_SIZES: Final = {"length": 1, "width": 1, "thickness": 1}
_LEAST: Final[Mapping[type, Mapping[str, int]]] = {
    PlanJob: {"fraction": 1},
    PlanSaw: dict.fromkeys(
        (
            "kerf",
            "longest_cut",
            "widest_rip",
            "narrowest_rip",
            "widest_crosscut",
            "tallest",
            "smallest_piece",
            "tolerance",
        ),
        0,
    ),
    PlanPart: {"qty": 1, "priority": 1, **_SIZES},
    PlanShop: {"longest_rough": 1, "haul": 1},
    PlanSheetHaul: {"length": 1, "width": 1, "cuts": 1},
    PlanBlank: {"qty": 1, "slice": 1, **_SIZES},
    PlanStock: {"price_cents": 0, **_SIZES},
    Offer: {"price_cents": 0, "limit": 0, "eased": 0, "crook": 0, **_SIZES},
    PlanTrim: dict.fromkeys(("low_x", "high_x", "low_y", "high_y"), 0),
    PlanZone: {"x": 0, "y": 0, "length": 1, "width": 1},
    PlanMill: {"width": 1, "shortest": 0, "thinnest": 0},
    PlanNeed: {"qty": 1, "copies": 1},
    PlanRoute: {"qty": 1},
    Operation: {"pieces": 1, "setting": 1, "day": 1, **_SIZES},
    Movement: {"width": 1, "change": 0},
    PlanTake: {"count": 1},
    PlanUnplaced: {"qty": 1},
    RackSaving: {"pieces": 1, "unplaced": 0},
    Spare: {"qty": 1},
    PlanHardware: {"qty": 1, "cost_cents": 0},
}


def check_format(plan: Plan) -> Iterator[Violation]:
    """Find a format or a tick that is not ours (rule ``format``)."""
    if plan.format != FORMAT:
        what = f"the format is {plan.format!r}; this checker knows {FORMAT!r}"
        yield broken(Rule.FORMAT, "plan", what)
    if plan.ticks_per_mm != TICKS_PER_MM:
        what = f"a mm has {plan.ticks_per_mm} ticks; in this format it has 1600"
        yield broken(Rule.FORMAT, "plan", what)


def check_words(plan: Plan) -> Iterator[Violation]:
    """Find words that are not known where only certain ones are (rule ``word``)."""
    for where, record in _records(plan):
        for name, known in _WORDS.get(type(record), {}).items():
            held = getattr(record, name)
            for word in (held,) if isinstance(held, str) else held:
                if word not in known:
                    choice = ", ".join(known)
                    what = f"{name.rstrip('_')} is '{word}', not one of {choice}"
                    yield broken(Rule.WORD, where, what)


def check_numbers(plan: Plan) -> Iterator[Violation]:
    """Find numbers that are less than they can be, or absurd (rule ``number``).

    Sizes and quantities are at least 1; kerfs, reaches, trims, prices and limits at
    least 0. Places, steps and sums are left to the rules that recompute them.
    """
    for where, record in _records(plan):
        for name, least in _LEAST.get(type(record), {}).items():
            held = getattr(record, name)
            if held is not None and not least <= held < LARGEST:
                what = f"{name} is {held}; it must be {least} at least, and below 2**53"
                yield broken(Rule.NUMBER, where, what)


def _records(plan: Plan) -> Iterator[tuple[str, object]]:
    """Go through the records that have words or numbers to check, with their places."""
    yield "job", plan.job
    yield "shop", plan.shop
    yield "haul_sheet", plan.shop.haul_sheet
    for saw in plan.shop.saws:
        yield f"saw {saw.name!r}", saw
    for mill in plan.shop.mills:
        yield mill.name, mill
    for part in plan.parts:
        yield f"part {part.id!r}", part
    for blank in plan.blanks:
        yield f"blank {blank.id!r}", blank
    for run in plan.runs:
        yield f"run {run.id!r}", run
    for layout in plan.layouts:
        where = f"layout {layout.id!r}"
        yield where, layout
        yield where, layout.stock
        for zone in layout.stock.zones:
            yield where, zone
        for piece in layout.pieces:
            yield f"{where}, piece {piece.id!r}", piece
        for cut in layout.cuts:
            yield f"{where}, step {cut.step}", cut
    for offer in plan.offers:
        yield f"offer {offer.id!r}", offer
        yield f"offer {offer.id!r}", offer.trim
        for zone in offer.zones:
            yield f"offer {offer.id!r}", zone
    for need in plan.needs:
        yield f"need {need.id!r}", need
        for build in need.builds:
            yield f"need {need.id!r}, build {build.id!r}", build
            for take in build.takes:
                yield f"need {need.id!r}, build {build.id!r}", take
    for route in plan.routes:
        yield f"route of {route.need!r}", route
        for done in route.operations:
            yield f"route of {route.need!r}, to {done.what}", done
            for take in done.takes:
                yield f"route of {route.need!r}, to {done.what}", take
    for moving in plan.movements:
        yield f"movement of {moving.part!r}", moving
    for setting in plan.settings:
        yield f"setting {setting.id!r}", setting
    for unplaced in plan.unplaced:
        yield f"unplaced {unplaced.blank!r}", unplaced
    for saving in plan.advice.rack:
        yield f"rack saving of {saving.material!r}", saving
    for spare in plan.advice.spares:
        yield f"spare {spare.stock!r}", spare
    for hardware in plan.hardware:
        yield f"hardware {hardware.name!r}", hardware
    for bound in plan.bounds:
        yield f"bound of {', '.join(bound.scope)}", bound
