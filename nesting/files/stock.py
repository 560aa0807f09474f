"""Stock in a job: its ids, its trims, and what it costs or where it lies."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from nesting.files.faults import FaultList, Spot, shown
from nesting.files.sizes import Sizes
from nesting.files.tables import Table
from nesting.model.stock import Edges, Stock, Zone
from nesting.model.terms import Form, Grain, Origin, ZoneKind
from nesting.trade.defaults import default_length
from nesting.units import Display, Ticks, Unit, write_length

MOST_STOCK: Final = 1000
"""Stock tables of one material."""
MOST_PIECES: Final = 100_000
"""The highest limit, and the most pieces owned."""

MOST_ZONES: Final = 20
"""Damaged zones of one piece."""

USUAL_SHEET_TRIM: Final = Edges(
    low_x=default_length("sheet_trim_reference_edge"),
    high_x=default_length("sheet_trim_other_edges"),
    low_y=default_length("sheet_trim_reference_edge"),
    high_y=default_length("sheet_trim_other_edges"),
)
"""For the edges of a sheet whose maker says nothing of them."""
USUAL_STICK_TRIM: Final = Edges(
    low_x=default_length("lumber_end_trim_each"),
    high_x=default_length("lumber_end_trim_each"),
)
"""For the ends of a stick whose maker says nothing of them."""

_SHEET_EDGES: Final = {
    "left": "low_x",
    "right": "high_x",
    "front": "low_y",
    "back": "high_y",
}
_STICK_ENDS: Final = {"left": "low_x", "right": "high_x"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """How a size of stock is come by."""

    price_cents: int | None = None
    limit: int | None = None
    origin: Origin = Origin.STORE
    tag: str | None = None
    name: str = ""
    """The maker's own name for it; empty for one made of its size."""


class StockNames:
    """Gives each stock of a job an id of its own, which people will read.

    Parameters
    ----------
    display
        The units of the job; sizes in ids are written finely enough to be exact.
    """

    def __init__(self, display: Display) -> None:
        self._display = Display(
            unit=display.unit, denominator=64, decimals=display.decimals
        )
        self._taken: set[str] = set()

    def sheet(self, material: str, length: Ticks, width: Ticks) -> str:
        """Return the plain name of a sheet: ``birch ply 96 x 48 in``."""
        return (
            f"{material} {self._written(length)} x {self._written(width)} {self._unit}"
        )

    def stick(self, material: str, section: str, length: Ticks) -> str:
        """Return the plain name of a stick: ``pine 2x6 x 96 in``."""
        return f"{material} {section} x {self._written(length)} {self._unit}"

    def claim(self, plain: str, supply: Supply, spot: Spot, faults: FaultList) -> str:
        """Return an id that is not taken yet; the maker's own name goes before."""
        wanted = supply.name or plain
        if not supply.name and supply.origin is Origin.RACK:
            wanted += f", {supply.tag}" if supply.tag else ", owned"
        name, count = wanted, 1
        while name.casefold() in self._taken:
            count += 1
            name = f"{wanted} ({count})"
        if supply.name and name != wanted:
            what = f"another stock is named {wanted!r}"
            faults.add(spot, what, "give each a name of its own, or none")
        self._taken.add(name.casefold())
        return name

    def _written(self, size: Ticks) -> str:
        return write_length(size, self._display)

    @property
    def _unit(self) -> str:
        return "in" if self._display.unit is Unit.INCH else "mm"


def read_supply(table: Table, faults: FaultList) -> Supply:
    """Return how the stock of a table is come by; faults are noted."""
    price = table.cents("price")
    limit = table.whole("limit", 0, MOST_PIECES)
    owned = table.whole("owned", 0, MOST_PIECES)
    tag = table.text("tag", longest=40) or None
    name = table.text("name")
    if "owned" in table:
        for key in ("price", "limit"):
            if key in table:
                what = f"{key!r} and 'owned' do not go together"
                remedy = "give what is bought a [[stock]] table of its own"
                faults.add(table.spot(key), what, remedy)
        return Supply(
            price_cents=0, limit=owned, origin=Origin.RACK, tag=tag, name=name
        )
    if tag is not None:
        what = "a 'tag' marks pieces that are on hand"
        faults.add(table.spot("tag"), what, "add owned = 1, or use name")
    return Supply(price_cents=price, limit=limit, name=name)


