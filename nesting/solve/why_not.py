"""Why a blank finds no place on the sheets there are, in words for the maker."""

from __future__ import annotations

from nesting.model.blank import Blank
from nesting.model.problem import Problem
from nesting.model.shop import SheetHaul
from nesting.model.stock import Stock
from nesting.model.terms import Grain, Plane
from nesting.solve.clear import holds
from nesting.solve.groups import Group
from nesting.solve.hauled_sheets import is_too_large
from nesting.solve.out_of_reach import listed, why_out_of_reach
from nesting.solve.reach import Way, kerfs
from nesting.solve.sheet_ways import carried_lies
from nesting.units import Ticks


def too_little(each: Group) -> str:
    """Return the reason where more sheets would do."""
    return f"the limited stock of {each.name} does not hold everything"


def why_not(blank: Blank, each: Group, ways: tuple[Way, ...], problem: Problem) -> str:
    """Return why a blank of a group has no place on its sheets.

    Parameters
    ----------
    blank
        Or a run, as one blank.
    each
        Its group.
    ways
        In which the saws of the shop cut it.
    problem
        The whole, for what can be carried home.
    """
    if not each.stock:
        return f"there is no stock of {each.name}"
    if not ways:
        return f"no saw of the shop cuts {each.name}"
    if not any(_lies(blank, stock) for stock in each.stock):
        largest = max(each.stock, key=lambda s: s.usable_length * s.usable_width)
        way = "with its grain along the sheet's" if blank.grain is Grain.LENGTH else ""
        return (
            f"it is larger than the usable area of any sheet of {each.name}; the "
            f"largest is {largest.id} {way}".strip()
        )
    uncarried = _why_not_carried(blank, each, ways, problem.haul_sheet)
    if uncarried:
        return uncarried
    if not any(_has_place(blank, stock) for stock in each.stock):
        return f"no clear part of a sheet of {each.name} is large enough for it"
    if _too_narrow(blank, ways):
        saws = dict.fromkeys(way.saw.name for way in ways)
        limits = listed({saw: {"narrowest_rip": None} for saw in saws})
        return f"it is narrower than any saw of the shop may cut: {limits}"
    if all(stock.limit is not None for stock in each.stock):
        return too_little(each)
    haul = problem.haul_sheet
    if all(is_too_large(stock, haul) for stock in each.stock if _lies(blank, stock)):
        return (
            f"no way was found to cut sheets of {each.name} at the store so that it "
            "has a place beside the other parts: carry larger pieces, or plan it alone"
        )
    return why_out_of_reach(blank, each.stock, ways)


def _why_not_carried(
    blank: Blank, each: Group, ways: tuple[Way, ...], haul: SheetHaul | None
) -> str:
    """Return why a blank comes from no sheet that can be carried; nothing if it may."""
    if haul is None:
        return ""
    known = [stock for stock in each.stock if _lies(blank, stock)]
    if not all(is_too_large(stock, haul) for stock in known):
        return ""
    widest = {
        plane: (kerfs(ways, plane) or (0, 0))[1]
        for plane in (Plane.CROSSCUT, Plane.RIP)
    }
    said = [carried_lies(stock, haul, _sizes(blank, stock), widest) for stock in known]
    size = f" (haul_sheet {haul.called})" if haul.called else ""
    if not any(carried for carried, _ in said):
        cuts = "1 cut" if haul.cuts == 1 else f"{haul.cuts} cuts"
        return (
            f"with {cuts} at the store no sheet of {each.name} comes to pieces that "
            f"can be carried home{size}: allow more (store_cuts), or carry larger ones"
        )
    if any(holds for _, holds in said):
        return ""
    return (
        f"it is larger than any piece of {each.name} that can be carried home{size}, "
        "less what its edges lose: make it of two, or carry larger pieces"
    )


def _too_narrow(blank: Blank, ways: tuple[Way, ...]) -> bool:
    """Tell whether one side of a blank is below what every way leaves on the fence."""
    side = min(blank.length, blank.width)
    return all(side < way.smallest_measure for way in ways)


def _has_place(blank: Blank, stock: Stock) -> bool:
    """Tell whether a blank has a place on a sheet that touches no damage."""
    return any(holds(stock, *size) for size in _sizes(blank, stock))


def _lies(blank: Blank, stock: Stock) -> bool:
    return any(
        x <= stock.usable_length and y <= stock.usable_width
        for x, y in _sizes(blank, stock)
    )


def _sizes(blank: Blank, stock: Stock) -> list[tuple[Ticks, Ticks]]:
    """Return what a blank takes along x and y, each way that it may lie on stock."""
    straight, turned = (blank.length, blank.width), (blank.width, blank.length)
    if blank.grain is Grain.ANY:
        return [straight, turned]
    return [straight if stock.grain is Grain.LENGTH else turned]
