"""Furniture projects made by chance: cabinets taken apart into the panels they are of.

A seed gives the same project every time. Every size is a whole number of sixteenths of
an inch, parts are cut from one kind of plywood, 96 x 48 in, by one saw with a kerf of
1/8 in, by at most four stages of cuts; half of the parts keep their grain.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Final, NamedTuple

from nesting.model.job import Job, Material, MaterialKind, Part
from nesting.model.shop import Saw, Shop
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Form, Grain, Plane
from nesting.units import TICKS_PER_INCH, Display, Ticks, Unit

INCH: Final = 16
"""Everything here counts in sixteenths of an inch."""
TICKS: Final[Ticks] = TICKS_PER_INCH // INCH
SHEET: Final = (96 * INCH, 48 * INCH)
KERF: Final = 2
STAGES: Final = 4
LEAST_PARTS: Final = 43
MOST_PARTS: Final = 77
LEAST_FILL: Final = 900
MOST_FILL: Final = 940
"""Thousandths of the sheets, kerfs counted with parts and sheets."""
MATERIAL: Final = "ply"

_PLY: Final = 12
_REVEAL: Final = 2
_SHEETS: Final = (4, 5, 6)
_TRIES: Final = 40


class Panel(NamedTuple):
    """One kind of panel of a piece of furniture, in sixteenths of an inch."""

    name: str
    quantity: int
    length: int
    width: int

    @property
    def area(self) -> int:
        """What all of them take of a sheet, each with a kerf both ways."""
        return self.quantity * (self.length + KERF) * (self.width + KERF)


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """A job, and what it was made to be."""

    seed: int
    job: Job
    pieces: int
    locked: int
    """Parts that keep their grain."""
    area: int
    """Of the parts with their kerfs, in square sixteenths of an inch."""

    def fill(self, sheets: int) -> float:
        """Return the share of so many sheets that the parts take, kerfs included."""
        return self.area / (max(1, sheets) * SHEET_AREA)

    def part_list(self) -> str:
        """Return the parts as a bare part list, in inches."""
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(("part", "qty", "length", "width", "grain"))
        for part in self.job.parts:
            sizes = [_inches(size) for size in (part.length, part.width or 0)]
            writer.writerow((part.name, part.quantity, *sizes, part.grain.value))
        return text.getvalue()


SHEET_AREA: Final = (SHEET[0] + KERF) * (SHEET[1] + KERF)


def full_project(seed: int, *, offcuts: OffcutRule = OffcutRule()) -> Project:
    """Return a project whose parts fill their sheets to 90 to 94 %.

    Parameters
    ----------
    seed
        Of the project; nothing else is left to chance.
    offcuts
        What is worth keeping.

    Returns
    -------
    Project
        Of 43 to 77 parts; by their area they need 4, 5 or 6 sheets.
    """
    rng = Random(seed)
    while True:
        sheets = rng.choice(_SHEETS)
        goal = SHEET_AREA * sheets * rng.randint(LEAST_FILL + 5, MOST_FILL - 1) // 1000
        panels = _filled(rng, goal)
        area = sum(panel.area for panel in panels)
        pieces = sum(panel.quantity for panel in panels)
        if LEAST_PARTS <= pieces <= MOST_PARTS and area * 1000 >= (
            LEAST_FILL * sheets * SHEET_AREA
        ):
            return _project(rng, seed, panels, offcuts)


def counted_project(seed: int, parts: int) -> Project:
    """Return a project of just so many parts, however many sheets they take."""
    rng = Random(seed)
    panels: list[Panel] = []
    left = parts
    while left:
        for panel in _furniture(rng, len(panels)):
            taken = panel._replace(quantity=min(panel.quantity, left))
            if taken.quantity:
                panels.append(taken)
                left -= taken.quantity
    return _project(rng, seed, panels, OffcutRule())


def _filled(rng: Random, goal: int) -> list[Panel]:
    """Return furniture up to an area; what no piece of it fits into becomes shelves."""
    panels: list[Panel] = []
    left = goal
    for _ in range(_TRIES):
        piece = _furniture(rng, len(panels))
        area = sum(panel.area for panel in piece)
        if area <= left:
            panels += piece
            left -= area
    for number in range(_TRIES):
        length = rng.randint(12 * INCH, 36 * INCH)
        width = min(left // (length + KERF) - KERF, rng.randint(6 * INCH, 16 * INCH))
        if width >= 3 * INCH:
            panels.append(Panel(f"loose shelf {number + 1}", 1, length, width))
            left -= panels[-1].area
    return panels


def _project(
    rng: Random, seed: int, panels: Sequence[Panel], offcuts: OffcutRule
) -> Project:
    """Give half of the parts a grain to keep, and make a job of them all."""
    pieces = sum(panel.quantity for panel in panels)
    order = list(range(len(panels)))
    rng.shuffle(order)
    grains = [Grain.ANY] * len(panels)
    locked = 0
    for place in order:
        if 2 * (locked + panels[place].quantity) <= pieces:
            grains[place] = Grain.LENGTH
            locked += panels[place].quantity
    parts = tuple(
        Part(
            name=panel.name,
            quantity=panel.quantity,
            material=MATERIAL,
            length=panel.length * TICKS,
            width=panel.width * TICKS,
            thickness=None,
            grain=grain,
        )
        for panel, grain in zip(panels, grains, strict=True)
    )
    return Project(
        seed=seed,
        job=replace(_EMPTY, name=f"project {seed}", parts=parts, offcuts=offcuts),
        pieces=pieces,
        locked=locked,
        area=sum(panel.area for panel in panels),
    )


_EMPTY: Final = Job(
    name="",
    display=Display(unit=Unit.INCH),
    currency="$",
    shop=Shop(
        saws=(
            Saw(
                name="saw",
                kerf=KERF * TICKS,
                planes=(Plane.RIP, Plane.CROSSCUT),
            ),
        )
    ),
    materials=(
        Material(
            name=MATERIAL,
            kind=MaterialKind.SHEET,
            thickness=_PLY * TICKS,
            stock=(
                Stock(
                    id="ply 96 x 48 in",
                    material=MATERIAL,
                    form=Form.SHEET,
                    length=SHEET[0] * TICKS,
                    width=SHEET[1] * TICKS,
                    thickness=_PLY * TICKS,
                ),
            ),
        ),
    ),
    parts=(),
    stages=STAGES,
)


def _inches(size: Ticks) -> str:
    whole, rest = divmod(size // TICKS, INCH)
    return f"{whole} {rest}/{INCH}" if rest else str(whole)


# --- the furniture: sizes by eye, as common practice has them -------------------------


def _furniture(rng: Random, number: int) -> list[Panel]:
    piece = rng.choice(_PIECES)
    return [
        panel._replace(name=f"{number} {panel.name}")
        for panel in piece(rng)
        if panel.quantity
    ]


def _inch(rng: Random, least: int, most: int) -> int:
    return rng.randint(least * INCH, most * INCH)


def _doors(width: int, height: int) -> Panel:
    leaves = 1 if width < 20 * INCH else 2
    return Panel("door", leaves, height - _REVEAL, width // leaves - _REVEAL)


def _low_cabinet(rng: Random) -> list[Panel]:
    width, height, depth = _inch(rng, 14, 36), _inch(rng, 26, 34), _inch(rng, 18, 24)
    inside = width - 2 * _PLY
    return [
        Panel("low cabinet side", 2, height, depth),
        Panel("low cabinet bottom", 1, inside, depth),
        Panel("low cabinet rail", 2, inside, 4 * INCH),
        Panel("low cabinet shelf", rng.randint(0, 2), inside - 1, depth - INCH),
        _doors(width, height - 4 * INCH),
    ]


def _wall_cabinet(rng: Random) -> list[Panel]:
    width, height, depth = _inch(rng, 12, 36), _inch(rng, 15, 36), _inch(rng, 10, 13)
    inside = width - 2 * _PLY
    return [
        Panel("wall cabinet side", 2, height, depth),
        Panel("wall cabinet floor", 2, inside, depth),
        Panel("wall cabinet shelf", rng.randint(1, 2), inside - 1, depth - INCH // 2),
        _doors(width, height),
    ]


def _bookcase(rng: Random) -> list[Panel]:
    width, height, depth = _inch(rng, 20, 36), _inch(rng, 34, 84), _inch(rng, 9, 13)
    inside = width - 2 * _PLY
    return [
        Panel("bookcase side", 2, height, depth),
        Panel("bookcase floor", 2, inside, depth),
        Panel("bookcase shelf", height // (14 * INCH), inside - 1, depth - 4),
        Panel("bookcase kick", 1, inside, 3 * INCH),
    ]


def _chest(rng: Random) -> list[Panel]:
    width, height, depth = _inch(rng, 14, 30), _inch(rng, 22, 36), _inch(rng, 15, 22)
    inside = width - 2 * _PLY
    drawers = rng.randint(2, 4)
    front = (height - 2 * _PLY) // drawers - _REVEAL
    box = min(front - INCH, 8 * INCH)
    return [
        Panel("chest side", 2, height, depth),
        Panel("chest floor", 2, inside, depth),
        Panel("drawer front", drawers, inside - _REVEAL, front),
        Panel("drawer side", 2 * drawers, depth - 2 * INCH, box),
        Panel("drawer end", 2 * drawers, inside - INCH - 2 * _PLY, box),
    ]


def _desk(rng: Random) -> list[Panel]:
    length, depth = _inch(rng, 40, 60), _inch(rng, 20, 28)
    return [
        Panel("desk top", 1, length, depth),
        Panel("desk panel", 2, _inch(rng, 27, 29), depth - 2 * INCH),
        Panel("desk back", 1, length - 6 * INCH, _inch(rng, 10, 16)),
    ]


_PIECES: Final[tuple[Callable[[Random], list[Panel]], ...]] = (
    _low_cabinet,
    _wall_cabinet,
    _bookcase,
    _chest,
    _desk,
)
