"""The saws of a job: what the maker says, and what the trade says of the rest."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, TypeVar

from nesting.errors import InputError
from nesting.files.faults import FaultList, Spot, suggestion
from nesting.files.hauls import (
    Carried,
    haul_of,
    length_or_any,
    read_carried,
    sheet_haul_of,
)
from nesting.files.sizes import Sizes
from nesting.files.tables import Table
from nesting.model.mill import Jointer, Planer
from nesting.model.shop import Minutes, Saw, Shop
from nesting.model.terms import Guide, Place, Plane
from nesting.trade.defaults import default_length
from nesting.trade.saws import SAWS, SawKind, SawPractice, saw_practice
from nesting.units import Ticks, Unit, write_exact

Machine = TypeVar("Machine", Jointer, Planer)

MOST_SAWS: Final = 50
MOST_MINUTES: Final = 1000
WIDEST_KERF: Final[Ticks] = Unit.INCH.ticks
"""More is no saw kerf but a slip between inches and millimetres."""

WIDEST_TOLERANCE: Final[Ticks] = 2 * Unit.INCH.ticks
"""Of a cut at the store; more is a slip of units."""

_PLANES: Final = {plane.value: plane for plane in Plane}
_PLACES: Final = {place.value: place for place in Place}
_GUIDES: Final = {g.value: g for g in (Guide.FENCE, Guide.STOP, Guide.LINE)}
_REACHES: Final = (
    "longest_cut",
    "widest_rip",
    "narrowest_rip",
    "widest_crosscut",
    "tallest",
)
_MACHINES: Final = {"jointer": "jointer", "planer": "planer"}
_MACHINE_SIZES: Final = ("width", "shortest", "thinnest")
_RATES: Final = ("setting", "cut", "sheet")
_SMALLEST: Final = {
    SawKind.TABLE: "min_rip_piece_length",
    SawKind.MITER: "min_crosscut_held_piece",
    SawKind.RADIAL_ARM: "min_crosscut_held_piece",
}


def usual_shop(kerf: Ticks | None = None) -> Shop:
    """Return the shop of a maker who names no saw.

    A crosscut saw for what is narrow, then a table saw without limits for all the rest;
    kerfs and the smallest pieces are those of the trade's tables.

    Parameters
    ----------
    kerf
        The kerf of both, in ticks; None for the usual one of each.
    """
    crosscut, table = SAWS[SawKind.MITER], SAWS[SawKind.TABLE]
    return Shop(
        longest_rough=default_length("longest_rough"),
        saws=(
            Saw(
                name="crosscut saw",
                kind=crosscut.kind.value,
                kerf=crosscut.kerf.value if kerf is None else kerf,
                planes=tuple(Plane(plane) for plane in crosscut.planes),
                rip_guide=_guide(crosscut, Plane.RIP),
                crosscut_guide=_guide(crosscut, Plane.CROSSCUT),
                widest_crosscut=default_length("miter_crosscut_capacity"),
                smallest_piece=_smallest(crosscut),
            ),
            Saw(
                name="table saw",
                kind=table.kind.value,
                kerf=table.kerf.value if kerf is None else kerf,
                planes=tuple(Plane(plane) for plane in table.planes),
                rip_guide=_guide(table, Plane.RIP),
                crosscut_guide=_guide(table, Plane.CROSSCUT),
                smallest_piece=_smallest(table),
            ),
        ),
    )


def read_shop(
    tables: list[Table],
    shop: Table | None,
    sizes: Sizes,
    faults: FaultList,
    machines: tuple[Table | None, Table | None] = (None, None),
) -> Shop | None:
    """Return the shop of the ``[[saw]]`` tables, None where one of them is faulty.

    Parameters
    ----------
    tables
        One for each saw; none for the usual ones.
    shop
        The ``[shop]`` table, where there is one; its ``longest_rough`` is a length, or
        ``any``, and so is what can be carried home (`hauls`).
    sizes
        Reads lengths.
    faults
        Where they are noted.
    machines
        The tables ``[jointer]`` and ``[planer]``, where there are.
    """
    longest: Ticks | None = default_length("longest_rough")
    carried = Carried()
    without: tuple[str, ...] = ()
    minutes = Minutes()
    if shop is not None:
        if shop.raw("longest_rough") is not None:
            longest = length_or_any("longest_rough", shop, sizes)
        carried = read_carried(shop, sizes, faults)
        without = shop.choices("without", _MACHINES) or ()
        minutes = _minutes(shop.table("minutes"))
        shop.close()
    jointer = None if "jointer" in without else _machine(Jointer, machines[0], sizes)
    planer = None if "planer" in without else _machine(Planer, machines[1], sizes)
    for name, table in zip(_MACHINES, machines, strict=True):
        if table is not None and name in without:
            what = f"the shop is without a {name}, and here is one"
            faults.add(table.spot(), what, "leave one of the two out")
    if not tables:
        usual = usual_shop()
        return replace(
            usual,
            haul=haul_of(carried, usual.saws),
            haul_sheet=sheet_haul_of(carried, usual.saws),
            longest_rough=longest,
            jointer=jointer,
            planer=planer,
            minutes=minutes,
        )
    saws: list[Saw] = []
    names: set[str] = set()
    for table in tables:
        saw = _saw(table, sizes, faults)
        if saw is None:
            continue
        if saw.name.casefold() in names:
            what = f"there are two saws named {saw.name!r}"
            faults.add(table.spot("name"), what, "give each a name of its own")
        names.add(saw.name.casefold())
        saws.append(saw)
    if len(saws) < len(tables) or len(names) < len(saws):
        return None
    return Shop(
        saws=tuple(saws),
        haul=haul_of(carried, saws),
        haul_sheet=sheet_haul_of(carried, saws),
        longest_rough=longest,
        jointer=jointer,
        planer=planer,
        minutes=minutes,
    )


def _minutes(table: Table | None) -> Minutes:
    """Return the rates of the estimate, the usual ones where none are given."""
    if table is None:
        return Minutes()
    given = {key: table.whole(key, 0, MOST_MINUTES) for key in _RATES}
    table.close()
    return replace(
        Minutes(), **{key: rate for key, rate in given.items() if rate is not None}
    )


def _machine(kind: type[Machine], table: Table | None, sizes: Sizes) -> Machine:
    """Return a machine; what its table does not say is the usual."""
    usual = kind()
    if table is None:
        return usual
    read = {name: table.size(name, sizes) for name in _MACHINE_SIZES}
    table.close()
    return replace(usual, **{k: v for k, v in read.items() if v is not None})


def check_kerf(kerf: Ticks | None, spot: Spot, faults: FaultList) -> None:
    """Note a kerf that no blade has."""
    if kerf is not None and kerf > WIDEST_KERF:
        size = f"{write_exact(kerf, Unit.INCH)} or {write_exact(kerf, Unit.MM)}"
        what = f"a kerf of {size} is no saw kerf"
        faults.add(spot, what, 'write its unit, like "3.2 mm" or "1/8 in"')


def _saw(table: Table, sizes: Sizes, faults: FaultList) -> Saw | None:
    """Return one saw, or None after noting its faults."""
    before = len(faults)
    kind = table.text("kind")
    practice: SawPractice | None = None
    if kind:
        try:
            practice = saw_practice(kind)
        except InputError as error:
            near = suggestion(kind, [known.value for known in SawKind])
            remedy = f"{near}; of another saw give name, kerf and cuts, and no kind"
            faults.add(table.spot("kind"), error.faults[0].what, remedy)
    elif "kind" not in table:
        table.need("name", "kerf", "cuts")
    name = table.text("name", default=practice.kind.value if practice else "saw")
    kerf = table.size("kerf", sizes, zero=True)
    check_kerf(kerf, table.spot("kerf"), faults)
    planes = table.choices("cuts", _PLANES)
    if practice is not None:
        kerf = practice.kerf.value if kerf is None else kerf
        for plane in planes or ():
            if practice.cut(plane.value) is None:
                what = f"a {practice.kind.value} does not {plane.value}"
                able = " and ".join(cut.plane for cut in practice.cuts)
                faults.add(table.spot("cuts"), what, f"it can {able}")
        planes = planes or tuple(Plane(plane) for plane in practice.planes)
    reach = {key: table.size(key, sizes) for key in _REACHES}
    widest, narrowest = reach["widest_rip"], reach["narrowest_rip"]
    if widest is not None and narrowest is not None and narrowest > widest:
        what = "the narrowest rip is wider than the widest"
        faults.add(table.spot("narrowest_rip"), what, "look at both sizes")
    smallest = table.size("smallest_piece", sizes, zero=True)
    if smallest is None and practice is not None and "smallest_piece" not in table:
        smallest = _smallest(practice)
    place = table.choice("place", _PLACES, Place.SHOP)
    tolerance = table.size("tolerance", sizes, zero=True)
    if tolerance is not None and place is not Place.STORE:
        what = "only a saw at the store has a tolerance"
        faults.add(table.spot("tolerance"), what, 'add place = "store", or drop it')
    elif tolerance is not None and tolerance > WIDEST_TOLERANCE:
        what = "no saw at a store is so far off"
        faults.add(table.spot("tolerance"), what, 'write its unit, like "1/4 in"')
    rip = table.choice("rip_guide", _GUIDES, _guide(practice, Plane.RIP))
    across = table.choice("crosscut_guide", _GUIDES, _guide(practice, Plane.CROSSCUT))
    table.close()
    if len(faults) > before or kerf is None or not planes:
        return None
    return Saw(
        name=name,
        kind=practice.kind.value if practice else "",
        place=place,
        kerf=kerf,
        planes=planes,
        rip_guide=rip,
        crosscut_guide=across,
        longest_cut=reach["longest_cut"],
        widest_rip=reach["widest_rip"],
        narrowest_rip=reach["narrowest_rip"],
        widest_crosscut=reach["widest_crosscut"],
        tallest=reach["tallest"],
        smallest_piece=smallest or None,
        tolerance=tolerance,
    )


def _guide(practice: SawPractice | None, plane: Plane) -> Guide:
    """Return what usually sets the distance of a cut on such a saw."""
    cut = practice.cut(plane.value) if practice is not None else None
    return Guide.LINE if cut is None else Guide(cut.guide)


def _smallest(practice: SawPractice) -> Ticks | None:
    """Return the shortest piece that is usually held at such a saw by hand."""
    name = _SMALLEST.get(practice.kind)
    return None if name is None else default_length(name)
