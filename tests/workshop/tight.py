"""Shops with little reach, parts to cut in them, and what can be cut by hand reckoning.

Nothing here knows the solver or the checker: the rules are a sawyer's. Against a
fence the wanted piece lies between fence and blade, no wider than it opens and no
narrower than may pass, and the edge along it is at least as long as it is far. A stop
or a pencil line sets any distance, on a piece no wider than the sled takes. A rail
cuts no longer than it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random
from typing import Any

from nesting.model.job import Job, Material, MaterialKind, Part
from nesting.model.plan import Layout, Plan
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form, Grain, Guide, Plane
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Display, Unit

LENGTH = 2440 * MM
WIDTH = 1220 * MM
BOTH = (Plane.RIP, Plane.CROSSCUT)


@dataclass(frozen=True, slots=True)
class Tight:
    """A job of one sheet good in a shop with little reach."""

    seed: int
    job: Job
    is_single: bool
    """One copy of one part on sheets without trims: then `can_be_cut` is the judge."""


def tight_job(seed: int) -> Tight:
    """Return a job; every second one is of a single part."""
    rng = Random(seed)
    is_single = seed % 2 == 0
    saws = _saws(rng)
    trim = 0 if is_single else rng.choice((0, 0, 5 * MM))
    parts = tuple(
        Part(
            name=f"part {number + 1}",
            quantity=1 if is_single else rng.randint(1, 3),
            material="ply",
            length=rng.randint(8, 210) * 10 * MM,
            width=rng.randint(8, 110) * 10 * MM,
            thickness=None,
            grain=rng.choice((Grain.LENGTH, Grain.WIDTH, Grain.ANY)),
        )
        for number in range(1 if is_single else rng.randint(2, 5))
    )
    parts = tuple(part for part in parts if _lies(part, trim)) or (_SAFE,)
    return Tight(
        seed=seed,
        is_single=is_single,
        job=Job(
            name=f"tight {seed}",
            display=Display(unit=Unit.MM),
            currency="$",
            shop=Shop(saws=saws),
            materials=(
                Material(
                    name="ply",
                    kind=MaterialKind.SHEET,
                    thickness=18 * MM,
                    stock=(
                        Stock(
                            id="ply sheet",
                            material="ply",
                            form=Form.SHEET,
                            length=LENGTH,
                            width=WIDTH,
                            thickness=18 * MM,
                            trim=Edges(
                                low_x=trim, high_x=trim, low_y=trim, high_y=trim
                            ),
                        ),
                    ),
                ),
            ),
            parts=parts,
        ),
    )


_SAFE = Part(
    name="part 1",
    quantity=1,
    material="ply",
    length=400 * MM,
    width=300 * MM,
    thickness=None,
    grain=Grain.ANY,
)


def _saws(rng: Random) -> tuple[Saw, ...]:
    """Return a table saw with a small fence, a short rail, or both."""
    table = Saw(
        name="bench saw",
        kerf=3 * MM,
        planes=BOTH,
        rip_guide=Guide.FENCE,
        crosscut_guide=rng.choice((Guide.STOP, Guide.STOP, Guide.FENCE)),
        widest_rip=rng.randint(20, 90) * 10 * MM,
        narrowest_rip=rng.choice((None, 60 * MM, 120 * MM)),
        widest_crosscut=rng.randint(20, 70) * 10 * MM,
        longest_cut=rng.choice((None, 1500 * MM, 2600 * MM)),
    )
    rail = Saw(
        name="rail saw",
        kerf=2 * MM,
        planes=BOTH,
        longest_cut=rng.choice((900, 1235, 1300, 1400, 2700)) * MM,
    )
    return rng.choice(((table, rail), (table, rail), (table,), (rail,)))


def _lies(part: Part, trim: int) -> bool:
    return any(
        x <= LENGTH - 2 * trim and y <= WIDTH - 2 * trim for x, y in _ways_round(part)
    )


def _ways_round(part: Part) -> Iterator[tuple[int, int]]:
    """Yield how a part may lie: along the sheet's length, and across."""
    assert part.width is not None
    straight = (part.length, part.width)
    if part.grain is not Grain.WIDTH:
        yield straight
    if part.grain is not Grain.LENGTH:
        yield straight[::-1]


