"""Materials of a job file: sheet goods here, lumber next door, with their stock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from nesting.files.dimensions import Definition
from nesting.files.faults import FaultList
from nesting.files.lumber import read_lumber
from nesting.files.sizes import Sizes
from nesting.files.stock import (
    MOST_STOCK,
    USUAL_SHEET_TRIM,
    StockNames,
    build_stock,
    read_damage,
    read_supply,
    read_trim,
)
from nesting.files.sums import folded
from nesting.files.tables import Table, checked_text
from nesting.model.job import Allowance, Material, MaterialKind
from nesting.model.stock import Stock
from nesting.model.terms import Form, Grain
from nesting.units import Ticks

MOST_MATERIALS: Final = 200

_KINDS: Final = {kind.value: kind for kind in MaterialKind}
_GRAINS: Final = {"length": Grain.LENGTH, "width": Grain.WIDTH, "none": Grain.ANY}


def thickness_names(table: Table) -> Iterator[Definition]:
    """Yield the names under which sizes may use the materials' thicknesses."""
    seen: set[str] = set()
    for name, inner in table.data.items():
        known = inner if isinstance(inner, dict) else {}
        if known.get("kind") != MaterialKind.LUMBER.value and folded(name) not in seen:
            seen.add(folded(name))
            yield Definition(
                name=f"{name}.t",
                raw=known.get("thickness"),
                spot=table.spot(name, "thickness"),
                measured=True,
            )


def read_materials(
    table: Table, eased: Ticks, sizes: Sizes, names: StockNames, faults: FaultList
) -> dict[str, Material | None]:
    """Return the materials under their `folded` names; None for a faulty one.

    Parameters
    ----------
    table
        The table ``[materials]``, each key of which is a material.
    eased
        How far the edges of thick lumber are rounded where its table does not say.
    sizes
        Reads sizes; it knows the names of `thickness_names`.
    names
        Names the stock.
    faults
        Where every fault is noted.
    """
    found: dict[str, Material | None] = {}
    if len(table.data) > MOST_MATERIALS:
        what = f"there are more than {MOST_MATERIALS} materials"
        faults.add(table.spot(), what, "split the job")
        return found
    for name in table.data:
        inner = table.table(name)
        key = folded(name)
        if key in found:
            what = f"{name!r} reads like another material"
            remedy = "capitals, spaces, hyphens and _ make no difference"
            faults.add(table.spot(name), what, remedy)
        written = checked_text(name, table.spot(name), faults, longest=60)
        if not name.strip():
            what = "a material has an empty name"
            faults.add(table.spot(name), what, "write [materials.ply]")
        found[key] = None
        if inner is not None:
            found[key] = _material(written, inner, eased, sizes, names, faults)
    return found


def _material(
    name: str,
    table: Table,
    eased: Ticks,
    sizes: Sizes,
    names: StockNames,
    faults: FaultList,
) -> Material | None:
    """Return one material, or None after noting its faults."""
    before = len(faults)
    table.need("kind")
    kind = table.choice("kind", _KINDS, MaterialKind.SHEET)
    if len(faults) > before:
        return None
    rows = table.tables("stock", MOST_STOCK)
    if not rows and len(faults) == before:
        what = f"the material {name!r} has no stock to be cut from"
        key = name if name.isidentifier() else f'"{name}"'
        faults.add(table.spot(), what, f"add [[materials.{key}.stock]] with its sizes")
    allowance = read_allowance(table.table("allowance"), sizes)
    spare = table.whole("spare", 0, 100)
    if kind is MaterialKind.SHEET:
        made = _sheet(name, table, rows, allowance, sizes, names, faults)
    else:
        made = read_lumber(name, table, rows, allowance, eased, sizes, names, faults)
    table.close()
    if made is not None and spare:
        made = replace(made, spare_percent=spare)
    return made if len(faults) == before else None


def _sheet(
    name: str,
    table: Table,
    rows: list[Table],
    allowance: Allowance,
    sizes: Sizes,
    names: StockNames,
    faults: FaultList,
) -> Material | None:
    """Return a sheet good, or None after noting its faults."""
    table.need("thickness")
    table.raw("thickness")  # it was read as one of the names of sizes
    measured = sizes.value_of(f"{name}.t")
    grain = table.choice("grain", _GRAINS, Grain.LENGTH)
    trim = read_trim(table, Form.SHEET, USUAL_SHEET_TRIM, sizes, faults)
    stock: list[Stock] = []
    for row in rows:
        row.need("length", "width")
        length, width = row.size("length", sizes), row.size("width", sizes)
        supply = read_supply(row, faults)
        own_trim = read_trim(row, Form.SHEET, trim, sizes, faults)
        zones = read_damage(row, sizes, faults)
        row.close()
        if length is None or width is None or measured is None:
            continue
        plain = names.sheet(name, length, width)
        stock += build_stock(
            id=names.claim(plain, supply, row.spot("name"), faults),
            material=name,
            form=Form.SHEET,
            sizes=(length, width, int(measured)),
            grain=Grain.LENGTH if grain is Grain.ANY else grain,
            trim=own_trim,
            supply=supply,
            zones=zones,
            spot=row.spot(),
            faults=faults,
        )
    if measured is None:
        return None
    return Material(
        name=name,
        kind=MaterialKind.SHEET,
        thickness=int(measured),
        has_grain=grain is not Grain.ANY,
        allowance=allowance,
        stock=tuple(stock),
    )


def read_allowance(table: Table | None, sizes: Sizes) -> Allowance:
    """Return the allowance of a table; what is not given stays open."""
    if table is None:
        return Allowance()
    length = table.size("length", sizes, zero=True)
    width = table.size("width", sizes, zero=True)
    thickness = table.size("thickness", sizes, zero=True)
    table.close()
    return Allowance(length=length, width=width, thickness=thickness)
