"""Lumber of a job file: a family of sections, sold as sticks of several lengths."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from nesting.errors import InputError
from nesting.files.faults import FaultList, Spot, shown
from nesting.files.sizes import Sizes
from nesting.files.stock import (
    MOST_STOCK,
    USUAL_STICK_TRIM,
    StockNames,
    build_stock,
    read_damage,
    read_supply,
    read_trim,
)
from nesting.files.tables import Table, cents, checked_text
from nesting.model.job import Allowance, Material, MaterialKind, Section
from nesting.model.stock import Stock, Zone
from nesting.model.terms import Form, ZoneKind
from nesting.trade.defaults import default_length
from nesting.trade.lumber import nominal_section
from nesting.trade.species import find_species
from nesting.units import Ticks

MOST_LENGTHS: Final = 200
"""Lengths in one stock table."""

_CROOKED_PITH: Final = (
    "crooked boards are not ripped beside pith: 'pith' and 'crook' exclude each other"
)
_LEAST_PITH: Final = default_length("pith_least_width")
_LEAST_EASED: Final = default_length("eased_least_thickness")


def section_key(name: str) -> str:
    """Return a section's name as it is looked up: ``2 X 6`` is ``2x6``."""
    return "".join(name.split()).casefold().replace("×", "x")


def find_section(
    name: str,
    own: dict[str, Section],
    spot: Spot,
    faults: FaultList,
    or_else: str = "give its real size under sections",
) -> Section | None:
    """Return the section of a name, or None after noting that there is none.

    Parameters
    ----------
    name
        A section the maker defined, or a nominal size of PS 20.
    own
        The maker's sections under their `section_key`.
    spot
        Where the name stands.
    faults
        Where an unknown name is noted.
    or_else
        What would do for a size that is not nominal.
    """
    if section_key(name) in own:
        return own[section_key(name)]
    try:
        nominal = nominal_section(name)
    except InputError as error:
        fault = error.faults[0]
        remedy = f"{fault.remedy}; " if fault.remedy else ""
        remedy += f"or {or_else}"
        faults.add(spot, fault.what, remedy)
        return None
    return Section(name=nominal.name, thickness=nominal.thickness, width=nominal.width)


def with_edges(section: Section, usual: Ticks) -> Section:
    """Return a section with its long edges rounded by so much, if it is thick enough.

    Boards of 1 in are sold with sharp edges, those of 2 in with rounded ones (common
    practice; PS 20 lets either be).
    """
    return replace(section, eased=usual if section.thickness >= _LEAST_EASED else 0)


def read_lumber(
    name: str,
    table: Table,
    rows: list[Table],
    allowance: Allowance,
    eased: Ticks,
    sizes: Sizes,
    names: StockNames,
    faults: FaultList,
) -> Material | None:
    """Return a lumber family, or None after noting its faults.

    `eased` is how far the edges of thick boards are rounded where the table does not
    say.
    """
    own_eased = table.size("eased", sizes, zero=True)
    crook = table.size("crook", sizes, zero=True) or 0
    pith = table.size("pith", sizes, zero=True) or 0
    if crook and pith:
        what = (
            "boards with pith are ripped whole: 'pith' and 'crook' exclude each other"
        )
        faults.add(table.spot("pith"), what, "leave one of them out")

    def rounded(section: Section) -> Section:
        if own_eased is None:
            return with_edges(section, eased)
        return replace(section, eased=own_eased)

    sections = {
        key: rounded(section)
        for key, section in _own_sections(
            table.table("sections"), sizes, faults
        ).items()
    }
    trim = read_trim(table, Form.STICK, USUAL_STICK_TRIM, sizes, faults)
    species = _species(table, faults)
    moisture = table.whole("moisture", 4, 30)
    stock: list[Stock] = []
    for row in rows:
        row.need("section")
        wanted = row.text("section", longest=40)
        section = None
        if wanted:
            section = find_section(wanted, sections, row.spot("section"), faults)
        lengths = list(_lengths(row, sizes, faults))
        supply = read_supply(row, faults)
        own_trim = read_trim(row, Form.STICK, trim, sizes, faults)
        across = 1 if section is None else section.width
        zones = read_damage(row, sizes, faults, across)
        own_pith = row.size("pith", sizes, zero=True)
        if crook and own_pith:
            faults.add(row.spot("pith"), _CROOKED_PITH, "leave one of them out")
        row.close()
        if section is None:
            continue
        section = sections.setdefault(section_key(section.name), rounded(section))
        if len(lengths) > 1 and supply.name:
            what = "one name cannot stand for several lengths"
            faults.add(row.spot("name"), what, "leave it out, or split the table")
        for length, price, spot in lengths:
            one = supply if price is None else replace(supply, price_cents=price)
            plain = names.stick(name, section.name, length)
            stock += build_stock(
                id=names.claim(plain, one, row.spot("name"), faults),
                material=name,
                section=section.name,
                form=Form.STICK,
                sizes=(length, section.width, section.thickness),
                trim=own_trim,
                supply=one,
                zones=zones + _pith(section, length, own_pith, pith),
                eased=section.eased,
                crook=crook,
                spot=spot,
                faults=faults,
            )
    if not sections:
        return None
    return Material(
        name=name,
        kind=MaterialKind.LUMBER,
        sections=tuple(sections.values()),
        allowance=allowance,
        species=species,
        moisture=moisture,
        stock=tuple(stock),
    )


