"""Whether the saw of a cut can make it: planes, kerf, reach, measure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from nesting.model.plan import Cut, Plan, PlanSaw, Violation
from nesting.model.terms import Form, Guide, Plane
from nesting.units import Ticks
from nesting.verify.replay import AXES, Box, Trail
from nesting.verify.rules import Rule, broken

_LUMBER: Final = (Form.STICK.value, Form.BOARD.value)


def check_saws(plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    """Hold every cut against its saw, on the piece as the replay has it.

    Rule ``saw``: the saw is in the shop and makes cuts in that plane. The rules
    ``kerf``, ``reach`` and ``measure`` are those of the functions below. A cut whose
    piece does not exist is left out; the replay has named it.
    """
    saws: Mapping[str, PlanSaw] = {saw.name: saw for saw in reversed(plan.shop.saws)}
    for layout, trail in zip(plan.layouts, trails, strict=True):
        for cut in layout.cuts:
            where = f"layout {layout.id!r}, step {cut.step}"
            saw = saws.get(cut.saw)
            if saw is None:
                yield broken(Rule.SAW, where, f"there is no saw {cut.saw!r}")
                continue
            if cut.plane not in saw.cuts:
                what = f"{saw.name!r} makes no cut of plane '{cut.plane}'"
                yield broken(Rule.SAW, where, what)
            if trail.divided.get(cut.piece) is not cut:
                continue
            box = trail.boxes[cut.piece]
            size = box[AXES[cut.plane] + 3]
            yield from _kerf(cut, saw, size, where)
            yield from _measure(cut, size, where)
            yield from _reach(cut, saw, box, where)
            if layout.form in _LUMBER and saw.kerf is not None:
                yield from _rough(cut, plan.shop.longest_rough, box, where)


def _kerf(cut: Cut, saw: PlanSaw, size: Ticks, where: str) -> Iterator[Violation]:
    """Rule ``kerf``: the saw's kerf, less only where the blade runs partly off an edge.

    A machine without a kerf (jointer, planer) takes off any amount, at an edge only.
    """
    at_edge = cut.at == 0 or cut.at + cut.kerf == size
    if saw.kerf is None:
        if not at_edge:
            what = f"{saw.name!r} works at an edge only"
            yield broken(Rule.KERF, where, what)
    elif cut.kerf > saw.kerf or (cut.kerf < saw.kerf and not at_edge):
        what = f"the kerf is {cut.kerf}, that of {saw.name!r} is {saw.kerf}"
        yield broken(Rule.KERF, where, what)


def _measure(cut: Cut, size: Ticks, where: str) -> Iterator[Violation]:
    """Rule ``measure``: the distance from the side it is read from to the kerf.

    It is left out only for a cut to a pencil line, and never nothing against a fence or
    a stop, which cannot be set into the blade.
    """
    if cut.measure is None:
        if cut.guide != Guide.LINE.value:
            what = f"a cut on a {cut.guide} needs a measure"
            yield broken(Rule.MEASURE, where, what)
        return
    true = size - cut.at - cut.kerf if cut.from_ == "high" else cut.at
    if cut.measure != true:
        what = f"the measure from {cut.from_} is {cut.measure}, the cut is at {true}"
        yield broken(Rule.MEASURE, where, what)
    elif cut.measure == 0 and cut.guide in (Guide.FENCE.value, Guide.STOP.value):
        yield broken(Rule.MEASURE, where, f"a {cut.guide} cannot be set to nothing")


def _reach(cut: Cut, saw: PlanSaw, box: Box, where: str) -> Iterator[Violation]:
    """Rule ``reach``: the cut is no longer, wider or taller than the saw allows.

    The cut runs across the divided axis in the face: a crosscut as long as the piece is
    wide, any other as long as the piece is long. A crosscut not on the fence, a rip not
    on the fence of a saw that has one, and anything against a stop, is no longer than
    `widest_crosscut`: it is made on the sled. On the fence, the run must be at least
    the measure, or the piece would turn. No measure on a fence is over
    `widest_rip` or under `narrowest_rip`. No piece is thicker than `tallest`; for a
    resaw with a blade the piece stands on its edge, and its width must not be more
    either.
    """
    crosscut = cut.plane == Plane.CROSSCUT.value
    fence = cut.guide == Guide.FENCE.value
    run = box.width if crosscut else box.length
    height = box.thickness
    if cut.plane == Plane.RESAW.value and saw.kerf is not None:
        height = max(height, box.width)
    measure = cut.measure if cut.measure is not None and fence else 0
    yield from _within(where, "the cut's length", run, saw.longest_cut)
    rip = cut.plane == Plane.RIP.value
    sled = crosscut or (rip and saw.rip_guide == Guide.FENCE.value)
    if cut.guide == Guide.STOP.value or (sled and not fence):
        yield from _within(where, "the piece's width", run, saw.widest_crosscut)
    yield from _within(where, "the fence's distance", measure, saw.widest_rip)
    yield from _within(where, "the piece's height", height, saw.tallest)
    if cut.measure is not None and fence and cut.measure < (saw.narrowest_rip or 0):
        what = (
            f"the fence's distance is {cut.measure}; nothing narrower than "
            f"{saw.narrowest_rip} may pass there"
        )
        yield broken(Rule.REACH, where, what)
    if measure > run:
        what = f"the edge on the fence is {run}, shorter than its distance {measure}"
        yield broken(Rule.REACH, where, what)


def _rough(
    cut: Cut, longest: Ticks | None, box: Box, where: str
) -> Iterator[Violation]:
    """Rule ``reach``: no piece of lumber is ripped that is over `longest_rough`."""
    if cut.plane == Plane.RIP.value and longest is not None and box.length > longest:
        what = f"the piece is {box.length} long; none over {longest} is to be ripped"
        yield broken(Rule.REACH, where, what)


def _within(
    where: str, name: str, held: Ticks, limit: Ticks | None
) -> Iterator[Violation]:
    if limit is not None and held > limit:
        what = f"{name} is {held}; the saw reaches {limit}"
        yield broken(Rule.REACH, where, what)
