"""What is half cut goes back in as stock of the job, and the rest is planned from it.

A board job is planned, its first cuts are made, and then the saw stops: pieces on the
bench are stock of which there is one each, blanks that are done are no longer wanted.
The same door plans what is left.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final

import pytest

from nesting.model.job import Job
from nesting.model.plan import Layout, Piece, Plan
from nesting.model.problem import Budget
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form, Origin
from nesting.pipeline.day import plan_job
from nesting.solve.warm import warm
from nesting.units import Unit

_INCH: Final = Unit.INCH.ticks


def on_the_bench(layout: Layout, done: int) -> Iterator[Piece]:
    """Yield the pieces of a layout that are there after so many steps of the plan."""
    there = {layout.pieces[0].id}
    for cut in layout.cuts:
        if cut.step <= done:
            there.remove(cut.piece)
            there.update(cut.makes)
    if there != {layout.pieces[0].id}:  # what is not begun goes back to the store
        yield from (piece for piece in layout.pieces if piece.id in there)


def half_cut(job: Job, plan: Plan, done: int) -> Job | None:
    """Return the job of what is left after some steps; None where nothing is."""
    made: Counter[str] = Counter()
    stock: list[Stock] = []
    (pine,) = job.materials
    ends = pine.stock[0].trim
    for layout in plan.layouts:
        for piece in on_the_bench(layout, done):
            if piece.fate == "part":
                made[str(piece.blank)] += 1
            elif piece.length > _INCH and piece.width > _INCH:
                stock.append(_bench_piece(layout, piece, len(stock), ends))
    parts = tuple(
        replace(part, quantity=part.quantity - made[part.name])
        for part in job.parts
        if part.quantity > made[part.name]
    )
    if not parts:
        return None
    return replace(
        job,
        parts=parts,
        materials=(replace(pine, stock=(*pine.stock, *stock)),),
    )


def _bench_piece(layout: Layout, piece: Piece, number: int, trim: Edges) -> Stock:
    """Return a piece as stock: an end of the board that it still has is trimmed."""
    end = piece.x + piece.length
    return Stock(
        id=f"bench {number}",
        material="pine",
        section=layout.section,
        form=Form.STICK,
        length=piece.length,
        width=piece.width,
        thickness=piece.thickness,
        trim=Edges(
            low_x=trim.low_x if piece.x == 0 else 0,
            high_x=trim.high_x if end == layout.stock.length else 0,
        ),
        price_cents=0,
        limit=1,
        origin=Origin.BENCH,
        tag=piece.id,
    )


@pytest.mark.parametrize("seed", range(20))
def test_what_is_left_is_planned_from_the_bench(
    seed: int, board_job: Callable[[int], Job]
) -> None:
    """The new plan is sound, uses the bench, and buys no more than a plan without it.

    The clock is the outer limit of the search, as a maker at the saw would set it.
    """
    warm()
    job = board_job(seed)
    plan = plan_job(job, budget=Budget(work=1_000))
    steps = sum(len(layout.cuts) for layout in plan.layouts)
    left = half_cut(job, plan, steps // 2)
    assert left is not None
    start = time.monotonic()
    again = plan_job(left, budget=Budget(work=1_000, deadline=start + 0.7))
    wanted = {part.name: part.quantity for part in left.parts}
    assert {blank.id: blank.qty for blank in again.blanks} == wanted
    assert not again.unplaced
    assert any(layout.stock.origin == "bench" for layout in again.layouts)
    (pine,) = left.materials
    bare = replace(pine, stock=tuple(s for s in pine.stock if s.limit is None))
    without = plan_job(replace(left, materials=(bare,)), budget=Budget(work=1_000))
    assert again.totals.stock_cents <= without.totals.stock_cents
