"""A shop, lumber and parts to mill by hand arithmetic."""

from __future__ import annotations

from dataclasses import replace

from nesting.milling import Mill, offer
from nesting.milling.want import Want
from nesting.model.blank import Need
from nesting.model.job import Material, MaterialKind, Part, Section
from nesting.model.mill import Allowances, Jointer, Planer
from nesting.model.shop import Saw
from nesting.model.stock import Stock
from nesting.model.terms import Form, Guide, Plane
from nesting.trade.lumber import nominal_section
from nesting.units import Display, Unit, read_length


def inches(text: str) -> int:
    """Return ticks of a size in inches."""
    return read_length(text, Unit.INCH)


MITER = Saw(
    name="miter saw",
    kerf=inches("1/8"),
    planes=(Plane.CROSSCUT,),
    crosscut_guide=Guide.STOP,
    widest_crosscut=inches("12"),
)
TABLE = Saw(
    name="table saw",
    kerf=inches("1/8"),
    planes=(Plane.RIP, Plane.CROSSCUT),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
    widest_rip=inches("30"),
)
BAND = Saw(
    name="band saw",
    kerf=inches("1/16"),
    planes=(Plane.RESAW,),
    tallest=inches("6"),
)
SHOP = Mill(
    saws=(MITER, TABLE, BAND),
    allowances=Allowances(),
    jointer=Jointer(),
    planer=Planer(),
    display=Display(unit=Unit.INCH),
)
"""A 6 in jointer, a 12 1/2 in planer, and the usual allowances."""

WIDE_SAW = replace(BAND, tallest=inches("12"))
TABLE_RESAW = replace(BAND, name="resawing table saw", kerf=inches("1/8"))


def lumber(*names: str, name: str = "pine") -> Material:
    """Return a lumber family with sections by their PS 20 names, 8 ft long."""
    sections = tuple(
        Section(name=each, thickness=s.thickness, width=s.width)
        for each, s in ((each, nominal_section(each)) for each in names)
    )
    stock = tuple(
        Stock(
            id=f"{name} {s.name} x 96",
            material=name,
            section=s.name,
            form=Form.STICK,
            length=inches("96"),
            width=s.width,
            thickness=s.thickness,
        )
        for s in sections
    )
    return Material(name=name, kind=MaterialKind.LUMBER, sections=sections, stock=stock)


def sheet(thickness: str = "15/32", name: str = "ply") -> Material:
    """Return a sheet good."""
    stock = Stock(
        id=f"{name} 96 x 48",
        material=name,
        form=Form.SHEET,
        length=inches("96"),
        width=inches("48"),
        thickness=inches(thickness),
    )
    return Material(
        name=name,
        kind=MaterialKind.SHEET,
        thickness=inches(thickness),
        stock=(stock,),
    )


def part(size: str, name: str = "part", material: str = "pine", **more: object) -> Part:
    """Return a part of a size such as ``30 x 2 1/4 x 1``, in inches."""
    sides = [inches(side) for side in size.split("x")]
    sides += [0] * (3 - len(sides))
    given: dict[str, object] = {"quantity": 1, **more}
    return Part(
        name=name,
        material=material,
        length=sides[0],
        width=sides[1],
        thickness=sides[2] or None,
        **given,  # type: ignore[arg-type]
    )


def needs(piece: Part, *materials: Material, mill: Mill = SHOP) -> tuple[Need, ...]:
    """Return what milling offers for a part."""
    return offer([piece], materials, mill).needs


def rough(need: Need, build: int = 0) -> list[tuple[str, str, str, int]]:
    """Return length, width, thickness and number of the blanks of a build, in words."""
    return [
        (
            SHOP.write(take.blank.length),
            SHOP.write(take.blank.width),
            SHOP.write(take.blank.thickness),
            take.count,
        )
        for take in need.builds[build].takes
    ]


def want(piece: Part, material: Material) -> Want:
    """Return a want of a part as it is."""
    assert piece.width is not None
    assert piece.thickness is not None
    return Want(
        part=piece,
        material=material,
        length=piece.length,
        width=piece.width,
        thickness=piece.thickness,
    )
