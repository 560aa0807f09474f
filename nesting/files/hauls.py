"""What can be carried home, and the saw at the store that cuts the rest to fit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from nesting.files.faults import FaultList, shown
from nesting.files.sizes import Sizes
from nesting.files.tables import Table
from nesting.model.shop import Haul, Saw, SheetHaul
from nesting.model.terms import Place, Plane
from nesting.trade.defaults import FIGURES, default_length
from nesting.units import TICKS_PER_FOOT, TICKS_PER_MM, Ticks, Unit, write_exact

SHORTEST_HAUL: Final[Ticks] = TICKS_PER_FOOT
"""Less is no piece that must be sawn to be carried, but a slip of units."""
MOST_STORE_CUTS: Final = 8
"""In one sheet."""

_ACROSS: Final = (Plane.CROSSCUT,)
_BOTH: Final = (Plane.CROSSCUT, Plane.RIP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What the maker says can be carried home; None for anything."""

    length: Ticks | None = None
    """Of a piece of lumber."""
    sheet: tuple[Ticks, Ticks] | None = None
    called: str = ""
    """That size in words."""
    step: Ticks = 1
    """What the store measures in."""
    cuts: int = int(FIGURES["store_cuts"].value)
    """The most that the store makes in one sheet."""


def length_or_any(key: str, shop: Table, sizes: Sizes) -> Ticks | None:
    """Return a length of the shop, None where it is ``any`` or not given."""
    if _is_any(shop.raw(key)):
        return None
    return shop.size(key, sizes)


def read_carried(shop: Table, sizes: Sizes, faults: FaultList) -> Carried:
    """Return what the keys ``haul``, ``haul_sheet`` and ``store_cuts`` say.

    Parameters
    ----------
    shop
        The ``[shop]`` table.
    sizes
        Reads lengths.
    faults
        Where they are noted.
    """
    length = length_or_any("haul", shop, sizes)
    if length is not None and length < SHORTEST_HAUL:
        what = "less than 1 ft is carried home in one piece"
        faults.add(shop.spot("haul"), what, 'write its unit, like "10 ft" or "3 m"')
        length = None
    sheet = _sheet(shop, sizes, faults)
    cuts = shop.whole("store_cuts", 1, MOST_STORE_CUTS)
    if cuts is not None and shop.raw("haul_sheet") is None:
        what = "cuts at the store are for sheets that cannot be carried whole"
        faults.add(shop.spot("store_cuts"), what, 'add haul_sheet = "60 x 48"')
    called = ""
    if sheet is not None:
        called = " x ".join(write_exact(side, sizes.unit) for side in sheet)
    usual = Carried()
    is_inch = sizes.unit is Unit.INCH
    return Carried(
        length=length,
        sheet=sheet,
        step=default_length("store_measures_in") if is_inch else TICKS_PER_MM,
        called=called,
        cuts=usual.cuts if cuts is None else cuts,
    )


def haul_of(carried: Carried, saws: Sequence[Saw]) -> Haul | None:
    """Return how lumber is carried home, with the saw of the store."""
    if carried.length is None:
        return None
    saw = _store_saw(carried, saws, [_ACROSS])
    return Haul(length=carried.length, saw=saw, tolerance=_tolerance(saw))


def sheet_haul_of(carried: Carried, saws: Sequence[Saw]) -> SheetHaul | None:
    """Return how sheets are carried home, with the saw of the store.

    One that cuts both ways is taken before one that does not.
    """
    if carried.sheet is None:
        return None
    length, width = carried.sheet
    saw = _store_saw(carried, saws, [_BOTH, _ACROSS, (Plane.RIP,)])
    return SheetHaul(
        length=length,
        width=width,
        saw=saw,
        tolerance=_tolerance(saw),
        cuts=carried.cuts,
        step=carried.step,
        called=carried.called,
    )


def _sheet(shop: Table, sizes: Sizes, faults: FaultList) -> tuple[Ticks, Ticks] | None:
    """Return the largest piece of a sheet that is carried, None for any or a fault."""
    raw = shop.raw("haul_sheet")
    if raw is None or _is_any(raw):
        return None
    spot = shop.spot("haul_sheet")
    sides = raw.replace("×", "x").split("x") if isinstance(raw, str) else []
    if len(sides) != 2:
        what = f"{shown(raw)} is no size of a piece of a sheet"
        faults.add(spot, what, 'write "60 x 48", or "any" for whole sheets')
        return None
    length, width = (sizes.read(side.strip(), spot, faults) for side in sides)
    if length is None or width is None:
        return None
    if min(length, width) < SHORTEST_HAUL:
        what = "less than 1 ft of a sheet is carried home"
        faults.add(spot, what, 'write its units, like "5 ft x 4 ft" or "150 cm x 1 m"')
        return None
    return length, width


def _is_any(raw: object) -> bool:
    return isinstance(raw, str) and raw.strip().lower() == "any"


def _tolerance(saw: Saw) -> Ticks:
    usual = default_length("store_cut_tolerance")
    return usual if saw.tolerance is None else saw.tolerance


def _store_saw(
    carried: Carried, saws: Sequence[Saw], wanted: Iterable[tuple[Plane, ...]]
) -> Saw:
    """Return the first saw at the store that cuts as is wanted most, or one made up.

    Where the maker names none, it is as wide as the widest of the shop that cuts so,
    and a quarter of an inch off (common practice). It is one saw, whatever it cuts.
    """
    for planes in wanted:
        for saw in saws:
            if saw.place is Place.STORE and set(planes) <= set(saw.planes):
                return saw
    planes = _ACROSS if carried.sheet is None else _BOTH
    able = [saw for saw in saws if set(planes) & set(saw.planes)] or [*saws]
    name, names = "store saw", {saw.name.casefold() for saw in saws}
    while name in names:
        name += ", theirs"
    return Saw(
        name=name,
        place=Place.STORE,
        kerf=max(saw.kerf for saw in able),
        planes=planes,
        tolerance=default_length("store_cut_tolerance"),
    )
