"""A small plan made by hand, sound in every number, and the means to spoil it.

A wall cabinet: two sides and two shelves of plywood (one shelf finds no place), two
rails and a cleat of pine, an oak panel glued up of two slats that are resawn from one
piece on the rack. Sizes are whole millimetres; every coordinate and sum below was
worked out on paper from the rules of replay, none is computed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import pytest

from nesting.model.plan import (
    Advice,
    Alternative,
    Caution,
    Cut,
    Layout,
    MadeBy,
    Movement,
    Offer,
    Operation,
    Piece,
    Plan,
    PlanBlank,
    PlanBound,
    PlanBuild,
    PlanHardware,
    PlanJob,
    PlanMill,
    PlanMinutes,
    PlanNeed,
    PlanOrder,
    PlanPart,
    PlanRoute,
    PlanRun,
    PlanSaw,
    PlanShop,
    PlanStock,
    PlanTake,
    PlanTrim,
    PlanUnplaced,
    PlanZone,
    Purchase,
    RackSaving,
    Setting,
    Spare,
    Totals,
    Yield,
)

MM = 1600


def saw(name: str, kerf: int | None, *cuts: str, **reach: int) -> PlanSaw:
    limits: dict[str, Any] = {key: value * MM for key, value in reach.items()}
    limits["kerf"] = None if kerf is None else kerf * MM
    return PlanSaw(name=name, cuts=cuts, **limits)


SAWS = (
    saw("table", 3, "rip", "crosscut", widest_rip=700, widest_crosscut=600, tallest=80),
    saw("rail", 2, "rip", "crosscut", longest_cut=2700, tallest=55),
    saw("mitre", 3, "crosscut", widest_crosscut=310, tallest=100),
    saw("band", 1, "rip", "resaw", widest_rip=300, tallest=200),
    saw("jointer", None, "rip", "resaw"),
)


def sized(mm: str) -> dict[str, Any]:
    length, width, thickness = (int(n) * MM for n in mm.split())
    return {"length": length, "width": width, "thickness": thickness}


def rows(table: str) -> list[list[str]]:
    lines = table.strip().splitlines()
    return [[cell.strip() for cell in line.split("|")] for line in lines]


def piece(id: str, at: str, size: str, fate: str) -> Piece:
    """A piece in mm; a fate that is none is the blank of a part, with * turned."""
    lies = dict(zip("xyz", (int(n) * MM for n in at.split()), strict=True))
    sizes = sized(size)
    if fate in ("cut", "offcut", "scrap"):
        return Piece(id=id, **lies, **sizes, fate=fate)
    blank, turned = fate.rstrip("*"), fate.endswith("*")
    return Piece(id=id, **lies, **sizes, fate="part", blank=blank, turned=turned)


def cut(row: list[str]) -> Cut:
    """A cut in mm; the measure is a distance and perhaps its side, or a dash."""
    step, of, plane, at_kerf, machine, makes, setting, guide, measure = row
    at, kerf = (int(n) * MM for n in at_kerf.split())
    distance, _, side = measure.partition(" ")
    return Cut(
        step=int(step),
        piece=of,
        plane=plane,
        at=at,
        kerf=kerf,
        saw=machine,
        makes=tuple(makes.split()),
        setting=setting,
        measure=None if distance == "-" else int(distance) * MM,
        from_=side or "low",
        guide=guide,
        cautions=("narrow",) if setting == "fence 60" else (),
    )


def laid(
    id: str, of: str, form: str, stock: PlanStock, pieces: str, cuts: str
) -> Layout:
    family, _, section = of.partition("/")
    return Layout(
        id=id,
        material=family,
        section=section,
        form=form,
        stock=stock,
        pieces=tuple(piece(*row) for row in rows(pieces)),
        cuts=tuple(map(cut, rows(cuts))),
    )


def stock(name: str, size: str, origin: str, **more: Any) -> PlanStock:
    return PlanStock(name=name, **sized(size), grain="length", origin=origin, **more)


DENT = (PlanZone(x=100 * MM, y=1 * MM, length=50 * MM, width=5 * MM),)
SHEET = laid(
    "S",
    "birch ply",
    "sheet",
    # a dent within the strip that is trimmed off
    stock("ply sheet", "2440 1220 18", "store", price_cents=6400, zones=DENT),
    """
    S   | 0 0 0     | 2440 1220 18 | cut
    S1  | 0 0 0     | 2440 8 18    | scrap
    S2  | 0 10 0    | 2440 1210 18 | cut
    S3  | 0 10 0    | 2440 400 18  | cut
    S4  | 0 412 0   | 2440 808 18  | offcut
    S5  | 0 10 0    | 7 400 18     | scrap
    S6  | 10 10 0   | 2430 400 18  | cut
    S7  | 10 10 0   | 800 400 18   | side
    S8  | 813 10 0  | 1627 400 18  | cut
    S9  | 813 10 0  | 800 400 18   | side
    S10 | 1616 10 0 | 824 400 18   | cut
    S11 | 1616 10 0 | 300 400 18   | shelf*
    S12 | 1919 10 0 | 521 400 18   | offcut
    """,
    """
    1  | S   | rip      | 8 2   | rail  | S1 S2   | rail 8     | line  | 8
    2  | S2  | rip      | 400 2 | rail  | S3 S4   | rail 400   | line  | 400
    7  | S3  | crosscut | 7 3   | table | S5 S6   | sled line  | line  | -
    8  | S6  | crosscut | 800 3 | table | S7 S8   | sled 800   | stop  | 800
    9  | S8  | crosscut | 800 3 | table | S9 S10  | sled 800   | stop  | 800
    12 | S10 | crosscut | 300 3 | table | S11 S12 | fence 300  | fence | 300
    """,
)

# The end is trimmed by 2 mm: there the blade of 3 mm runs partly off it.
STICK = laid(
    "K",
    "pine/2x4",
    "stick",
    stock("pine 2x4", "2400 89 38", "store", price_cents=780),
    """
    K  | 0 0 0     | 2400 89 38 | cut
    K1 | 2 0 0     | 2398 89 38 | cut
    K2 | 2 0 0     | 700 89 38  | rail
    K3 | 705 0 0   | 1695 89 38 | cut
    K4 | 705 0 0   | 700 89 38  | rail
    K5 | 1408 0 0  | 992 89 38  | cut
    K6 | 1408 0 0  | 600 89 38  | cut
    K7 | 2011 0 0  | 389 89 38  | offcut
    K8 | 1408 0 0  | 600 60 38  | cleat
    K9 | 1408 63 0 | 600 26 38  | scrap
    """,
    """
    3  | K  | crosscut | 0 2   | mitre | K1    | mitre line | line  | -
    4  | K1 | crosscut | 700 3 | mitre | K2 K3 | mitre 700  | stop  | 700
    5  | K3 | crosscut | 700 3 | mitre | K4 K5 | mitre 700  | stop  | 700
    6  | K5 | crosscut | 600 3 | mitre | K6 K7 | mitre 600  | stop  | 600
    13 | K6 | rip      | 60 3  | table | K8 K9 | fence 60   | fence | 60
    """,
)

RESAWN = laid(
    "R",
    "oak",
    "board",
    stock("oak board", "1000 100 25", "rack", tag="R-7"),
    """
    R  | 0 0 0   | 1000 100 25 | cut
    R1 | 0 0 0   | 17 100 25   | scrap
    R2 | 20 0 0  | 980 100 25  | cut
    R3 | 20 0 0  | 500 100 25  | cut
    R4 | 523 0 0 | 477 100 25  | offcut
    R5 | 20 1 0  | 500 99 25   | cut
    R6 | 20 1 0  | 500 99 12   | slat
    R7 | 20 1 13 | 500 99 12   | slat
    """,
    """
    10 | R  | crosscut | 17 3  | mitre   | R1 R2 | mitre 17  | line  | 17
    11 | R2 | crosscut | 500 3 | mitre   | R3 R4 | mitre 500 | stop  | 500
    14 | R3 | rip      | 0 1   | jointer | R5    | jointed   | line  | -
    15 | R5 | resaw    | 12 1  | band    | R6 R7 | band 12   | fence | 12
    """,
)

GLUED = laid(
    "G",
    "oak",
    "glueup",
    stock("oak panel", "500 198 12", "shop", from_=(("R", "R6"), ("R", "R7"))),
    """
    G  | 0 0 0  | 500 198 12 | cut
    G1 | 0 0 0  | 47 198 12  | scrap
    G2 | 50 0 0 | 450 198 12 | panel
    """,
    "16 | G | crosscut | 47 3 | table | G1 G2 | sled 450 | stop | 450 high",
)

SETTINGS = tuple(
    Setting(id=id, saw=machine, kind=kind, distance=None if mm == "-" else int(mm) * MM)
    for id, machine, kind, mm in rows(
        """
        rail 8     | rail    | line  | 8
        rail 400   | rail    | line  | 400
        mitre line | mitre   | line  | -
        mitre 700  | mitre   | stop  | 700
        mitre 600  | mitre   | stop  | 600
        sled line  | table   | line  | -
        sled 800   | table   | stop  | 800
        mitre 17   | mitre   | line  | 17
        mitre 500  | mitre   | stop  | 500
        fence 300  | table   | fence | 300
        fence 60   | table   | fence | 60
        jointed    | jointer | line  | -
        band 12    | band    | fence | 12
        sled 450   | table   | stop  | 450
        """
    )
)


def part(
    id: str, qty: int, size: str, material: str, grain: str = "length"
) -> PlanPart:
    rest = {"material": material, "grain": grain, **sized(size)}
    return PlanPart(id=id, name=id, qty=qty, **rest)


def blank(
    id: str, of: str, qty: int, size: str, material: str, **more: Any
) -> PlanBlank:
    family, _, section = material.partition("/")
    rest = {"role": "", "grain": "length", "section": section, **more, **sized(size)}
    return PlanBlank(id=id, parts=(of,), qty=qty, material=family, **rest)


def need(of: str, qty: int, takes: str, count: int = 1) -> PlanNeed:
    build = PlanBuild(id="this", takes=(PlanTake(blank=takes, count=count),))
    other = PlanBuild(id="other", takes=(PlanTake(blank="of thicker stock", count=1),))
    return PlanNeed(
        id=f"n {of}", part=of, qty=qty, builds=(build, other), chosen="this"
    )


def operation(what: str, of: str, qty: int, size: str, **more: Any) -> Operation:
    """What is done, and the size in mm that it leaves; a setting in mm."""
    if "setting" in more:
        more["setting"] *= MM
    return Operation(what=what, of=of, pieces=qty, **sized(size), **more)


ROUTES = (
    PlanRoute(
        need="n cleat",
        part="cleat",
        build="this",
        qty=1,
        operations=(
            operation("cut", "cleat", 1, "600 60 38", machine="saws"),
            operation("joint", "cleat", 1, "600 60 36", machine="jointer"),
            operation("plane", "cleat", 1, "600 60 30", machine="planer", setting=30),
        ),
    ),
    PlanRoute(
        need="n panel",
        part="panel",
        build="this",
        qty=1,
        operations=(
            operation("cut", "slat", 2, "500 99 12", machine="saws"),
            operation(
                *("glue", "panel", 1, "500 196 12"),
                machine="clamps",
                takes=(PlanTake(blank="slat", count=2),),
            ),
            operation(
                *("rip", "panel", 1, "500 190 12"),
                machine="table",
                setting=190,
                day=2,
            ),
            operation(
                *("crosscut", "panel", 1, "440 190 12"),
                machine="table",
                setting=440,
                day=2,
            ),
            operation("fit", "panel", 1, "440 190 12", day=2, note="last of all"),
        ),
    ),
)
MILLS = (
    PlanMill(name="jointer", width=150 * MM, shortest=300 * MM, thinnest=12 * MM),
    PlanMill(name="planer", width=320 * MM, shortest=350 * MM, thinnest=6 * MM),
)


def areas(material: str, form: str, *squares: int) -> Yield:
    """Stock, parts, offcuts, scrap and kerf in square mm."""
    family, _, section = material.partition("/")
    names = ("stock", "parts", "offcuts", "scrap", "kerf")
    sums = dict(zip(names, (n * MM * MM for n in squares), strict=True))
    return Yield(material=family, section=section, form=form, **sums)


def offered(layout: Layout, limit: int | None, *trim: int) -> Offer:
    """The offer that a layout's stock is, with the trims in mm."""
    edges = dict(zip(("low_x", "high_x", "low_y", "high_y"), trim, strict=True))
    names = {field.name for field in fields(PlanStock)} - {"name", "from_"}
    return Offer(
        id=layout.stock.name,
        material=layout.material,
        section=layout.section,
        form=layout.form,
        limit=limit,
        trim=PlanTrim(**{name: n * MM for name, n in edges.items()}),
        **{name: getattr(layout.stock, name) for name in names},
    )


