"""Sound plans pass, in little time, and the room stands alone."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from nesting.model.plan import (
    Advice,
    Cut,
    Piece,
    Plan,
    PlanBlank,
    PlanOrder,
    PlanPart,
    Setting,
)
from nesting.model.terms import Fate, Grain, Guide, Plane
from nesting.verify import verify

Change = Callable[[Plan, str, Any], Plan]

LOOK = """
import sys
import nesting.verify
rooms = {name.split(".")[1] for name in sys.modules if name.startswith("nesting.")}
print(sorted(rooms), "shapely" in sys.modules, "numpy" in sys.modules)
"""


def test_a_sound_plan_breaks_no_rule(sound: Plan) -> None:
    """Every size, place and sum worked out on paper agrees with the checker."""
    assert verify(sound) == ()


def test_the_room_knows_no_other_room() -> None:
    """Verify loads the model and what lies below it, and no heavy library yet."""
    done = subprocess.run(
        [sys.executable, "-c", LOOK], capture_output=True, text=True, check=True
    )
    assert (
        done.stdout == "['errors', 'model', 'trade', 'units', 'verify'] False False\n"
    )


def test_words_may_be_the_enums_of_the_model(sound: Plan, change: Change) -> None:
    """A plan that was never written to a file holds enums, which are texts too."""
    plan = sound
    for path, word in (
        ("layouts.0.cuts.0.plane", Plane.RIP),
        ("layouts.0.cuts.0.guide", Guide.LINE),
        ("layouts.0.pieces.7.fate", Fate.PART),
        ("layouts.0.stock.grain", Grain.LENGTH),
        ("blanks.1.grain", Grain.ANY),
    ):
        plan = change(plan, path, word)
    assert plan == sound
    assert verify(plan) == ()


def test_stock_may_be_a_blank_as_it_comes(sound: Plan, change: Change) -> None:
    """Stock that is not cut is one piece: the layout's, and a part."""
    length, width, thickness = 1_000_000, 142_400, 60_800
    whole = Piece(
        id="K",
        x=0,
        y=0,
        length=length,
        width=width,
        thickness=thickness,
        fate="part",
        blank="beam",
    )
    sizes = {"length": length, "width": width, "thickness": thickness}
    layout = sound.layouts[1]
    plan = replace(
        sound,
        parts=(
            PlanPart(
                id="beam", name="Beam", qty=1, material="pine", grain="length", **sizes
            ),
        ),
        blanks=(
            PlanBlank(
                id="beam",
                parts=("beam",),
                role="",
                qty=1,
                material="pine",
                section="2x4",
                grain="length",
                **sizes,
            ),
        ),
        layouts=(
            replace(
                layout,
                pieces=(whole,),
                cuts=(),
                stock=replace(layout.stock, **sizes),
            ),
        ),
        routes=(),
        advice=Advice(),
        offers=(replace(sound.offers[1], **sizes, trim=type(sound.offers[1].trim)()),),
        runs=(),
        needs=(),
        settings=(),
        order=PlanOrder(changes=0, lower_bound=0),
        unplaced=(),
        purchases=sound.purchases[1:],
        hardware=(),
        bounds=(),
        totals=replace(
            sound.totals,
            cost_cents=780,
            stock_cents=780,
            hardware_cents=0,
            unpriced=0,
            layouts=1,
            cuts=0,
            settings=0,
            blanks=1,
            parts=1,
            yields=(
                replace(
                    sound.totals.yields[1],
                    stock=length * width,
                    parts=length * width,
                    offcuts=0,
                    scrap=0,
                    kerf=0,
                ),
            ),
        ),
    )
    assert verify(plan) == ()
    trimmed = change(plan, "offers.0.trim.low_x", 1)
    assert [fault.rule for fault in verify(trimmed)] == ["edge"]


def test_a_blade_without_kerf_divides_cleanly(sound: Plan, change: Change) -> None:
    """A kerf of nothing is a kerf: the pieces then lie edge to edge."""
    plan = sound
    for path, value in (
        ("shop.saws.3.kerf", 0),
        ("layouts.2.cuts.3.kerf", 0),
        ("layouts.2.pieces.7.z", 12 * 1600),
        ("layouts.2.pieces.7.thickness", 13 * 1600),
        ("blanks.4.minimum", True),
        # both slats together have the whole thickness now
        ("totals.yields.2.parts", 500 * 99 * 1600**2),
        ("totals.yields.2.kerf", 1100 * 1600**2),
    ):
        plan = change(plan, path, value)
    assert verify(plan) == ()