def read_trim(
    table: Table, form: Form, usual: Edges, sizes: Sizes, faults: FaultList
) -> Edges:
    """Return the trim of a material or a stock.

    Parameters
    ----------
    table
        Its table, whose key ``trim`` is one size for all edges (of a stick: both ends)
        or a table of edges.
    form
        Sheets have four edges to trim, sticks two ends.
    usual
        For edges that are not named.
    sizes
        Reads the sizes.
    faults
        Where faults are noted.
    """
    raw = table.raw("trim")
    edges = _SHEET_EDGES if form is Form.SHEET else _STICK_ENDS
    if raw is None:
        return usual
    if isinstance(raw, dict):
        inner = table.table("trim")
        trims = {side: getattr(usual, side) for side in _SHEET_EDGES.values()}
        if inner is not None:
            for edge, side in edges.items():
                size = inner.size(edge, sizes, zero=True)
                trims[side] = trims[side] if size is None else size
            inner.close()
        return Edges(**trims)
    size = sizes.read(raw, table.spot("trim"), faults, zero=True)
    return usual if size is None else even_trim(size, form)


def read_damage(
    table: Table, sizes: Sizes, faults: FaultList, across: Ticks | None = None
) -> tuple[Zone, ...]:
    """Return the zones of a piece of stock, damaged or blemished; faults are noted.

    Parameters
    ----------
    table
        Its table, whose keys ``damage`` and ``blemish`` are lists of tables with ``x``
        and ``y`` (from the left end and the front edge), ``length`` and ``width``.
    sizes
        Reads the sizes.
    faults
        Where faults are noted.
    across
        Of lumber, its width: damage that names no ``y`` begins at its front edge, and
        damage that names no ``width`` goes to its back edge. None where both are
        needed.
    """
    zones = []
    read = [
        (kind, inner)
        for kind in (ZoneKind.DAMAGE, ZoneKind.BLEMISH)
        for inner in table.tables(kind.value, MOST_ZONES)
    ]
    for kind, inner in read:
        across_too = ("y", "width") if across is None else ()
        inner.need("x", "length", *across_too)
        x, y = (inner.size(key, sizes, zero=True) for key in ("x", "y"))
        length, width = (inner.size(key, sizes) for key in ("length", "width"))
        inner.close()
        if across is not None:
            y = 0 if "y" not in inner else y
            if "width" not in inner and y is not None:
                width = max(1, across - y)
        if None not in (x, y) and length is not None and width is not None:
            zone = Zone(x=x or 0, y=y or 0, length=length, width=width, kind=kind)
            zones.append(zone)
    return tuple(zones)


def even_trim(size: Ticks, form: Form) -> Edges:
    """Return one trim for all edges of a sheet, or for both ends of a stick."""
    if form is Form.SHEET:
        return Edges(low_x=size, high_x=size, low_y=size, high_y=size)
    return Edges(low_x=size, high_x=size)


def build_stock(
    *,
    id: str,
    material: str,
    section: str = "",
    form: Form,
    sizes: tuple[Ticks, Ticks, Ticks],
    grain: Grain = Grain.LENGTH,
    trim: Edges,
    supply: Supply,
    zones: tuple[Zone, ...] = (),
    eased: Ticks = 0,
    crook: Ticks = 0,
    spot: Spot,
    faults: FaultList,
) -> list[Stock]:
    """Return a stock of these sizes, or nothing after noting why it is none."""
    length, width, thickness = sizes
    try:
        stock = Stock(
            id=id,
            material=material,
            section=section,
            form=form,
            length=length,
            width=width,
            thickness=thickness,
            grain=grain,
            trim=trim,
            price_cents=supply.price_cents,
            limit=supply.limit,
            origin=supply.origin,
            tag=supply.tag,
            zones=zones,
            eased=eased,
            crook=crook,
        )
    except ValueError as error:
        faults.add(spot, str(error), f"check the sizes, trim and damage of {shown(id)}")
        return []
    return [stock]