def bound(of: str, objective: str, value: int, lower: int, **more: Any) -> PlanBound:
    family, _, section = of.partition("/")
    return PlanBound(
        scope=(family,),
        section=section,
        objective=objective,
        value=value,
        lower_bound=lower,
        proven=value == lower,
        **{"basis": "worked out on paper", **more},
    )


# A crosscut wastes 2 mm at least, on the rail: the parts take up 2 * 702 + 602 = 2006
# mm of a stick that has 2400 - 2 - 5 + 2 = 2395.
BY_LENGTH = {
    "scale": 2395,
    "vectors": [{"rail": 702, "cleat": 602}],
    "values": [{"pine 2x4": 2395}],
    "pricing": {
        "kind": "knapsack",
        "kerf": [2 * MM],
        "grid": [[1, 2393 * MM]],
        "trim": True,
        "turning": True,
    },
}


SOUND = Plan(
    job=PlanJob(name="Wall cabinet"),
    shop=PlanShop(
        saws=SAWS,
        mills=MILLS,
        minutes=PlanMinutes(setting=3, cut=1, sheet=5),
    ),
    parts=(
        part("side", 2, "800 400 18", "birch ply"),
        part("shelf", 2, "400 300 18", "birch ply", "any"),
        part("rail", 2, "690 89 38", "pine"),
        part("cleat", 1, "600 60 30", "pine"),
        part("panel", 1, "440 190 12", "oak"),
    ),
    blanks=(
        blank("side", "side", 2, "800 400 18", "birch ply"),
        blank("shelf", "shelf", 2, "400 300 18", "birch ply", grain="any"),
        blank("rail", "rail", 2, "700 89 38", "pine/2x4"),
        # To be planed to 30 mm: it may come thicker off the saw.
        blank("cleat", "cleat", 1, "600 60 30", "pine/2x4", minimum=True),
        blank("slat", "panel", 2, "500 99 12", "oak", role="strip"),
        blank("panel", "panel", 1, "450 198 12", "oak"),
    ),
    layouts=(SHEET, STICK, RESAWN, GLUED),
    runs=(PlanRun(id="sides", axis="along", members=("side", "side")),),
    offers=(
        offered(SHEET, 3, 10, 10, 10, 10),
        offered(STICK, None, 2, 5, 0, 0),
        offered(RESAWN, 1, 20, 20, 0, 0),
        replace(
            offered(SHEET, None, 0, 0, 0, 0),
            zones=(),
            id="ply half sheet",
            length=1220 * MM,
        ),
    ),
    needs=(
        need("side", 2, "side"),
        need("shelf", 2, "shelf"),
        need("rail", 2, "rail"),
        need("cleat", 1, "cleat"),
        need("panel", 1, "slat", 2),
    ),
    routes=ROUTES,
    movements=(
        Movement(part="panel", species="oak, red", width=190 * MM, change=4 * MM),
    ),
    settings=SETTINGS,
    order=PlanOrder(changes=8, lower_bound=7),
    unplaced=(PlanUnplaced(blank="shelf", qty=1, why="left out by leave"),),
    purchases=(
        Purchase(material="birch ply", stock="ply sheet", qty=1, cost_cents=6400),
        Purchase(material="pine", stock="pine 2x4", qty=1, cost_cents=780),
    ),
    hardware=(
        PlanHardware(name="screws", qty=2, cost_cents=450),
        PlanHardware(name="glue", qty=1, cost_cents=None),
    ),
    advice=Advice(
        alternatives=(
            Alternative(
                material="birch ply",
                missing="ply sheet",
                instead=(
                    Purchase(
                        material="birch ply",
                        stock="ply half sheet",
                        qty=2,
                        cost_cents=12800,
                    ),
                ),
                more_cents=6400,
            ),
        ),
        rack=(RackSaving(material="oak", pieces=1, saved_cents=None, unplaced=2),),
        spares=(Spare(material="pine", stock="pine 2x4", qty=1, cost_cents=780),),
    ),
    bounds=(
        bound("birch ply", "cost", 6400, 3900),
        bound("birch ply", "area", 2440 * 1220 * MM * MM, 10**12),
        bound(
            *("pine/2x4", "cost", 780, 780),
            certificate={**BY_LENGTH, "tree": {"weights": [780]}},
        ),
        bound(
            *("pine", "count", 1, 1),
            certificate={**BY_LENGTH, "tree": {"weights": [1]}},
        ),
        bound("pine", "count", 1, 1, basis="search: every pattern was looked at"),
        bound("oak", "cost", 0, 0),  # it is on the rack
    ),
    cautions=(Caution(id="narrow", text="Use a push stick.", source="own words"),),
    made_by=MadeBy(version="0", seed=0, work=1, stopped_by="work", input_digest="none"),
    totals=Totals(
        cost_cents=7630,
        stock_cents=7180,
        hardware_cents=450,
        unpriced=1,
        layouts=4,
        cuts=16,
        settings=14,
        blanks=10,
        parts=8,
        yields=(
            areas("birch ply", "sheet", 2976800, 760000, 2179920, 22320, 14560),
            areas("pine/2x4", "stick", 213600, 160600, 34621, 15600, 2779),
            # The slats have 12 of 25 mm each: 2 * 500 * 99 * 12 / 25 = 47520, and 1 of
            # 25 mm of their face is dust: 500 * 99 / 25 = 1980.
            areas("oak", "board", 100000, 47520, 47700, 1700, 3080),
        ),
    ),
    warnings=("Pick straight pieces.",),
)


def put(record: Any, path: str, value: Any) -> Any:
    """Return a copy with one field changed; `path` is like ``layouts.0.cuts.2.kerf``.

    A value that is a function is called with what stands there.
    """
    name, _, rest = path.partition(".")
    held = record[int(name)] if isinstance(record, tuple) else getattr(record, name)
    if rest:
        value = put(held, rest, value)
    elif callable(value):
        value = value(held)
    if isinstance(record, tuple):
        at = int(name)
        return (*record[:at], value, *record[at + 1 :])
    return replace(record, **{name: value})


@pytest.fixture(scope="session")
def change() -> Callable[[Plan, str, Any], Plan]:
    """Put a value, or the result of a function, in the place of one field."""
    return put


@pytest.fixture(scope="session")
def sound() -> Plan:
    """The plan above."""
    return SOUND
