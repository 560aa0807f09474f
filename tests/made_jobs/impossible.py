"""Jobs that cannot be planned: one that fits, spoilt in one way."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from made_jobs.fitting import make
from made_jobs.kinds import MadeJob, Verdict
from nesting.model.job import Allowance, Job, Material, MaterialKind, Part
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Stock
from nesting.model.terms import Grain, Guide, Origin, Plane
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Ticks

IMPOSSIBLE = tuple(verdict for verdict in Verdict if verdict is not Verdict.FITS)


def verdict_of(seed: int) -> Verdict:
    """Return why the impossible job of a seed cannot be planned."""
    return IMPOSSIBLE[seed % len(IMPOSSIBLE)]


def impossible_job(seed: int) -> MadeJob:
    """Return a job that cannot be planned; the seeds go through the reasons in turn."""
    rng = Random(f"cannot {seed}")
    verdict = verdict_of(seed)
    few = verdict in (Verdict.FEW_SHEETS, Verdict.FEW_STICKS)
    sticks_only = verdict in (Verdict.TOO_WIDE, Verdict.NO_RIP)
    made = make(
        rng,
        seed,
        sheets=0 if sticks_only else 1,
        lumber=0 if verdict is Verdict.SHORT_RAIL else 1,
        limits="all" if few else "free",
        narrow=False,
    )
    return _SPOIL[verdict](rng, replace(made, verdict=verdict, used={}, traits=()))


def _of_kind(job: Job, kind: MaterialKind) -> Material:
    return next(material for material in job.materials if material.kind is kind)


def _with_part(made: MadeJob, part: Part) -> MadeJob:
    """Add a part that is to blame."""
    name = f"culprit {len(made.job.parts) + 1:02d}"
    parts = (*made.job.parts, replace(part, name=name))
    return replace(made, job=replace(made.job, parts=parts), blame=frozenset({name}))


def _too_large(rng: Random, made: MadeJob) -> MadeJob:
    material = _of_kind(made.job, MaterialKind.SHEET)
    longest = max(max(s.usable_length, s.usable_width) for s in material.stock)
    sides = [longest + rng.choice([1, MM, 50 * MM]), 100 * MM]
    rng.shuffle(sides)
    return _with_part(
        made,
        Part(
            name="-",
            quantity=rng.randint(1, 3),
            material=material.name,
            length=sides[0],
            width=sides[1],
            thickness=None,
            grain=rng.choice(list(Grain)),
        ),
    )


def _grain(rng: Random, made: MadeJob) -> MadeJob:
    sheets = _of_kind(made.job, MaterialKind.SHEET)
    oblong = [s for s in sheets.stock if s.usable_length != s.usable_width]
    if not oblong:
        oblong = [replace(sheets.stock[0], length=2 * sheets.stock[0].length)]
    stock = (oblong[0],)
    material = replace(sheets, has_grain=True, stock=stock, allowance=Allowance())
    kept = tuple(p for p in made.job.parts if p.material != material.name)
    goods = tuple(m for m in made.job.materials if m is not sheets)
    job = replace(made.job, parts=kept, materials=(material, *goods))
    along, across = stock[0].usable_length, stock[0].usable_width
    if stock[0].grain is Grain.WIDTH:
        along, across = across, along
    if along > across:  # too wide, unless it lay across the grain
        length, width = across // 2, across + 1
    else:
        length, width = along + 1, along // 2
    if rng.random() < 0.5:
        length, width, runs = width, length, Grain.WIDTH
    else:
        runs = Grain.LENGTH
    return _with_part(
        replace(made, job=job),
        Part(
            name="-",
            quantity=1,
            material=material.name,
            length=length,
            width=width,
            thickness=None,
            grain=runs,
        ),
    )


def _too_long(rng: Random, made: MadeJob) -> MadeJob:
    material = _of_kind(made.job, MaterialKind.LUMBER)
    section = rng.choice(material.sections).name
    longest = max(s.usable_length for s in material.stock if s.section == section)
    return _with_part(
        made,
        Part(
            name="-",
            quantity=rng.randint(1, 3),
            material=material.name,
            length=longest + rng.choice([1, MM]),
            width=None,
            thickness=None,
            section=section,
        ),
    )


def _few_sheets(rng: Random, made: MadeJob) -> MadeJob:
    return _few(rng, made, _of_kind(made.job, MaterialKind.SHEET))


def _few_sticks(rng: Random, made: MadeJob) -> MadeJob:
    return _few(rng, made, _of_kind(made.job, MaterialKind.LUMBER))


def _few(rng: Random, made: MadeJob, material: Material) -> MadeJob:
    """Ask for more copies of a part than all the stock holds by area or length.

    There are no runs then: more copies of a member would make one longer than a sheet.
    """
    free = tuple(replace(part, match="", flow=None) for part in made.job.parts)
    made = replace(made, job=replace(made.job, parts=free))
    mine = [part for part in made.job.parts if part.material == material.name]
    more = rng.choice(mine)
    stock = [s for s in material.stock if s.section == (more.section or "")]
    mine = [part for part in mine if part.section == more.section]
    sheet = material.kind is MaterialKind.SHEET
    allowance = material.allowance

    def size(part: Part) -> int:
        length = part.length + (allowance.length or 0)
        return (
            length * ((part.width or 0) + (allowance.width or 0)) if sheet else length
        )

    held = sum(
        (s.limit or 0) * s.usable_length * (s.usable_width if sheet else 1)
        for s in stock
    )
    left = held - sum(part.quantity * size(part) for part in mine)
    extra = left // size(more) + 1
    goods = tuple(
        replace(
            goods,
            stock=tuple(s if s in stock else _plenty(s) for s in goods.stock),
        )
        for goods in made.job.materials
    )
    parts = tuple(
        replace(part, quantity=part.quantity + extra) if part is more else part
        for part in made.job.parts
    )
    blame = frozenset(part.name for part in mine)
    job = replace(made.job, parts=parts, materials=goods)
    return replace(made, job=job, blame=blame, names_all=False)


def _plenty(stock: Stock) -> Stock:
    return replace(stock, limit=None, origin=Origin.STORE, tag=None, price_cents=100)


def _blamed(made: MadeJob, parts: list[Part]) -> MadeJob:
    """Blame parts; one that may be a whole piece of stock need not be named."""
    whole = any(_whole(part, made.job) for part in parts)
    blame = frozenset(part.name for part in parts)
    return replace(made, blame=blame, names_all=not whole)


def _whole(part: Part, job: Job) -> bool:
    """Tell whether a part may be a whole piece of stock, which no saw touches."""
    material = next(m for m in job.materials if m.name == part.material)
    length = part.length + (material.allowance.length or 0)
    width = (part.width or 0) + (material.allowance.width or 0)
    if material.kind is MaterialKind.LUMBER:
        return any(length == s.length for s in material.stock)
    return any({length, width} == {s.length, s.width} for s in material.stock)


def _short_rail(rng: Random, made: MadeJob) -> MadeJob:
    material = _of_kind(made.job, MaterialKind.SHEET)
    shortest = min(min(s.usable_length, s.usable_width) for s in material.stock)
    saw = Saw(
        name="short rail",
        kind="track saw",
        kerf=3 * MM,
        planes=(Plane.RIP, Plane.CROSSCUT),
        longest_cut=shortest - rng.choice([1, MM, shortest // 2]),
    )
    made = replace(made, job=replace(made.job, shop=Shop(saws=(saw,))))
    if all(_whole(part, made.job) for part in made.job.parts):
        made = replace(made, job=replace(made.job, parts=()))
        return _with_part(made, _small(material))
    return _blamed(made, [*made.job.parts])


def _small(sheets: Material) -> Part:
    return Part(
        name="-",
        quantity=2,
        material=sheets.name,
        length=90 * MM,
        width=80 * MM,
        thickness=None,
    )


def _too_thick(rng: Random, made: MadeJob) -> MadeJob:
    thick = {
        (m.name, s.section): s.thickness for m in made.job.materials for s in m.stock
    }
    tallest = rng.choice(sorted(set(thick.values()))) - 1
    shop = Shop(saws=tuple(replace(s, tallest=tallest) for s in made.job.shop.saws))
    made = replace(made, job=replace(made.job, shop=shop))
    blame = [
        part
        for part in made.job.parts
        if thick[part.material, part.section or ""] > tallest
    ]
    if not all(_whole(part, made.job) for part in blame):
        return _blamed(made, blame)
    shop = Shop(saws=tuple(replace(saw, tallest=MM) for saw in shop.saws))
    made = replace(made, job=replace(made.job, shop=shop, parts=()))
    return _with_part(made, _small(_of_kind(made.job, MaterialKind.SHEET)))


def _crosscut_only(widest: Ticks | None) -> Shop:
    return Shop(
        saws=(
            Saw(
                name="crosscut saw",
                kind="miter saw",
                kerf=3 * MM,
                planes=(Plane.CROSSCUT,),
                crosscut_guide=Guide.STOP,
                widest_crosscut=widest,
            ),
        )
    )


def _too_wide(rng: Random, made: MadeJob) -> MadeJob:
    material = _of_kind(made.job, MaterialKind.LUMBER)
    widths = {section.name: section.width for section in material.sections}
    widest = rng.choice(sorted(set(widths.values()))) - 1
    made = replace(made, job=replace(made.job, shop=_crosscut_only(widest)))
    wide = [part for part in made.job.parts if widths[part.section or ""] > widest]
    if not all(_whole(part, made.job) for part in wide):
        return _blamed(made, wide)
    made = replace(made, job=replace(made.job, shop=_crosscut_only(MM), parts=()))
    part = Part(
        name="-",
        quantity=1,
        material=material.name,
        length=90 * MM,
        width=None,
        thickness=None,
        section=material.sections[0].name,
    )
    return _with_part(made, part)


def _no_rip(rng: Random, made: MadeJob) -> MadeJob:
    material = _of_kind(made.job, MaterialKind.LUMBER)
    section = rng.choice(material.sections)
    made = replace(made, job=replace(made.job, shop=_crosscut_only(None)))
    return _with_part(
        made,
        Part(
            name="-",
            quantity=rng.randint(1, 3),
            material=material.name,
            length=300 * MM,
            width=section.width - rng.choice([1, MM, section.width // 2]),
            thickness=None,
            section=section.name,
        ),
    )


_SPOIL = {
    Verdict.TOO_LARGE: _too_large,
    Verdict.GRAIN: _grain,
    Verdict.TOO_LONG: _too_long,
    Verdict.FEW_SHEETS: _few_sheets,
    Verdict.FEW_STICKS: _few_sticks,
    Verdict.SHORT_RAIL: _short_rail,
    Verdict.TOO_THICK: _too_thick,
    Verdict.TOO_WIDE: _too_wide,
    Verdict.NO_RIP: _no_rip,
}
