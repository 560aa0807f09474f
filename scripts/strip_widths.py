"""Measure what free strip widths save on edge-glued tops.

    python scripts/strip_widths.py --jobs 30 --out RESULT.json
    python scripts/strip_widths.py --folder samples/tea-cabinet

Jobs are made by chance from a seed: one or two tops to be glued up from 2x lumber in
four sections and three lengths at invented prices, and a few rails cut from the same
boards. Each is planned twice with the same work: with strips of equal width, as few as
the jointer allows, and with all sets of widths that milling offers, from which the
solver chooses. Both plans are checked. With --folder that one job is planned so. Exit
codes: 0 free widths are never dearer, 1
somewhere they are, 2 usage.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Final
from unittest.mock import patch

from bench.results import about, write

from nesting.files import read_job
from nesting.milling import Offered, offer
from nesting.model.job import Job, Material, MaterialKind, Part, Section
from nesting.model.mill import BuildKind
from nesting.model.problem import Budget
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form, Guide, Plane
from nesting.pipeline import day, plan_job
from nesting.trade.lumber import nominal_section
from nesting.units import Display, Unit

DEARER: Final = 1
WORK: Final = 150_000
INCH: Final = 40_640
_CENTS: Final = {"2x4": 55, "2x6": 88, "2x8": 121, "2x10": 168}  # per foot, invented
_DEARER_BY: Final = {8: 100, 10: 103, 12: 107}  # per cent


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One job: what it costs with equal strips and with free ones."""

    seed: int
    equal_cents: int
    free_cents: int
    widths: str


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, print a table, write the rows."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--jobs", type=int, default=30)
    parser.add_argument("--seed", type=int, default=1, help="of the first job")
    parser.add_argument("--work", type=int, default=WORK, help="search steps of a plan")
    parser.add_argument("--folder", type=Path, help="a job folder to plan instead")
    parser.add_argument("--out", type=Path)
    given = parser.parse_args(arguments)
    rows = []
    seeds = range(given.seed, given.seed + given.jobs)
    for seed in (0,) if given.folder else seeds:
        job = read_job(given.folder) if given.folder else make_job(seed)
        rows.append(measure(job, seed, given.work))
        print(_line(rows[-1]), flush=True)
    saved = [1 - row.free_cents / row.equal_cents for row in rows]
    dearer = [row.seed for row in rows if row.free_cents > row.equal_cents]
    print(
        f"{len(rows)} jobs: {100 * statistics.mean(saved):.1f} % saved on average, "
        f"{100 * max(saved):.1f} % at most, {len(dearer)} dearer"
    )
    if given.out:
        words = list(sys.argv[1:] if arguments is None else arguments)
        head = about("strip_widths.py", words, "strip widths", work=given.work)
        write(given.out, {**head, "rows": [asdict(row) for row in rows]})
    return DEARER if dearer else 0


def measure(job: Job, seed: int, work: int) -> Row:
    """Plan one job with equal and with free strips."""
    free = plan_job(job, budget=Budget(work=work))
    with patch.object(day, "offer", _first_build_only):
        equal = plan_job(job, budget=Budget(work=work))
    widths = [need.chosen or "" for need in free.needs if len(need.builds) > 1]
    return Row(
        seed=seed,
        equal_cents=equal.totals.stock_cents,
        free_cents=free.totals.stock_cents,
        widths="; ".join(widths),
    )


def make_job(seed: int) -> Job:
    """Return a job of one or two tops and some rails."""
    rng = random.Random(f"strips {seed}")
    sections = tuple(
        Section(name=name, thickness=s.thickness, width=s.width)
        for name, s in ((name, nominal_section(name)) for name in _CENTS)
    )
    stock = tuple(
        Stock(
            id=f"pine {s.name} x {feet} ft",
            material="pine",
            section=s.name,
            form=Form.STICK,
            length=12 * feet * INCH,
            width=s.width,
            thickness=s.thickness,
            trim=Edges(low_x=INCH, high_x=INCH),
            price_cents=_CENTS[s.name] * feet * _DEARER_BY[feet] // 100,
        )
        for s in sections
        for feet in _DEARER_BY
    )
    pine = Material(
        name="pine", kind=MaterialKind.LUMBER, sections=sections, stock=stock
    )
    tops = [
        _part(
            f"top {n + 1}",
            rng.randrange(16 * 18, 16 * 60),
            rng.randrange(16 * 12, 16 * 28),
            rng.choice((16, 18, 20)),
        )
        for n in range(rng.choice((1, 1, 2)))
    ]
    rails = [
        _part(f"rail {n + 1}", rng.randrange(16 * 12, 16 * 40), 16 * 2 + 8, 24)
        for n in range(rng.randrange(4))
    ]
    kerf = INCH // 8
    crosscut = Saw(
        name="miter saw",
        kerf=kerf,
        planes=(Plane.CROSSCUT,),
        crosscut_guide=Guide.STOP,
        widest_crosscut=12 * INCH,
    )
    table = Saw(
        name="table saw",
        kerf=kerf,
        planes=(Plane.RIP, Plane.CROSSCUT),
        rip_guide=Guide.FENCE,
        crosscut_guide=Guide.STOP,
        widest_rip=30 * INCH,
    )
    return Job(
        name=f"tops {seed}",
        display=Display(unit=Unit.INCH),
        currency="$",
        shop=Shop(saws=(crosscut, table), longest_rough=96 * INCH),
        materials=(pine,),
        parts=(*tops, *rails),
    )


def _part(name: str, length: int, width: int, thickness: int) -> Part:
    """Return a part of sizes in sixteenths of an inch."""
    sixteenth = INCH // 16
    return Part(
        name=name,
        quantity=1,
        material="pine",
        length=length * sixteenth,
        width=width * sixteenth,
        thickness=thickness * sixteenth,
    )


def _first_build_only(*given: object) -> Offered:
    offered = offer(*given)  # type: ignore[arg-type]
    needs = tuple(
        replace(need, builds=need.builds[:1])
        if need.builds[0].kind is BuildKind.EDGE_GLUED
        else need
        for need in offered.needs
    )
    return replace(offered, needs=needs)


def _line(row: Row) -> str:
    saved = 100 * (1 - row.free_cents / row.equal_cents)
    sums = f"{row.equal_cents / 100:8.2f} {row.free_cents / 100:8.2f} {saved:6.1f} %"
    return f"seed {row.seed:3} {sums}  {row.widths}"


if __name__ == "__main__":
    sys.exit(main())
