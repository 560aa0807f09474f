"""Write a plan up: everything the rooms found, as the records of the plan file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from nesting import __version__
from nesting.milling import Offered, movements, routes
from nesting.model.blank import Need
from nesting.model.certificate import Branch, Certificate, Leaf
from nesting.model.job import Hardware, Job, Part
from nesting.model.plan import (
    Layout,
    MadeBy,
    Offer,
    Plan,
    PlanBlank,
    PlanBound,
    PlanBuild,
    PlanHardware,
    PlanJob,
    PlanNeed,
    PlanPart,
    PlanRun,
    PlanTake,
    PlanTrim,
    PlanUnplaced,
    PlanZone,
    Purchase,
    Totals,
    Yield,
)
from nesting.model.problem import Problem
from nesting.model.result import Result
from nesting.model.stock import Stock
from nesting.model.terms import Fate, Grain, Origin
from nesting.pipeline.shop_record import mill_of, shop_record
from nesting.sequence import Ordered
from nesting.units import Unit


def write_up(
    job: Job, offered: Offered, problem: Problem, result: Result, ordered: Ordered
) -> Plan:
    """Put what every room found into one plan.

    Parameters
    ----------
    job
        What the maker brought.
    offered, problem, result, ordered
        What milling, the pipeline, the solver and the sequence made of it.

    Returns
    -------
    Plan
        Not verified yet.
    """
    layouts = ordered.layouts
    made = chosen_needs(problem, result)
    blanks = _blanks(made)
    purchases = _purchases(problem.stock, layouts)
    hardware = tuple(_hardware(line) for line in job.hardware)
    moving, tight = movements(job.parts, job.materials, made, job.climate, mill_of(job))
    ways, unreached = routes(job.parts, job.materials, made, layouts, mill_of(job))
    return Plan(
        job=PlanJob(
            name=job.name,
            unit="inch" if job.display.unit is Unit.INCH else "mm",
            fraction=job.display.denominator,
            currency=job.currency,
        ),
        shop=shop_record(job.shop),
        parts=tuple(_part(part, made) for part in job.parts),
        blanks=blanks,
        layouts=layouts,
        runs=tuple(
            PlanRun(id=run.id, axis=run.axis, members=run.members)
            for run in problem.runs
        ),
        offers=tuple(_offer(stock) for stock in problem.stock),
        needs=tuple(_need(need, result) for need in problem.needs),
        routes=ways,
        movements=moving,
        settings=ordered.settings,
        order=ordered.order,
        unplaced=tuple(
            PlanUnplaced(blank=miss.blank, qty=miss.quantity, why=miss.why)
            for miss in result.unplaced
        ),
        purchases=purchases,
        hardware=hardware,
        bounds=tuple(
            PlanBound(
                scope=(bound.material,),
                section=bound.section,
                sections=bound.sections,
                objective=bound.objective,
                value=bound.value,
                lower_bound=bound.lower_bound,
                proven=bound.proven,
                basis=bound.basis,
                certificate=(
                    None
                    if bound.certificate is None
                    else _certificate(bound.certificate)
                ),
            )
            for bound in result.bounds
        ),
        cautions=ordered.cautions,
        made_by=MadeBy(
            version=__version__,
            seed=problem.seed,
            work=result.work,
            stopped_by=result.stopped_by,
            input_digest=job.digest,
        ),
        totals=_totals(job, layouts, ordered, blanks, purchases, hardware),
        warnings=offered.warnings + unreached + tight + result.notes,
    )


def chosen_needs(problem: Problem, result: Result) -> tuple[Need, ...]:
    """Return the needs with the build that was chosen of each, and no other."""
    chosen = {each.need: each.build for each in result.chosen}
    return tuple(
        replace(need, builds=tuple(b for b in need.builds if b.id == chosen[need.id]))
        for need in problem.needs
    )


def _part(part: Part, needs: Sequence[Need]) -> PlanPart:
    """Return a part's record; what it leaves to its material is its blank's.

    So is the grain, where the material has none to keep.
    """
    need = next(need for need in needs if need.part == part.name)
    blank = need.builds[0].takes[0].blank
    return PlanPart(
        id=part.name,
        name=part.name,
        qty=part.quantity,
        length=part.length,
        width=blank.width if part.width is None else part.width,
        thickness=blank.thickness if part.thickness is None else part.thickness,
        material=part.material,
        grain=Grain.ANY if blank.grain is Grain.ANY else part.grain,
        note=part.note,
        priority=part.priority,
    )


def _blanks(needs: Sequence[Need]) -> tuple[PlanBlank, ...]:
    return tuple(
        PlanBlank(
            id=take.blank.id,
            parts=(need.part,),
            role=take.blank.role,
            qty=take.count * need.quantity,
            length=take.blank.length,
            width=take.blank.width,
            thickness=take.blank.thickness,
            material=take.blank.material,
            section=take.blank.section,
            sections=take.blank.sections,
            grain=take.blank.grain,
            minimum=take.blank.minimum,
            slice=take.blank.resawn,
            square_edges=take.blank.square_edges,
            clear=take.blank.clear,
        )
        for need in needs
        for take in need.builds[0].takes
    )


def _need(need: Need, result: Result) -> PlanNeed:
    chosen = next((c.build for c in result.chosen if c.need == need.id), None)
    return PlanNeed(
        id=need.id,
        part=need.part,
        qty=need.quantity,
        copies=need.copies,
        builds=tuple(
            PlanBuild(
                id=build.id,
                kind=build.kind,
                takes=tuple(
                    PlanTake(blank=take.blank.id, count=take.count)
                    for take in build.takes
                ),
            )
            for build in need.builds
        ),
        chosen=chosen,
    )


def _offer(stock: Stock) -> Offer:
    return Offer(
        id=stock.id,
        material=stock.material,
        section=stock.section,
        form=stock.form,
        length=stock.length,
        width=stock.width,
        thickness=stock.thickness,
        grain=stock.grain,
        price_cents=stock.price_cents,
        limit=stock.limit,
        origin=stock.origin,
        tag=stock.tag,
        trim=PlanTrim(
            low_x=stock.trim.low_x,
            high_x=stock.trim.high_x,
            low_y=stock.trim.low_y,
            high_y=stock.trim.high_y,
        ),
        zones=tuple(
            PlanZone(x=z.x, y=z.y, length=z.length, width=z.width, kind=z.kind)
            for z in stock.zones
        ),
        eased=stock.eased,
        crook=stock.crook,
    )


def _certificate(held: Certificate) -> dict[str, Any]:
    return {
        "scale": held.scale,
        "vectors": [dict(row) for row in held.vectors],
        "values": [dict(row) for row in held.values],
        "pricing": {
            "kind": held.kind,
            "kerf": list(held.kerf),
            "grid": [list(axis) for axis in held.grid],
            "trim": True,
            "turning": True,
        },
        "tree": _branch(held.tree),
    }


def _branch(branch: Branch) -> dict[str, Any]:
    if isinstance(branch, Leaf):
        return {"weights": list(branch.weights)}
    return {
        "split": branch.offer,
        "at": branch.at,
        "most": _branch(branch.most),
        "more": _branch(branch.more),
    }


def _purchases(
    offers: Sequence[Stock], layouts: Sequence[Layout]
) -> tuple[Purchase, ...]:
    used = Counter(layout.stock.name for layout in layouts)
    return tuple(
        Purchase(
            material=stock.material,
            stock=stock.id,
            qty=used[stock.id],
            cost_cents=(
                None
                if stock.price_cents is None
                else stock.price_cents * used[stock.id]
            ),
        )
        for stock in offers
        if stock.origin is Origin.STORE and used[stock.id]
    )


def _hardware(line: Hardware) -> PlanHardware:
    cost = None if line.price_cents is None else line.price_cents * line.quantity
    return PlanHardware(
        name=line.name, qty=line.quantity, cost_cents=cost, note=line.note
    )


def _totals(
    job: Job,
    layouts: Sequence[Layout],
    ordered: Ordered,
    blanks: Sequence[PlanBlank],
    purchases: Sequence[Purchase],
    hardware: Sequence[PlanHardware],
) -> Totals:
    costs = [line.cost_cents for line in purchases]
    costs += [line.cost_cents for line in hardware]
    stock_cents = sum(line.cost_cents or 0 for line in purchases)
    hardware_cents = sum(line.cost_cents or 0 for line in hardware)
    return Totals(
        cost_cents=stock_cents + hardware_cents,
        stock_cents=stock_cents,
        hardware_cents=hardware_cents,
        unpriced=sum(cost is None for cost in costs),
        layouts=len(layouts),
        cuts=sum(len(layout.cuts) for layout in layouts),
        settings=len(ordered.settings),
        blanks=sum(blank.qty for blank in blanks),
        parts=sum(part.quantity for part in job.parts),
        yields=_yields(layouts),
    )


def _yields(layouts: Sequence[Layout]) -> tuple[Yield, ...]:
    """Add up shares of faces: what is neither part nor offcut nor scrap is kerf."""
    sums: dict[tuple[str, str, str], Counter[str]] = {}
    for layout in layouts:
        key = (layout.material, layout.section, layout.form)
        areas = sums.setdefault(key, Counter())
        areas["stock"] += layout.stock.length * layout.stock.width
        volumes: Counter[str] = Counter()
        for piece in layout.pieces:
            volumes[piece.fate] += piece.length * piece.width * piece.thickness
        for fate, volume in volumes.items():
            areas[fate] += volume // layout.stock.thickness
    return tuple(
        Yield(
            material=material,
            section=section,
            form=form,
            stock=areas["stock"],
            parts=areas[Fate.PART],
            offcuts=areas[Fate.OFFCUT],
            scrap=areas[Fate.SCRAP],
            kerf=areas["stock"]
            - areas[Fate.PART]
            - areas[Fate.OFFCUT]
            - areas[Fate.SCRAP],
        )
        for (material, section, form), areas in sums.items()
    )
