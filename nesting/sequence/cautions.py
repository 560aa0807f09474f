"""Put each caution at the step it belongs to, and no caution anywhere else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from nesting.model.plan import Caution, Cut, Layout, Piece, PlanSaw
from nesting.model.quantities import weight_pounds
from nesting.model.terms import Form, Guide, Plane, Purpose
from nesting.trade.cautions import (
    CAUTIONS,
    fence_crosscut_allowed,
    resaw_cautions,
    rip_cautions,
)
from nesting.trade.defaults import FIGURES, default_length
from nesting.trade.panels import DENSITIES
from nesting.trade.saws import SawKind
from nesting.units import Display, Ticks

_ONCE_PER_SETTING = frozenset({"push-stick", "resaw", "bandsaw-hands", "radial-rip"})
_BY_HAND = frozenset({SawKind.MITER, SawKind.RADIAL_ARM})
_KINDS = {kind.value: kind for kind in SawKind}
_LONG: Ticks = default_length("handy_sheet_length")


def caution_steps(
    layouts: Sequence[Layout], saws: Iterable[PlanSaw], display: Display
) -> tuple[tuple[Layout, ...], tuple[Caution, ...]]:
    """Mark the cuts that need a caution, and list every rule that is used.

    Parameters
    ----------
    layouts
        With steps and settings.
    saws
        The saws of the plan.
    display
        How sizes are written in the sentences.

    Returns
    -------
    layouts, cautions
        A rule about a setting alone is marked at its first cut only, a rule about a
        piece at every cut; rules for the whole job (support, weight, hands, the general
        one) stand in the list but at no step.
    """
    by_name = {saw.name: saw for saw in saws}
    steps = sorted(
        (cut.step, number, place)
        for number, layout in enumerate(layouts)
        for place, cut in enumerate(layout.cuts)
    )
    pieces = [{piece.id: piece for piece in layout.pieces} for layout in layouts]
    marked = [list(layout.cuts) for layout in layouts]
    used: set[str] = set()
    said: set[str] = set()
    setting = ""
    for _, number, place in steps:
        cut = marked[number][place]
        if cut.setting != setting:
            setting, said = cut.setting, set()
        rules = [
            rule
            for rule in _rules(cut, pieces[number][cut.piece], by_name.get(cut.saw))
            if rule not in said
        ]
        said.update(_ONCE_PER_SETTING.intersection(rules))
        used.update(rules)
        marked[number][place] = replace(cut, cautions=tuple(rules))
    used.update(_whole_job(layouts, by_name))
    return (
        tuple(
            replace(layout, cuts=tuple(cuts))
            for layout, cuts in zip(layouts, marked, strict=True)
        ),
        tuple(
            Caution(id=name, text=rule.sentence(display), source=rule.source)
            for name, rule in CAUTIONS.items()
            if name in used
        ),
    )


def _rules(cut: Cut, piece: Piece, saw: PlanSaw | None) -> list[str]:
    if cut.purpose == Purpose.HAUL:
        return []  # the store's saw is the store's affair
    if cut.plane == Plane.RESAW:
        rules = resaw_cautions(piece.width, piece.length, saw=_kind(saw))
        return [rule.id for rule in rules]
    if cut.guide == Guide.FENCE and cut.measure is not None:
        run = piece.length if cut.plane == Plane.RIP else piece.width
        twists = not fence_crosscut_allowed(run, cut.measure)
        radial = cut.plane == Plane.RIP and _kind(saw) is SawKind.RADIAL_ARM
        return (
            ["radial-rip"] * radial
            + ["fence-crosscut"] * twists
            + [rule.id for rule in rip_cautions(cut.measure, run)]
        )
    if cut.plane != Plane.CROSSCUT or cut.guide != Guide.STOP:
        return []
    held = max(cut.at, piece.length - cut.at - cut.kerf)
    small = saw is not None and saw.smallest_piece is not None
    if CAUTIONS["clamp-short"].speaks(held) or (
        small and saw is not None and piece.length < (saw.smallest_piece or 0)
    ):
        return ["clamp-short"]
    return []


def _kind(saw: PlanSaw | None) -> SawKind | None:
    return None if saw is None else _KINDS.get(saw.kind)


def _whole_job(layouts: Sequence[Layout], saws: Mapping[str, PlanSaw]) -> set[str]:
    rules = {"general"} if layouts else set()
    used = {
        cut.saw
        for layout in layouts
        for cut in layout.cuts
        if cut.purpose != Purpose.HAUL
    }
    if any(_kind(saws.get(saw)) in _BY_HAND for saw in used):
        rules.add("hands")
    if any(layout.form == Form.SHEET for layout in layouts):
        rules.add("support-sheet")
    if any(_heavy(layout) for layout in layouts):
        rules.add("lift")
    rips = []
    for layout in layouts:
        if layout.form == Form.BOARD:
            lengths = {piece.id: piece.length for piece in layout.pieces}
            rips += [
                lengths[cut.piece]
                for cut in layout.cuts
                if cut.plane in (Plane.RIP, Plane.RESAW)
            ]
    if rips:
        rules.add("straight-edge")
    if any(length > _LONG for length in rips):
        rules.add("outfeed")
    return rules


def _heavy(layout: Layout) -> bool:
    """Tell whether a sheet may be too heavy for one, taking it for plywood.

    What is cut at the store comes in pieces, of which the heaviest counts.
    """
    if layout.form != Form.SHEET:
        return False
    at_store = [cut for cut in layout.cuts if cut.purpose == Purpose.HAUL]
    made = {name for cut in at_store for name in cut.makes}
    home = (made or {layout.id}) - {cut.piece for cut in at_store}
    return any(
        weight_pounds(piece.length, piece.width, piece.thickness, DENSITIES["plywood"])
        > FIGURES["lift_warn"].value
        for piece in layout.pieces
        if piece.id in home
    )
