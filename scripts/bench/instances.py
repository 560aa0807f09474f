"""Instances in the neutral form of the benchmark files, as jobs of the product.

Lengths are whole units without a kerf and without a trim. One factor per instance turns
units into ticks, so that nothing is rounded.
"""

from __future__ import annotations

import gzip
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, Final

from nesting.model.job import Job, Material, MaterialKind, Part, Section
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Stock
from nesting.model.terms import Form, Grain, Plane
from nesting.units import TICKS_PER_MM, Display, Ticks, Unit

THICKNESS: Final[Ticks] = 18 * TICKS_PER_MM
STICK_WIDTH: Final[Ticks] = 50 * TICKS_PER_MM
MATERIAL: Final = "stock"
SECTION: Final = "stick"

_LARGEST: Final[Ticks] = 16_000 * TICKS_PER_MM
"""The longest stock that a factor may make: 16 m."""

# What the files say of the best there is: for cutting as given, and with turning. Every
# bound is one of free cutting, which guillotine cutting can at best equal.
_BOUNDS: Final = {
    False: ("lb_area_O", "lb_dff_O", "lb_best_O", "lb_area_cost", "lb_area", "lb"),
    True: ("lb_area_O", "lb_dff_R", "lb_area_cost"),
}
_BEST: Final = {False: ("optimal", "best_OF", "best"), True: ("best_RF",)}


class Kind(StrEnum):
    """What the instances of a file are cut from."""

    SHEETS = "sheets"
    BOARDS = "boards"