def _pith(
    section: Section, length: Ticks, own: Ticks | None, usual: Ticks
) -> tuple[Zone, ...]:
    """Return the strip in the middle of a board that is left out, if one is.

    `own` is how wide the stock says it is, `usual` how wide the material says it is in
    sections that are as wide as those of the heart.
    """
    width = own
    if width is None:
        width = usual if section.width >= _LEAST_PITH else 0
    if width <= 0:
        return ()
    y = (section.width - width) // 2
    return (Zone(x=0, y=y, length=length, width=width, kind=ZoneKind.PITH),)


def _species(table: Table, faults: FaultList) -> str:
    """Return the species of a family as the tables name it, nothing where none is."""
    given = table.text("species")
    if not given:
        return ""
    try:
        return find_species(given).name
    except InputError as error:
        faults.add_error(table.spot("species"), error, "name a species of the tables")
        return ""


def _own_sections(
    table: Table | None, sizes: Sizes, faults: FaultList
) -> dict[str, Section]:
    """Return the sections that the maker measured, under their `section_key`."""
    sections: dict[str, Section] = {}
    if table is None:
        return sections
    for name in list(table.data)[:MOST_STOCK]:
        inner = table.table(name)
        written = checked_text(name, table.spot(name), faults, longest=40)
        if inner is None or not written:
            continue
        inner.need("thickness", "width")
        thickness, width = inner.size("thickness", sizes), inner.size("width", sizes)
        inner.close()
        if section_key(written) in sections:
            what = f"the section {written!r} is given twice"
            faults.add(table.spot(name), what, "keep one")
        if thickness is not None and width is not None:
            section = Section(name=written, thickness=thickness, width=width)
            sections[section_key(written)] = section
    return sections


def _lengths(
    row: Table, sizes: Sizes, faults: FaultList
) -> Iterator[tuple[Ticks, int | None, Spot]]:
    """Yield length, price (cents; None: not here) and place of each stick of a row."""
    single, several = row.raw("length"), row.raw("lengths")
    if (single is None) == (several is None):
        what = "give either 'length' or 'lengths'"
        remedy = 'lengths = { "8 ft" = 4.85, "10 ft" = 6.40 } gives each its price'
        faults.add(row.spot(), what, remedy)
        return
    if several is None:
        listed: list[tuple[object, object, Spot]] = [(single, None, row.spot("length"))]
    elif isinstance(several, dict) and several:
        listed = [(s, p, row.spot("lengths", s)) for s, p in several.items()]
        for key in ("price", "owned"):
            if key in row:
                what = f"the prices stand beside the lengths, and {key!r} here too"
                faults.add(row.spot(key), what, "leave one of them out")
    elif isinstance(several, list) and several:
        listed = [(s, None, row.spot("lengths", i)) for i, s in enumerate(several)]
    else:
        what = f"lengths of sticks are wanted, not {shown(several)}"
        remedy = 'write ["8 ft", "10 ft"] or { "8 ft" = 4.85, "10 ft" = 6.40 }'
        faults.add(row.spot("lengths"), what, remedy)
        return
    if len(listed) > MOST_LENGTHS:
        what = f"there are more than {MOST_LENGTHS} lengths"
        faults.add(row.spot("lengths"), what, "keep those you would buy")
        return
    seen: set[Ticks] = set()
    for raw, price, spot in listed:
        length = sizes.read(raw, spot, faults)
        paid = None if price is None else cents(price, spot, faults)
        if length is None:
            continue
        if length in seen:
            faults.add(spot, f"the length {shown(raw)} is given twice", "keep one")
        seen.add(length)
        yield length, paid, spot
