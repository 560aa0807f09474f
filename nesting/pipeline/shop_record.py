"""The shop as the other rooms take it: what mills, and its record in the plan."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.milling import Mill
from nesting.model.job import Job
from nesting.model.plan import (
    PlanMill,
    PlanMinutes,
    PlanSaw,
    PlanSheetHaul,
    PlanShop,
)
from nesting.model.shop import Shop
from nesting.model.terms import Plane
from nesting.units import Ticks


def shop_record(shop: Shop) -> PlanShop:
    """Return the record of a shop: its machines, its pace, and what is carried home."""
    return PlanShop(
        saws=saws_of(shop),
        mills=tuple(_mills(shop)),
        minutes=PlanMinutes(
            setting=shop.minutes.setting,
            cut=shop.minutes.cut,
            sheet=shop.minutes.sheet,
        ),
        longest_rough=shop.longest_rough,
        haul=None if shop.haul is None else shop.haul.length,
        haul_sheet=_sheet_haul(shop),
    )


def mill_of(job: Job) -> Mill:
    """Return what a job's shop mills with."""
    return Mill(
        saws=job.shop.home_saws,
        allowances=job.allowances,
        jointer=job.shop.jointer,
        planer=job.shop.planer,
        display=job.display,
    )


def saws_of(shop: Shop) -> tuple[PlanSaw, ...]:
    """Return the records of a shop's saws, that of the store with them."""
    saws = [*shop.saws]
    off: dict[str, Ticks] = {}
    for haul in (shop.haul, shop.haul_sheet):
        if haul is not None:
            off[haul.saw.name] = haul.tolerance
            if haul.saw not in saws:
                saws.append(haul.saw)
    return tuple(
        PlanSaw(
            name=saw.name,
            kind=saw.kind,
            place=saw.place,
            kerf=saw.kerf,
            cuts=tuple(saw.planes),
            longest_cut=saw.longest_cut,
            widest_rip=saw.widest_rip,
            widest_crosscut=saw.widest_crosscut,
            tallest=saw.tallest,
            smallest_piece=saw.smallest_piece,
            narrowest_rip=saw.narrowest_rip,
            tolerance=off.get(saw.name),
            rip_guide=saw.rip_guide if Plane.RIP in saw.planes else "",
        )
        for saw in saws
    )


def _sheet_haul(shop: Shop) -> PlanSheetHaul | None:
    haul = shop.haul_sheet
    if haul is None:
        return None
    return PlanSheetHaul(length=haul.length, width=haul.width, cuts=haul.cuts)


def _mills(shop: Shop) -> Iterator[PlanMill]:
    """Yield the records of a shop's jointer and planer."""
    for name, machine in (("jointer", shop.jointer), ("planer", shop.planer)):
        if machine is not None:
            yield PlanMill(
                name=name,
                width=machine.width,
                shortest=machine.shortest,
                thinnest=machine.thinnest,
            )