class InstanceError(ValueError):
    """A file, or an instance in it, that is not of the neutral form."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Instance:
    """One problem of a benchmark file."""

    name: str
    group: str
    """Its set, with its class where the set has several."""
    pieces: int
    job: Job
    factor: int
    """Ticks for one unit."""
    bound: int | None
    """The best published lower bound; None where the file has none."""
    best: int | None
    """The best published value; None where the file has none."""
    optimal: int | None
    """The published optimum, under just the rules of this benchmark."""


def read_instances(path: Path, kind: Kind, *, turn: bool) -> list[Instance]:
    """Read a file of instances.

    Parameters
    ----------
    path
        JSON, compressed by gzip where the name ends so.
    kind
        What the instances are cut from.
    turn
        Whether parts may be turned by a right angle; nothing to boards.

    Raises
    ------
    InstanceError
        Where the file cannot be read or is of another form.
    """
    try:
        raw = path.read_bytes()
        if path.suffix == ".gz":
            raw = gzip.decompress(raw)
        rows = json.loads(raw)
    except (OSError, EOFError, ValueError) as error:
        raise InstanceError(f"{path} cannot be read: {error}") from error
    if not isinstance(rows, list):
        raise InstanceError(f"{path} holds no list of instances")
    instances = []
    for number, row in enumerate(rows, start=1):
        try:
            instances.append(_instance(row, kind, turn=turn))
        except (KeyError, TypeError, ValueError, IndexError) as error:
            what = f"{path}, instance {number}: {type(error).__name__}: {error}"
            raise InstanceError(what) from error
    names = Counter(instance.name for instance in instances)
    for name, count in names.items():
        if count > 1:
            raise InstanceError(f"{path} has {count} instances named {name!r}")
    return instances


def _instance(row: dict[str, Any], kind: Kind, *, turn: bool) -> Instance:
    name = str(row["name"])
    if not name or name != Path(name).name:
        raise InstanceError(f"{name!r} is no name for a plan's file")
    if kind is Kind.SHEETS:
        sizes = row.get("sheets")
        if sizes is None:
            sizes = [[*row["sheet"][:2], None, None]]
        offers = [_padded(size, 4) for size in sizes]
        parts = [_part(part, 2) for part in row["parts"]]
        turn_read = turn
    else:
        offers = [
            [length, None, cost, limit]
            for length, cost, limit in (_padded(size, 3) for size in row["stock"])
        ]
        parts = [_part(part, 1) for part in row["parts"]]
        turn_read = False
    parts = [part for part in parts if part[2] != 0]
    if not parts or not offers:
        raise InstanceError(f"{name!r} has nothing to cut, or nothing to cut from")
    factor = _factor(max(size for offer in offers for size in offer[:2] if size))
    bounds = [row[key] for key in _BOUNDS[turn_read] if row.get(key) is not None]
    bests = [row[key] for key in _BEST[turn_read] if row.get(key) is not None]
    optimal = row.get("optimal") if kind is Kind.BOARDS else None
    group = str(row.get("set", ""))
    if str(row.get("class", "")).isdigit():
        group = f"{group} {row['class']:>2}"
    return Instance(
        name=name,
        group=group,
        pieces=sum(quantity for _, _, quantity in parts),
        job=_job(name, kind, offers, parts, factor, turn=turn_read),
        factor=factor,
        bound=max(bounds, default=None),
        best=min(bests, default=None),
        optimal=optimal,
    )


def _padded(given: Sequence[int | None], length: int) -> list[int | None]:
    """Return so many entries; those that are not given are None."""
    return [*given[:length], *[None] * (length - len(given))]


def _part(given: Sequence[int], sizes: int) -> tuple[int, int | None, int]:
    """Return length, width and quantity of an entry; without a quantity it is one."""
    width = given[1] if sizes == 2 else None
    return given[0], width, given[sizes] if len(given) > sizes else 1


def _factor(largest: int) -> int:
    """Return the ticks for one unit: a millimetre, or less where sizes are huge."""
    factor = TICKS_PER_MM
    while factor > 1 and largest * factor > _LARGEST:
        factor //= 10 if factor % 10 == 0 else 2
    return factor


def _job(
    name: str,
    kind: Kind,
    offers: Sequence[Sequence[int | None]],
    parts: Sequence[tuple[int, int | None, int]],
    factor: int,
    *,
    turn: bool,
) -> Job:
    quantities: Counter[tuple[int, int | None]] = Counter()
    for length, width, quantity in parts:
        quantities[length, width] += quantity
    sheets = kind is Kind.SHEETS
    material = Material(
        name=MATERIAL,
        kind=MaterialKind.SHEET if sheets else MaterialKind.LUMBER,
        thickness=THICKNESS if sheets else None,
        sections=()
        if sheets
        else (Section(name=SECTION, thickness=THICKNESS, width=STICK_WIDTH),),
        stock=_stock(kind, offers, factor),
    )
    return Job(
        name=name,
        display=Display(unit=Unit.MM),
        currency="",
        shop=Shop(saws=(Saw(name="saw", kerf=0, planes=(Plane.RIP, Plane.CROSSCUT)),)),
        materials=(material,),
        parts=tuple(
            Part(
                name=f"{length}" if width is None else f"{length} x {width}",
                quantity=quantity,
                material=MATERIAL,
                length=length * factor,
                width=None if width is None else width * factor,
                thickness=None,
                grain=Grain.ANY if turn else Grain.LENGTH,
            )
            for (length, width), quantity in quantities.items()
        ),
        stages=None,
    )


def _stock(
    kind: Kind, offers: Sequence[Sequence[int | None]], factor: int
) -> tuple[Stock, ...]:
    """Return what can be had; a single size at a cost of 1 is counted, not priced."""
    counted = len(offers) == 1 and offers[0][2] in (None, 1)
    stock = []
    for number, (length, width, cost, limit) in enumerate(offers, start=1):
        sheet = kind is Kind.SHEETS
        if length is None or (sheet and width is None):
            raise InstanceError(f"size {number} is incomplete")
        if cost is None and not counted:
            raise InstanceError(f"size {number} has no cost")
        stock.append(
            Stock(
                id=f"{kind.removesuffix('s')} {number}",
                material=MATERIAL,
                section="" if sheet else SECTION,
                form=Form.SHEET if sheet else Form.STICK,
                length=length * factor,
                width=STICK_WIDTH if width is None else width * factor,
                thickness=THICKNESS,
                price_cents=None if counted else cost,
                limit=limit,
            )
        )
    return tuple(stock)
