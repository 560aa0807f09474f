"""Every rule fires when the sound plan is spoilt just so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from nesting.model.plan import Plan, PlanSheetHaul, Violation
from nesting.verify import Rule, verify

MM = 1600

Change = Callable[[Plan, str, Any], Plan]
Edit = tuple[str, Any]


def more(by: int) -> Callable[[int], int]:
    return lambda held: held + by


def less_one(at: int) -> Callable[[tuple[Any, ...]], tuple[Any, ...]]:
    return lambda held: (*held[:at], *held[at + 1 :])


def doubled(held: tuple[Any, ...]) -> tuple[Any, ...]:
    return (*held, held[0])


def turned_round(held: tuple[Any, ...]) -> tuple[Any, ...]:
    return held[::-1]


def plus(**fields: Any) -> Callable[[tuple[Any, ...]], tuple[Any, ...]]:
    """Append the first record of a list with other values."""
    return lambda held: (*held, replace(held[0], **fields))


def plus_one(name: str) -> Callable[[tuple[str, ...]], tuple[str, ...]]:
    return lambda held: (*held, name)


CASES: dict[str, tuple[Rule, tuple[Edit, ...]]] = {
    # what can be told of a record alone
    "a text for a number": (Rule.TYPE, (("layouts.0.cuts.0.at", "8 mm"),)),
    "a float for a size": (Rule.TYPE, (("parts.0.length", 800.5 * MM),)),
    "a truth for a number": (Rule.TYPE, (("parts.0.qty", True),)),
    "none for a text": (Rule.TYPE, (("layouts.0.cuts.0.saw", None),)),
    "a list for a tuple": (Rule.TYPE, (("layouts", list),)),
    "a part for a blank": (Rule.TYPE, (("blanks.0", "side"),)),
    "a number beyond 64 bits": (Rule.TYPE, (("layouts.0.cuts.0.at", 10**5000),)),
    "another format": (Rule.FORMAT, (("format", "nesting-plan/2"),)),
    "other ticks": (Rule.FORMAT, (("ticks_per_mm", 1000),)),
    "an unknown unit": (Rule.WORD, (("job.unit", "ell"),)),
    "an unknown place": (Rule.WORD, (("shop.saws.0.place", "cellar"),)),
    "an unknown guide of rips": (Rule.WORD, (("shop.saws.0.rip_guide", "rope"),)),
    "an unknown plane": (Rule.WORD, (("layouts.0.cuts.0.plane", "mitre"),)),
    "an unknown fate": (Rule.WORD, (("layouts.0.pieces.4.fate", "lost"),)),
    "an unknown form": (Rule.WORD, (("layouts.0.form", "log"),)),
    "an unknown origin": (Rule.WORD, (("layouts.0.stock.origin", "attic"),)),
    "an unknown side": (Rule.WORD, (("layouts.0.cuts.0.from_", "left"),)),
    "an unknown guide": (Rule.WORD, (("layouts.0.cuts.0.guide", "eye"),)),
    "an unknown objective": (Rule.WORD, (("bounds.0.objective", "joy"),)),
    "a blank whose grain runs across": (Rule.WORD, (("blanks.0.grain", "width"),)),
    "a saw of no plane": (Rule.WORD, (("shop.saws.4.cuts", ("joint",)),)),
    "no parts of a kind": (Rule.NUMBER, (("parts.0.qty", 0),)),
    "a negative round": (Rule.NUMBER, (("offers.1.eased", -1),)),
    "a negative trim": (Rule.NUMBER, (("offers.0.trim.low_x", -1),)),
    "a negative price": (Rule.NUMBER, (("offers.3.price_cents", -1),)),
    "a blank without width": (Rule.NUMBER, (("blanks.4.width", 0),)),
    "a size that no shop holds": (Rule.NUMBER, (("offers.3.length", 2**53),)),
    "two saws of one name": (Rule.ID, (("shop.saws", doubled),)),
    "two parts of one id": (Rule.ID, (("parts", doubled),)),
    "two blanks of one id": (Rule.ID, (("blanks", doubled),)),
    "two layouts of one id": (Rule.ID, (("layouts", doubled),)),
    "two offers of one id": (Rule.ID, (("offers", doubled),)),
    "two needs of one id": (Rule.ID, (("needs", doubled),)),
    "two settings of one id": (Rule.ID, (("settings", doubled),)),
    "two cautions of one id": (Rule.ID, (("cautions", doubled),)),
    "two builds of one id": (Rule.ID, (("needs.0.builds", doubled),)),
    "two pieces of one id": (Rule.ID, (("layouts.0.pieces", doubled),)),
    "a caution without an id": (Rule.ID, (("cautions", plus(id="")),)),
    # the order of the cuts
    "a step left out": (Rule.STEP, (("layouts.3.cuts.0.step", 17),)),
    "a step twice": (Rule.STEP, (("layouts.0.cuts.0.step", 2),)),
    "a step before the first": (Rule.STEP, (("layouts.0.cuts.0.step", 0),)),
    "cuts listed out of order": (Rule.ORDER, (("layouts.1.cuts", turned_round),)),
    "steps of a layout swapped": (
        Rule.PIECE,
        (("layouts.1.cuts.1.step", 5), ("layouts.1.cuts.2.step", 4)),
    ),
    # glue-ups
    "cut before it is glued": (
        Rule.GLUEUP,
        (("layouts.3.cuts.0.step", 15), ("layouts.2.cuts.3.step", 16)),
    ),
    "glued of nothing": (Rule.GLUEUP, (("layouts.3.stock.from_", ()),)),
    "glued of what is not": (
        Rule.GLUEUP,
        (("layouts.3.stock.from_", (("R", "R6"), ("R", "R9"))),),
    ),
    "glued of an unknown layout": (
        Rule.GLUEUP,
        (("layouts.3.stock.from_", (("R", "R6"), ("Q", "R7"))),),
    ),
    "glued of an offcut": (
        Rule.GLUEUP,
        (("layouts.3.stock.from_", (("R", "R6"), ("R", "R4"))),),
    ),
    "one piece glued twice": (
        Rule.GLUEUP,
        (("layouts.3.stock.from_", (("R", "R6"), ("R", "R6"))),),
    ),
    "glued of itself": (
        Rule.GLUEUP,
        (("layouts.3.stock.from_", (("R", "R6"), ("G", "G2"))),),
    ),
    "more wood than was glued": (Rule.GLUEUP, (("layouts.3.stock.width", more(1)),)),
    "a glue-up with a price": (Rule.GLUEUP, (("layouts.3.stock.price_cents", 1),)),
    "a glue-up from the store": (Rule.GLUEUP, (("layouts.3.stock.origin", "store"),)),
    # the replay
    "a piece that is not there": (Rule.PIECE, (("layouts.0.cuts.2.piece", "S99"),)),
    "a piece cut twice": (Rule.PIECE, (("layouts.0.cuts.1.piece", "S"),)),
    "a cut left out": (Rule.PIECE, (("layouts.0.cuts", less_one(1)),)),
    "a cut before the piece": (Rule.AT, (("layouts.0.cuts.1.at", -1),)),
    "a cut beyond the piece": (Rule.AT, (("layouts.0.cuts.1.at", 1209 * MM),)),
    "a cut that takes nothing": (
        Rule.AT,
        (("layouts.1.cuts.0.kerf", 0), ("layouts.1.pieces.1.x", 0)),
    ),
    "a cut that leaves nothing": (
        Rule.AT,
        (("layouts.2.cuts.2.kerf", 100 * MM), ("layouts.2.cuts.2.makes", ())),
    ),
    "a negative kerf": (Rule.AT, (("layouts.0.cuts.1.kerf", -1),)),
    "one name too few": (Rule.MAKES, (("layouts.0.cuts.0.makes", ("S1",)),)),
    "one name too many": (Rule.MAKES, (("layouts.1.cuts.0.makes", ("K0", "K1")),)),
    "a name made twice": (Rule.MAKES, (("layouts.0.cuts.3.makes", ("S5", "S8")),)),
    "the far piece named first": (
        Rule.REPLAY,
        (("layouts.0.cuts.0.makes", turned_round),),
    ),
    "a blank shifted by one tick": (Rule.REPLAY, (("layouts.0.pieces.7.x", more(1)),)),
    "a blank one tick down": (Rule.REPLAY, (("layouts.0.pieces.7.z", more(1)),)),
    "a blank one tick longer": (
        Rule.REPLAY,
        (("layouts.0.pieces.7.length", more(1)), ("blanks.0.length", more(1))),
    ),
    "a cut one tick on": (Rule.REPLAY, (("layouts.0.cuts.3.at", more(1)),)),
    "a piece not listed": (Rule.REPLAY, (("layouts.0.pieces", less_one(4)),)),
    "a piece from nowhere": (Rule.REPLAY, (("layouts.0.pieces", plus(id="S99")),)),
    "the whole not listed first": (
        Rule.REPLAY,
        (("layouts.0.pieces", turned_round),),
    ),
    "no pieces at all": (Rule.REPLAY, (("layouts.0.pieces", ()),)),
    "cut and yet scrap": (Rule.FATE, (("layouts.0.pieces.2.fate", "scrap"),)),
    "to be cut and never cut": (Rule.FATE, (("layouts.0.pieces.4.fate", "cut"),)),
    # what remains
    "a part of no blank": (Rule.BLANK, (("layouts.0.pieces.7.blank", None),)),
    "a part of an unknown blank": (Rule.BLANK, (("layouts.0.pieces.7.blank", "leg"),)),
    "an offcut of a blank": (Rule.BLANK, (("layouts.0.pieces.4.blank", "side"),)),
    "an offcut turned": (Rule.BLANK, (("layouts.0.pieces.4.turned", True),)),
    "a blank longer than cut": (Rule.SIZE, (("blanks.0.length", more(1)),)),
    "a blank shorter than cut": (Rule.SIZE, (("blanks.0.length", more(-1)),)),
    "a blank narrower than cut": (Rule.SIZE, (("blanks.0.width", more(-1)),)),
    "a blank thinner than cut": (Rule.SIZE, (("blanks.0.thickness", more(-1)),)),
    "a minimum not kept": (Rule.SIZE, (("blanks.3.thickness", 39 * MM),)),
    "a minimum too long": (Rule.SIZE, (("blanks.3.length", more(-1)),)),
    "thicker and no minimum": (Rule.SIZE, (("blanks.3.minimum", False),)),
    "turned where it is not": (Rule.SIZE, (("layouts.0.pieces.11.turned", False),)),
    "the grain of the stock flipped": (
        Rule.GRAIN,
        (("layouts.0.stock.grain", "width"), ("offers.0.grain", "width")),
    ),
    "a turned blank whose grain matters": (
        Rule.GRAIN,
        (("blanks.1.grain", "length"),),
    ),
    "a blank of other material": (Rule.MATERIAL, (("blanks.0.material", "pine"),)),
    "a blank of another section": (Rule.MATERIAL, (("blanks.2.section", "2x6"),)),
    "a factory edge at low x": (Rule.EDGE, (("offers.0.trim.low_x", more(1)),)),
    "a factory edge at low y": (Rule.EDGE, (("offers.0.trim.low_y", more(1)),)),
    "a factory edge at high x": (Rule.EDGE, (("offers.0.trim.high_x", 525 * MM),)),
    "a factory edge at high y": (Rule.EDGE, (("offers.0.trim.high_y", 811 * MM),)),
    "a rounded edge at low y": (
        Rule.EDGE,
        (("offers.1.eased", 1), ("blanks.3.square_edges", True)),
    ),
    "a rounded edge at high y": (
        Rule.EDGE,
        (("offers.2.eased", 1), ("blanks.4.square_edges", True)),
    ),
    "a part ripped off a crooked edge": (Rule.CROOK, (("offers.1.crook", MM),)),
    # stock and demand
    "stock that is not offered": (Rule.STOCK, (("layouts.0.stock.name", "mdf"),)),
    "stock larger than offered": (Rule.STOCK, (("offers.0.width", more(-1)),)),
    "stock of another price": (Rule.STOCK, (("offers.0.price_cents", 6401),)),
    "stock of another form": (Rule.STOCK, (("offers.1.form", "board"),)),
    "a limit passed": (Rule.LIMIT, (("offers.0.limit", 0),)),
    "a rack piece used up": (Rule.LIMIT, (("offers.2.limit", 0),)),
    "more wanted": (Rule.DEMAND, (("blanks.0.qty", 3),)),
    "more left unplaced": (Rule.DEMAND, (("unplaced.0.qty", 2),)),
    "an unknown blank unplaced": (Rule.DEMAND, (("unplaced", plus(blank="leg")),)),
    "one blank cut for another": (Rule.DEMAND, (("layouts.1.pieces.2.blank", "leg"),)),
    "a blank of no part": (Rule.PART, (("blanks.0.parts", ()),)),
    "a blank of an unknown part": (Rule.PART, (("blanks.0.parts", ("leg",)),)),
    "a blank of a part twice": (Rule.PART, (("blanks.0.parts", doubled),)),
    "a part without a blank": (Rule.PART, (("parts", plus(id="leg")),)),
    "a part longer than its blank": (Rule.PART, (("parts.2.length", 701 * MM),)),
    "a part thicker than its blank": (Rule.PART, (("parts.0.thickness", more(1)),)),
    "a part that lies across": (Rule.PART, (("parts.0.grain", "width"),)),
    "a part wider either way": (Rule.PART, (("parts.1.width", 301 * MM),)),
    "a part of other material": (Rule.PART, (("parts.0.material", "oak"),)),
    "a build that is not offered": (Rule.NEED, (("needs.0.chosen", "best"),)),
    "no build chosen": (Rule.NEED, (("needs.0.chosen", None),)),
    "the other build chosen": (Rule.NEED, (("needs.0.chosen", "other"),)),
    "a build that takes more": (Rule.NEED, (("needs.0.builds.0.takes.0.count", 2),)),
    "a need for fewer": (Rule.NEED, (("needs.0.qty", 1),)),
    "a need for an unknown part": (Rule.NEED, (("needs.0.part", "leg"),)),
    "a need left out": (Rule.NEED, (("needs", less_one(0)),)),
    "a blank of a part that takes none": (
        Rule.NEED,
        (("blanks.0.parts", ("side", "shelf")),),
    ),
    "no needs, and too few blanks": (Rule.NEED, (("needs", ()), ("parts.0.qty", 3))),
    "too few of what is glued": (Rule.NEED, (("parts.4.qty", 2), ("needs.4.qty", 2))),
    # damage
    "damage in an offcut": (
        Rule.ZONE,
        (
            ("layouts.0.stock.zones.0.y", 412 * MM),
            ("offers.0.zones.0.y", 412 * MM),
        ),
    ),
    "damage in a part": (
        Rule.ZONE,
        (
            ("layouts.0.stock.zones.0.y", 6 * MM),
            ("offers.0.zones.0.y", 6 * MM),
        ),
    ),
    "damage beside the sheet": (
        Rule.ZONE,
        (
            ("layouts.0.stock.zones.0.x", 2400 * MM),
            ("offers.0.zones.0.x", 2400 * MM),
        ),
    ),
    "pith in a part": (
        Rule.ZONE,
        (
            ("layouts.0.stock.zones.0.y", 6 * MM),
            ("offers.0.zones.0.y", 6 * MM),
            ("layouts.0.stock.zones.0.kind", "pith"),
            ("offers.0.zones.0.kind", "pith"),
        ),
    ),
    "a blemish in a clear part": (
        Rule.ZONE,
        (
            ("layouts.0.stock.zones.0.y", 6 * MM),
            ("offers.0.zones.0.y", 6 * MM),
            ("layouts.0.stock.zones.0.kind", "blemish"),
            ("offers.0.zones.0.kind", "blemish"),
            *((f"blanks.{number}.clear", True) for number in range(4)),
        ),
    ),
    "a zone of no known kind": (Rule.WORD, (("offers.0.zones.0.kind", "bark"),)),
    "damage called pith": (Rule.STOCK, (("offers.0.zones.0.kind", "pith"),)),
    "damage that was not offered": (Rule.STOCK, (("layouts.0.stock.zones", ()),)),
    "damage that is denied": (Rule.STOCK, (("offers.0.zones", ()),)),
    "damage without a size": (Rule.NUMBER, (("offers.0.zones.0.width", 0),)),
    # the way home
    "a stick too long to carry": (Rule.HAUL, (("shop.haul", 1000 * MM),)),
    "a cut at the store for no reason": (
        Rule.HAUL,
        (("layouts.1.cuts.0.purpose", "haul"),),
    ),
    "a sheet too large to carry": (
        Rule.HAUL,
        (
            (
                "shop.haul_sheet",
                PlanSheetHaul(length=1000 * MM, width=1000 * MM, cuts=2),
            ),
        ),
    ),
    "a car of no size": (
        Rule.NUMBER,
        (("shop.haul_sheet", PlanSheetHaul(length=2440 * MM, width=0, cuts=2)),),
    ),
    "a saw that is farther off than nothing": (
        Rule.NUMBER,
        (("shop.saws.0.tolerance", -1),),
    ),
    "a saw at the store that cuts at home": (
        Rule.HAUL,
        (("shop.saws.0.place", "store"),),
    ),
    # runs
    "a run of one": (
        Rule.RUN,
        (("runs.0.members", ("side",)), ("parts.0.qty", 1), ("blanks.0.qty", 1)),
    ),
    "a run with a stranger": (Rule.RUN, (("runs.0.members", plus_one("leg")),)),
    "a run with too many": (Rule.RUN, (("runs.0.members", plus_one("side")),)),
    "a run partly cut": (
        Rule.RUN,
        (("runs.0.members", ("shelf", "shelf")), ("runs.0.axis", "across")),
    ),
    "a blank in two runs": (Rule.RUN, (("runs", plus(id="again")),)),
    "a run that goes the other way": (Rule.RUN, (("runs.0.axis", "across"),)),
    "a run of a word unknown": (Rule.WORD, (("runs.0.axis", "round"),)),
    "two runs of one id": (Rule.ID, (("runs", doubled),)),
    "a run in the wrong order": (
        Rule.RUN,
        (("runs.0.members", ("shelf", "side", "side")), ("blanks.1.qty", 1)),
    ),
    "a run turned one by one": (Rule.RUN, (("layouts.0.pieces.9.turned", True),)),
    "a run on two sheets": (Rule.RUN, (("runs.0.members", ("rail", "side", "side")),)),
    # saws and settings
    "a saw that is not there": (Rule.SAW, (("layouts.0.cuts.0.saw", "fret"),)),
    "a saw that cuts no such plane": (Rule.SAW, (("shop.saws.3.cuts", ("rip",)),)),
    "a kerf one tick less": (Rule.KERF, (("layouts.0.cuts.1.kerf", more(-1)),)),
    "a kerf one tick more": (Rule.KERF, (("layouts.0.cuts.1.kerf", more(1)),)),
    "another blade": (Rule.KERF, (("shop.saws.0.kerf", more(1)),)),
    "more than a kerf at the edge": (Rule.KERF, (("shop.saws.2.kerf", MM),)),
    "a jointer in the middle": (Rule.KERF, (("layouts.2.cuts.2.at", 10 * MM),)),
    "a rail too short": (Rule.REACH, (("shop.saws.1.longest_cut", 2440 * MM - 1),)),
    "a fence that opens less": (Rule.REACH, (("shop.saws.0.widest_rip", 299 * MM),)),
    "a strip too narrow for the fence": (
        Rule.REACH,
        (("shop.saws.0.narrowest_rip", 300 * MM + 1),),
    ),
    "a sled too narrow": (Rule.REACH, (("shop.saws.0.widest_crosscut", 399 * MM),)),
    "a rip along a line on a sled too narrow": (
        Rule.REACH,
        (
            ("shop.saws.1.rip_guide", "fence"),
            ("shop.saws.1.widest_crosscut", 2440 * MM - 1),
        ),
    ),
    "lumber too long to be ripped": (
        Rule.REACH,
        (("shop.longest_rough", 600 * MM - 1),),
    ),
    "a blade too low": (Rule.REACH, (("shop.saws.2.tallest", 38 * MM - 1),)),
    "too wide to be resawn": (Rule.REACH, (("shop.saws.3.tallest", 99 * MM - 1),)),
    "too short an edge on the fence": (
        Rule.REACH,
        (
            ("layouts.0.cuts.3.guide", "fence"),
            ("settings.6.kind", "fence"),
            ("shop.saws.0.widest_rip", None),
        ),
    ),
    "a measure that is off": (Rule.MEASURE, (("layouts.0.cuts.3.measure", more(1)),)),
    "a measure from the other side": (
        Rule.MEASURE,
        (("layouts.3.cuts.0.from_", "low"),),
    ),
    "a stop without a measure": (Rule.MEASURE, (("layouts.0.cuts.3.measure", None),)),
    "a stop set to nothing": (
        Rule.MEASURE,
        (("layouts.1.cuts.0.guide", "stop"), ("layouts.1.cuts.0.measure", 0)),
    ),
    "a setting that is not there": (Rule.SETTING, (("layouts.0.cuts.0.setting", ""),)),
    "a setting of another saw": (Rule.SETTING, (("settings.0.saw", "table"),)),
    "a setting of another kind": (Rule.SETTING, (("settings.0.kind", "fence"),)),
    "a setting of another distance": (
        Rule.SETTING,
        (("settings.0.distance", more(1)),),
    ),
    "one thing set twice": (
        Rule.SETTING,
        (
            ("settings", lambda held: (*held, replace(held[3], id="mitre 700 again"))),
            ("layouts.1.cuts.2.setting", "mitre 700 again"),
            ("totals.settings", more(1)),
        ),
    ),
    "an idle setting": (Rule.SETTING, (("settings", plus(id="idle")),)),
    "fewer changes said than made": (Rule.CHANGES, (("order.changes", more(-1)),)),
    "a bound above the changes": (Rule.CHANGES, (("order.lower_bound", more(9)),)),
    "less than no change": (Rule.CHANGES, (("order.lower_bound", -1),)),
    # money, sums and claims
    "more bought than used": (Rule.PURCHASE, (("purchases.0.qty", 2),)),
    "a purchase left out": (Rule.PURCHASE, (("purchases", less_one(0)),)),
    "a purchase listed twice": (Rule.PURCHASE, (("purchases", doubled),)),
    "a purchase of what is owned": (
        Rule.PURCHASE,
        (("purchases", plus(stock="oak board", material="oak", cost_cents=None)),),
    ),
    "a purchase of other material": (Rule.PURCHASE, (("purchases.0.material", "oak"),)),
    "a purchase at another price": (Rule.PURCHASE, (("purchases.0.cost_cents", 6399),)),
    "a purchase without its price": (
        Rule.PURCHASE,
        (("purchases.0.cost_cents", None),),
    ),
    # what to know at the store
    "instead of what is not bought": (
        Rule.ADVICE,
        (("advice.alternatives.0.missing", "ply half sheet"),),
    ),
    "instead something unheard of": (
        Rule.ADVICE,
        (("advice.alternatives.0.instead.0.stock", "elm"),),
    ),
    "instead what is owned": (
        Rule.ADVICE,
        (
            ("advice.alternatives.0.material", "oak"),
            ("advice.alternatives.0.instead.0.material", "oak"),
            ("advice.alternatives.0.instead.0.stock", "oak board"),
        ),
    ),
    "instead at another price": (
        Rule.ADVICE,
        (("advice.alternatives.0.instead.0.cost_cents", 12000),),
    ),
    "instead more than there is": (Rule.ADVICE, (("offers.3.limit", 1),)),
    "another difference": (Rule.ADVICE, (("advice.alternatives.0.more_cents", 0),)),
    "a spare of what is not bought": (
        Rule.ADVICE,
        (("advice.spares.0.stock", "ply half sheet"),),
    ),
    "a spare at another price": (Rule.ADVICE, (("advice.spares.0.cost_cents", 0),)),
    # the ways from rough to finished
    "a route of no need": (Rule.ROUTE, (("routes.0.need", "n door"),)),
    "a route told twice": (Rule.ROUTE, (("routes", doubled),)),
    "a route of another build": (Rule.ROUTE, (("routes.0.build", "other"),)),
    "a route gone through too often": (Rule.ROUTE, (("routes.0.qty", 2),)),
    "a route from a larger blank": (
        Rule.ROUTE,
        (("routes.0.operations.0.width", 70 * MM),),
    ),
    "a route from too many blanks": (
        Rule.ROUTE,
        (("routes.1.operations.0.pieces", 3),),
    ),
    "a piece that grows": (Rule.ROUTE, (("routes.0.operations.1.width", 61 * MM),)),
    "a rip that thins": (
        Rule.ROUTE,
        (("routes.1.operations.2.thickness", 11 * MM),),
    ),
    "a route without its glue-up": (
        Rule.ROUTE,
        (("routes.1.operations", less_one(1)),),
    ),
    "a glue-up of three": (
        Rule.ROUTE,
        (("routes.1.operations.1.takes.0.count", 3),),
    ),
    "a glue-up wider than its strips": (
        Rule.ROUTE,
        (("routes.1.operations.1.width", 199 * MM),),
    ),
    "planed before the glue is dry": (Rule.ROUTE, (("routes.1.operations.1.day", 3),)),
    "too wide for the planer": (Rule.ROUTE, (("shop.mills.1.width", 50 * MM),)),
    "too short for the jointer": (Rule.ROUTE, (("shop.mills.0.shortest", 601 * MM),)),
    "too thin for the planer": (Rule.ROUTE, (("shop.mills.1.thinnest", 31 * MM),)),
    "no planer": (Rule.ROUTE, (("shop.mills", less_one(1)),)),
    "glued on the planer": (Rule.ROUTE, (("routes.1.operations.1.machine", "planer"),)),
    "another setting": (Rule.ROUTE, (("routes.1.operations.2.setting", 191 * MM),)),
    "a part too short in the end": (
        Rule.ROUTE,
        (
            ("routes.1.operations.3.length", 439 * MM),
            ("routes.1.operations.3.setting", 439 * MM),
            ("routes.1.operations.4.length", 439 * MM),
        ),
    ),
    "a part too thick in the end": (Rule.ROUTE, (("parts.3.thickness", 29 * MM),)),
    "hardware of another price": (Rule.TOTAL, (("hardware.0.cost_cents", 451),)),
    "hardware left out": (Rule.TOTAL, (("hardware", less_one(1)),)),
    **{
        f"another total of {name}": (Rule.TOTAL, ((f"totals.{name}", more(1)),))
        for name in (
            "cost_cents",
            "stock_cents",
            "hardware_cents",
            "unpriced",
            "layouts",
            "cuts",
            "settings",
            "blanks",
            "parts",
        )
    },
    **{
        f"another yield of {name}": (
            Rule.YIELD,
            ((f"totals.yields.2.{name}", more(1)),),
        )
        for name in ("stock", "parts", "offcuts", "scrap", "kerf")
    },
    "a yield left out": (Rule.YIELD, (("totals.yields", less_one(0)),)),
    "a yield twice": (Rule.YIELD, (("totals.yields", doubled),)),
    "a yield of nothing": (Rule.YIELD, (("totals.yields", plus(form="board")),)),
    "scrap called offcut": (Rule.YIELD, (("layouts.0.pieces.1.fate", "offcut"),)),
    "a bound above its value": (Rule.BOUND, (("bounds.0.lower_bound", 6401),)),
    "a bound below nothing": (Rule.BOUND, (("bounds.0.lower_bound", -1),)),
    "a proof with a gap": (Rule.BOUND, (("bounds.2.lower_bound", 779),)),
    "a proof of what is short": (
        Rule.BOUND,
        (("bounds.0.lower_bound", 6400), ("bounds.0.proven", True)),
    ),
    "a cost that is not": (
        Rule.BOUND,
        (("bounds.2.value", 700), ("bounds.2.lower_bound", 700)),
    ),
    "a count that is not": (Rule.BOUND, (("bounds.3.value", 2),)),
    "an area that is not": (Rule.BOUND, (("bounds.1.value", more(-1)),)),
    "a cost of what has no price": (
        Rule.BOUND,
        (("layouts.1.stock.price_cents", None),),
    ),
    "a bound of another section": (Rule.BOUND, (("bounds.2.section", "2x6"),)),
    "a bound of an unknown material": (Rule.BOUND, (("bounds.4.scope", ("elm",)),)),
    "a bound of nothing": (Rule.BOUND, (("bounds.4.scope", ()),)),
    "a bound of a material twice": (Rule.BOUND, (("bounds.4.scope", doubled),)),
    "a proof without a certificate": (
        Rule.BOUND,
        (("bounds.3.certificate", None),),
    ),
    "a certificate without a part": (
        Rule.CERTIFICATE,
        (("bounds.3.certificate", {"scale": 1}),),
    ),
    "a certificate without a scale": (
        Rule.CERTIFICATE,
        (("bounds.3.certificate", lambda held: {**held, "scale": 0}),),
    ),
    "a caution that is not there": (
        Rule.CAUTION,
        (("layouts.1.cuts.4.cautions", ("wide",)),),
    ),
    # the second witness
    "two pieces in one place": (Rule.OVERLAP, (("layouts.0.pieces.9.x", 809 * MM),)),
    "two slats in one slab": (Rule.OVERLAP, (("layouts.2.pieces.7.z", 11 * MM),)),
    "a piece over the edge": (Rule.OUTSIDE, (("layouts.0.pieces.12.x", more(1)),)),
    "a piece above the face": (Rule.OUTSIDE, (("layouts.2.pieces.7.z", 14 * MM),)),
    "a piece below the face": (Rule.OUTSIDE, (("layouts.2.pieces.6.z", -1),)),
    "a piece with too much wood": (Rule.SUM, (("layouts.0.pieces.4.width", more(-1)),)),
}


def rules_of(violations: tuple[Violation, ...]) -> set[str]:
    return {violation.rule for violation in violations}


@pytest.mark.parametrize("name", CASES)
def test_a_spoilt_plan_breaks_the_rule(name: str, sound: Plan, change: Change) -> None:
    """A plan spoilt in one way breaks the rule that is there for it."""
    rule, edits = CASES[name]
    plan = sound
    for path, value in edits:
        plan = change(plan, path, value)
    assert rule in rules_of(verify(plan))


def test_every_rule_has_a_plan_that_breaks_it() -> None:
    """No rule is left that nothing was seen to break."""
    assert {rule for rule, _ in CASES.values()} == set(Rule)


@pytest.mark.parametrize(
    ("name", "only"),
    [
        ("a limit passed", {"limit"}),
        ("a blade too low", {"reach"}),
        ("too wide to be resawn", {"reach"}),
        ("a factory edge at high y", {"edge"}),
        ("a rounded edge at low y", {"edge"}),
        ("a rounded edge at high y", {"edge"}),
        ("a part ripped off a crooked edge", {"crook"}),
        ("a part that lies across", {"part"}),
        ("a proof with a gap", {"bound"}),
        ("an idle setting", {"setting", "total"}),
        ("one thing set twice", {"setting"}),
        ("cuts listed out of order", {"order"}),
        ("cut before it is glued", {"glueup"}),
        ("a caution that is not there", {"caution"}),
        ("scrap called offcut", {"yield", "zone"}),
        # the checker's own view of the layout and the witness's agree
        ("a blank shifted by one tick", {"replay", "overlap", "outside"}),
    ],
)
def test_a_fault_breaks_no_other_rule(
    name: str, only: set[str], sound: Plan, change: Change
) -> None:
    """Where one thing is wrong, that is told, and nothing that is right."""
    plan = sound
    for path, value in CASES[name][1]:
        plan = change(plan, path, value)
    assert rules_of(verify(plan)) <= only


def test_a_violation_says_where_and_what(sound: Plan, change: Change) -> None:
    """A fault is one line: place, sentence, rule."""
    plan = change(sound, "layouts.0.cuts.1.kerf", 3 * MM)
    told = [str(fault) for fault in verify(plan) if fault.rule == "kerf"]
    assert told == [
        "layout 'S', step 2: the kerf is 4800, that of 'rail' is 3200 [kerf]"
    ]