def cuts(saw: Saw, plane: Plane, run: int, far: int) -> bool:
    """Tell whether a saw makes a cut of a run at a distance, in some way."""
    if plane not in saw.planes or (saw.longest_cut and run > saw.longest_cut):
        return False
    guide = saw.crosscut_guide if plane is Plane.CROSSCUT else saw.rip_guide
    fence = saw.rip_guide is Guide.FENCE or guide is Guide.FENCE
    if (
        fence
        and run >= far >= (saw.narrowest_rip or 0)
        and (saw.widest_rip is None or far <= saw.widest_rip)
    ):
        return True
    if plane is Plane.RIP and saw.rip_guide is Guide.LINE:
        return True
    on_sled = saw.crosscut_guide is not Guide.FENCE and (
        plane is Plane.CROSSCUT or saw.crosscut_guide is Guide.STOP
    )
    return on_sled and (saw.widest_crosscut is None or run <= saw.widest_crosscut)


def can_be_cut(part: Part, saws: tuple[Saw, ...]) -> bool:
    """Tell whether two cuts, in either order, free a part from a whole sheet."""
    for x, y in _ways_round(part):
        if x > LENGTH or y > WIDTH:
            continue
        orders = (
            ((Plane.CROSSCUT, WIDTH, x), (Plane.RIP, x, y)),
            ((Plane.RIP, LENGTH, y), (Plane.CROSSCUT, y, x)),
        )
        for order in orders:
            needed = (
                (plane, run, far)
                for plane, run, far in order
                if far < (LENGTH if plane is Plane.CROSSCUT else WIDTH)
            )
            if all(any(cuts(saw, *cut) for saw in saws) for cut in needed):
                return True
    return False


def out_of_reach(plan: Plan, saws: tuple[Saw, ...]) -> list[str]:
    """Return the steps that their saw does not reach, on the piece as it is."""
    return [
        f"{layout.id}, step {cut.step}"
        for layout in plan.layouts
        for cut, run, far in _cut_by_cut(layout)
        if not any(
            saw.name == cut.saw
            and (far is None or cuts(saw, Plane(cut.plane), run, far))
            and (not saw.longest_cut or run <= saw.longest_cut)
            for saw in saws
        )
    ]


def judged(tight: Tight, plan: Plan | None, said: str) -> list[str]:
    """Return what is wrong with a plan, or with a refusal that was said."""
    saws = tight.job.shop.saws
    able = [can_be_cut(part, saws) for part in tight.job.parts]
    if plan is not None:
        faults = [f"{step} is out of reach" for step in out_of_reach(plan, saws)]
        if tight.is_single and not all(able):
            faults.append("planned, and cannot be cut")
        return faults
    faults = []
    if tight.is_single and all(able):
        faults.append(f"refused, and can be cut: {said}")
    if not any(f"x {part.name}" in said for part in tight.job.parts):
        faults.append(f"no part is named: {said}")
    if not any(f"{saw.name} (" in said for saw in saws):
        faults.append(f"no limit is named: {said}")
    return faults


def _cut_by_cut(layout: Layout) -> Iterator[tuple[Any, int, int | None]]:
    """Yield every cut with its run and its distance, None along a pencil line."""
    pieces = {piece.id: piece for piece in layout.pieces}
    for cut in layout.cuts:
        piece = pieces.get(cut.piece)
        length = layout.stock.length if piece is None else piece.length
        width = layout.stock.width if piece is None else piece.width
        run = width if cut.plane == Plane.CROSSCUT else length
        yield cut, run, cut.measure