def long_plan(sound: Plan, sticks: int, rails: int) -> Plan:
    """Many sticks of pine, each cut into rails of 1 mm less kerf of 3 mm."""
    size, kerf = 1_600, 4_800
    first = sound.layouts[1]
    stock = first.stock
    layouts = []
    for number in range(sticks):
        name = f"L{number}"
        left = stock.length
        piece = {"y": 0, "width": stock.width, "thickness": stock.thickness}
        pieces = [Piece(id=name, x=0, length=left, fate="cut", **piece)]
        cuts = []
        for cut in range(rails):
            x = cut * (size + kerf)
            made = (f"{name}.{cut}a", f"{name}.{cut}b")
            cuts.append(
                Cut(
                    step=number * rails + cut + 1,
                    piece=pieces[-1].id,
                    plane="crosscut",
                    at=size,
                    kerf=kerf,
                    saw="mitre",
                    makes=made,
                    setting="stop",
                    measure=size,
                    guide="stop",
                )
            )
            left -= size + kerf
            rest = "offcut" if cut == rails - 1 else "cut"
            pieces += [
                Piece(id=made[0], x=x, length=size, fate="part", blank="rail", **piece),
                Piece(id=made[1], x=x + size + kerf, length=left, fate=rest, **piece),
            ]
        layouts.append(replace(first, id=name, pieces=tuple(pieces), cuts=tuple(cuts)))
    count = sticks * rails
    area = stock.length * stock.width * sticks
    parts, lost = count * size * stock.width, count * kerf * stock.width
    return replace(
        sound,
        parts=(replace(sound.parts[2], qty=count, length=size),),
        blanks=(replace(sound.blanks[2], qty=count, length=size),),
        layouts=tuple(layouts),
        runs=(),
        routes=(),
        advice=Advice(),
        offers=(replace(sound.offers[1], trim=type(sound.offers[1].trim)()),),
        needs=(),
        settings=(Setting(id="stop", saw="mitre", kind="stop", distance=size),),
        order=PlanOrder(changes=1, lower_bound=1),
        unplaced=(),
        purchases=(replace(sound.purchases[1], qty=sticks, cost_cents=780 * sticks),),
        bounds=(),
        totals=replace(
            sound.totals,
            cost_cents=780 * sticks + 450,
            stock_cents=780 * sticks,
            layouts=sticks,
            cuts=count,
            settings=1,
            blanks=count,
            parts=count,
            yields=(
                replace(
                    sound.totals.yields[1],
                    stock=area,
                    parts=parts,
                    kerf=lost,
                    scrap=0,
                    offcuts=area - parts - lost,
                ),
            ),
        ),
    )


def test_a_part_with_a_grain_has_no_blank_that_may_be_turned(
    sound: Plan, change: Change
) -> None:
    """Where the grain of a part matters, it matters to the blank cut as the part."""
    (fault,) = verify(change(sound, "parts.1.grain", "length"))
    assert (fault.rule, fault.where) == ("part", "blank 'shelf'")


def test_a_build_of_nothing_makes_no_part(sound: Plan, change: Change) -> None:
    """A third side that a build conjures up out of no blank is missed."""
    need = sound.needs[0]
    nothing = replace(need.builds[0], takes=())
    conjured = replace(need, id="one more", qty=1, builds=(nothing,))
    plan = change(sound, "needs", (*sound.needs, conjured))
    plan = change(plan, "parts.0.qty", need.qty + 1)
    plan = change(plan, "totals.parts", sound.totals.parts + 1)
    (fault,) = verify(plan)
    assert (fault.rule, fault.where) == ("need", "need 'one more'")


def test_six_hundred_cuts_take_no_time(sound: Plan) -> None:
    """A plan of 600 cuts is checked in half a second of the processor."""
    plan = long_plan(sound, sticks=30, rails=20)
    times = []
    for _ in range(5):
        start = time.process_time()
        assert verify(plan) == ()
        times.append(time.process_time() - start)
    assert min(times) < 0.5


def test_time_grows_with_the_plan_and_no_faster(sound: Plan) -> None:
    """Four times the cuts, on sticks as long, take no more than eight times as long."""

    def seconds(sticks: int) -> float:
        plan = long_plan(sound, sticks=sticks, rails=20)
        times = []
        for _ in range(5):
            start = time.process_time()
            verify(plan)
            times.append(time.process_time() - start)
        return min(times)

    seconds(1)
    assert seconds(80) < 8 * seconds(20)
