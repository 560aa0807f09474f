"""Jobs of lumber by chance, in shops with little reach."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from random import Random

from nesting.model.job import Allowance, Job, Material, MaterialKind, Part, Section
from nesting.model.mill import Allowances, BuildKind, Wish
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form, Guide, Plane
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Display, Unit

SIZES = {"1x6": (19, 140), "2x4": (38, 89), "2x6": (38, 140), "2x10": (38, 235)}
ROUNDED = {"2x4": 3, "2x6": 3}
"""How far the edges of some are rounded: that is lost to a part with square edges."""
LENGTHS = (2440, 3050, 3660, 4880)
ALLOWANCES = Allowances(resaw_face=2 * MM, resaw_clean_up=MM)


def sections_of(names: Collection[str]) -> tuple[Section, ...]:
    """Return some of the sections, as they are dressed."""
    return tuple(
        Section(
            name=name,
            thickness=thick * MM,
            width=wide * MM,
            eased=ROUNDED.get(name, 0) * MM,
        )
        for name, (thick, wide) in SIZES.items()
        if name in names
    )


def board_of(
    section: Section, length: int, *, trim: int = 0, price: int | None = None
) -> Stock:
    """Return boards of a section, so many mm long, without end."""
    return Stock(
        id=f"{section.name} {length}",
        material="fir",
        section=section.name,
        form=Form.BOARD,
        length=length * MM,
        width=section.width,
        thickness=section.thickness,
        trim=Edges(low_x=trim, high_x=trim),
        eased=section.eased,
        price_cents=price,
    )


@dataclass(frozen=True, slots=True)
class TightLumber:
    """A job of one family of lumber in a shop with little reach.

    There is as much of every board as is wanted, so that a job can be cut where each
    part of it can be cut alone.
    """

    seed: int
    job: Job
    is_single: bool
    """One copy of one part."""


def tight_job(seed: int) -> TightLumber:
    """Return a job; every second one is of a single part."""
    rng = Random(seed)
    is_single = seed % 2 == 0
    names = rng.sample(sorted(SIZES), rng.choice((1, 1, 2)))
    sections = sections_of(names)
    trim = rng.choice((0, 0, 10 * MM))
    is_priced = rng.random() < 0.5
    lengths = rng.sample(LENGTHS, rng.choice((1, 2)))
    stock = tuple(
        board_of(
            each,
            length,
            trim=trim,
            price=rng.randint(300, 3000) if is_priced else None,
        )
        for each in sections
        for length in lengths
    )
    longest = max(each.usable_length for each in stock) // MM
    saws = _saws(rng)
    return TightLumber(
        seed=seed,
        is_single=is_single,
        job=Job(
            name=f"tight lumber {seed}",
            display=Display(unit=Unit.MM),
            currency="$",
            shop=Shop(
                saws=saws,
                longest_rough=rng.choice((None, 1200 * MM, 2440 * MM)),
                jointer=None,
                planer=None,
            ),
            materials=(
                Material(
                    name="fir",
                    kind=MaterialKind.LUMBER,
                    sections=sections,
                    stock=stock,
                ),
            ),
            parts=tuple(
                _part(rng, f"part {number + 1}", sections, longest, saws, is_single)
                for number in range(1 if is_single else rng.randint(2, 4))
            ),
            allowances=ALLOWANCES,
        ),
    )


def _part(
    rng: Random,
    name: str,
    sections: tuple[Section, ...],
    longest: int,
    saws: tuple[Saw, ...],
    is_single: bool,
) -> Part:
    """Return a part that some board holds: whole, narrower, thinner or a slice."""
    own = rng.choice(sections)
    wide, thick = own.width // MM, own.thickness // MM
    kind = rng.choice(("whole", "narrow", "narrow", "thin", "slice"))
    resaws = any(Plane.RESAW in saw.planes for saw in saws)
    if kind == "slice" and (not resaws or thick < 30):
        kind = "thin"
    length = rng.choice((rng.randint(60, 300), rng.randint(300, longest)))
    is_square = own.eased > 0 and rng.random() < 0.3
    wide = own.square_width // MM if is_square else wide
    width = wide if kind == "whole" else rng.randint(20, wide)
    thickness = {"thin": rng.randint(8, thick - 1), "slice": rng.randint(8, 14)}
    return Part(
        name=name,
        quantity=1 if is_single else rng.randint(1, 3),
        material="fir",
        section=None if rng.random() < 0.2 else own.name,
        length=length * MM,
        width=width * MM,
        thickness=thickness.get(kind, thick) * MM,
        allowance=Allowance(length=0, width=0, thickness=0),
        wish=Wish(kind=BuildKind.RESAWN, count=2) if kind == "slice" else None,
        square_edges=is_square,
    )


def _saws(rng: Random) -> tuple[Saw, ...]:
    """Return saws with a small head, a small fence, a low blade or a short run."""

    def mm(*sizes: int | None) -> int | None:
        size = rng.choice(sizes)
        return None if size is None else size * MM

    miter = Saw(
        name="chop saw",
        kind="miter saw",
        kerf=3 * MM,
        planes=(Plane.CROSSCUT,),
        crosscut_guide=Guide.STOP,
        widest_crosscut=rng.randint(80, 300) * MM,
        tallest=mm(None, None, None, 30, 60),
    )
    table = Saw(
        name="bench saw",
        kind="table saw",
        kerf=3 * MM,
        planes=rng.choice(((Plane.RIP,), (Plane.RIP, Plane.CROSSCUT))),
        rip_guide=Guide.FENCE,
        crosscut_guide=rng.choice((Guide.STOP, Guide.STOP, Guide.FENCE)),
        widest_rip=mm(None, rng.randint(40, 250)),
        narrowest_rip=mm(None, None, 40, 80),
        widest_crosscut=mm(None, rng.randint(60, 300)),
        longest_cut=mm(None, None, 1500, 2600),
        tallest=mm(None, None, None, 30, 80),
    )
    band = Saw(
        name="band saw",
        kind="band saw",
        kerf=2 * MM,
        planes=rng.choice(((Plane.RESAW,), (Plane.RESAW, Plane.RIP))),
        rip_guide=Guide.FENCE,
        crosscut_guide=Guide.FENCE,
        tallest=mm(None, 100, 150, 200),
        widest_rip=mm(None, 60),
        narrowest_rip=mm(None, None, None, 20),
        longest_cut=mm(None, None, 1500),
    )
    rail = Saw(
        name="rail saw",
        kind="track saw",
        kerf=2 * MM,
        planes=(Plane.RIP, Plane.CROSSCUT),
        longest_cut=rng.choice((120, 200, 300, 1300)) * MM,
        tallest=mm(None, 30, 55),
    )
    return rng.choice(
        (
            (miter, table),
            (miter, table),
            (miter, table, band),
            (miter, table, band),
            (table, band),
            (table, rail),
            (miter, band),
            (miter, band),
            (rail, band),
            (table,),
            (miter,),
        )
    )
