"""Measure plans for sticks bought at prices, with pieces from the rack beside them.

    python scripts/stick_jobs.py --jobs 60 --out RESULT.json

Jobs are made by chance from a seed: 10 to 60 kinds of parts, 15 to 200 parts, in
sixteenths of an inch, in millimetres or in both; five lengths to buy at invented prices
that rise per foot with the length, not by any rule; six pieces of the rack that cost
nothing. The kerf is 1/8 in or 3 mm. Every plan is checked: all parts are there, every
stick holds its own, no limit is passed. Each job is solved a second time with the work
that the first solve did and no clock, and the two plans are compared. Seconds are those
of the clock on the wall. Exit codes: 0 done, 2 usage, 3 a plan is not sound or not the
same again, 130 stopped by Ctrl-C (what was measured so far is written).
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from bench.endings import NOT_SOUND, STOPPED, UNLIMITED_WORK
from bench.results import about, write
from bench.tables import aligned

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.solve.sticks import solve_sticks
from nesting.solve.sticks.problem import (
    StickAnswer,
    StickPart,
    StickProblem,
    StickStock,
)
from nesting.units import TICKS_PER_INCH as INCH
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Ticks

_SIXTEENTH = INCH // 16
_FEET = (8, 10, 12, 14, 16)
_TRIM = INCH  # lost at the two ends together
_RACK = 6
_KINDS = (10, 60)
_MOST_COPIES = 6
_PARTS = (15, 200)
_SHARE = 95.0  # per cent that are to be proven
_GAP = 0.5  # per cent above the bound that the others are to be within


@dataclass(frozen=True, slots=True, kw_only=True)
class StickRow:
    """A job planned; the fields are the file's keys."""

    seed: int
    kinds: int
    parts: int
    bound: int
    basis: str
    plan: int
    sticks: int
    gap: float
    """Per cent above the bound."""
    proven: bool
    seconds: float
    work: int
    faults: tuple[str, ...]


def stick_job(seed: int) -> StickProblem:
    """Return a job; one seed always gives the same."""
    rng = random.Random(seed)
    units = rng.choice(((_SIXTEENTH,), (MM,), (_SIXTEENTH, MM)))
    kerf = Ticks(rng.choice((INCH // 8, 3 * MM)))
    cents = rng.randint(55, 95)  # a foot
    stock = [
        StickStock(
            id=f"{feet} ft",
            length=Ticks(feet * 12 * INCH - _TRIM),
            cost=round(cents * feet * rng.uniform(0.95, 1.15)),
            limit=None,
        )
        for feet in _FEET
    ]
    stock += [
        StickStock(
            id=f"rack {number + 1}",
            length=Ticks(rng.randint(14 * 16, 80 * 16) * _SIXTEENTH),
            cost=0,
            limit=1,
        )
        for number in range(_RACK)
    ]
    kinds = rng.randint(*_KINDS)
    return StickProblem(
        parts=tuple(_parts(rng, kinds, units)),
        stock=tuple(stock),
        kerf=kerf,
        least_kerf=kerf,
    )


def _parts(rng: random.Random, kinds: int, units: Sequence[int]) -> list[StickPart]:
    while True:
        parts = []
        for number in range(kinds):
            unit = rng.choice(units)
            length = rng.randint(4 * INCH // unit, 84 * INCH // unit) * unit
            parts.append(
                StickPart(
                    id=f"part {number + 1}",
                    length=Ticks(length),
                    quantity=rng.randint(1, _MOST_COPIES),
                )
            )
        if _PARTS[0] <= sum(part.quantity for part in parts) <= _PARTS[1]:
            return parts


def measured(seed: int, seconds: float) -> StickRow:
    """Plan one job, and plan it again."""
    problem = stick_job(seed)
    began = time.monotonic()
    budget = Budget(work=UNLIMITED_WORK, deadline=began + seconds)
    answer = solve_sticks(problem, seed=seed, budget=budget)
    took = time.monotonic() - began
    faults = faults_of(problem, answer)
    work = UNLIMITED_WORK if answer.stopped_by is StoppedBy.PROOF else answer.work
    again = [
        solve_sticks(problem, seed=seed, budget=Budget(work=work)) for _ in range(2)
    ]
    if again[0] != again[1]:
        faults.append("not the same plan again")
    if answer.stopped_by is StoppedBy.PROOF and answer != again[0]:
        faults.append("not the same plan without the clock")
    return StickRow(
        seed=seed,
        kinds=len(problem.parts),
        parts=sum(part.quantity for part in problem.parts),
        bound=answer.lower_bound,
        basis=answer.basis,
        plan=answer.cost,
        sticks=sum(each.times for each in answer.patterns),
        gap=round(100 * (answer.cost / max(1, answer.lower_bound) - 1), 2),
        proven=answer.cost == answer.lower_bound and not answer.unplaced,
        seconds=round(took, 2),
        work=answer.work,
        faults=tuple(faults),
    )


def faults_of(problem: StickProblem, answer: StickAnswer) -> list[str]:
    """Return what is wrong with a plan, in words."""
    faults = []
    lengths = {part.id: part.length for part in problem.parts}
    kinds = {each.id: each for each in problem.stock}
    held: Counter[str] = Counter()
    used: Counter[str] = Counter()
    for pattern in answer.patterns:
        used[pattern.stock] += pattern.times
        taken = 0
        for name, count in pattern.counts:
            held[name] += count * pattern.times
            taken += count * (lengths[name] + problem.kerf)
        if taken > kinds[pattern.stock].length + problem.kerf:
            faults.append(f"{pattern.stock} does not hold {dict(pattern.counts)}")
    for name, count in used.items():
        limit = kinds[name].limit
        if limit is not None and count > limit:
            faults.append(f"{name} is used {count} times")
    if answer.cost != sum(kinds[name].cost * count for name, count in used.items()):
        faults.append("the cost is not that of the sticks")
    held.update(dict(answer.unplaced))
    for part in problem.parts:
        if held[part.id] != part.quantity:
            faults.append(f"{part.id}: {held[part.id]} instead of {part.quantity}")
    return faults


HEAD = ("seed", "kinds", "parts", "bound", "plan", "sticks", "gap %", "proven", "s")


def table(rows: Sequence[StickRow]) -> str:
    """Return the rows as a table."""
    return aligned(
        [
            HEAD,
            *(
                (
                    *(str(row.seed), str(row.kinds), str(row.parts), str(row.bound)),
                    *(str(row.plan), str(row.sticks), f"{row.gap:.2f}"),
                    *("yes" if row.proven else "no", f"{row.seconds:.2f}"),
                )
                for row in rows
            ),
        ]
    )


def summary(rows: Sequence[StickRow]) -> str:
    """Return a line: how many are proven, and how near the others are."""
    proven = sum(row.proven for row in rows)
    worst = max(row.gap for row in rows)
    return (
        f"{proven} of {len(rows)} proven, {100 * proven / len(rows):.1f} % "
        f"(bar {_SHARE} %), largest gap {worst:.2f} % (bar {_GAP} %), "
        f"median {statistics.median(row.seconds for row in rows):.2f} s, "
        f"longest {max(row.seconds for row in rows):.2f} s"
    )


def _arguments(words: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--jobs", type=int, default=60)
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--seconds", type=float, default=2.0, help="for each job")
    parser.add_argument("--out", type=Path, help="a file for the result, JSON")
    given = parser.parse_args(words)
    if given.jobs < 1:
        parser.error("--jobs must be at least 1")
    return given


def main(words: Sequence[str] | None = None) -> int:
    """Run the command; return its exit code."""
    given = _arguments(words)
    rows: list[StickRow] = []
    code = 0
    try:
        for seed in range(given.first, given.first + given.jobs):
            rows.append(measured(seed, given.seconds))
            row = rows[-1]
            print(f"{seed}: {row.plan} over {row.bound}", file=sys.stderr)
    except KeyboardInterrupt:
        code = STOPPED
    for row in rows:
        for fault in row.faults:
            code = NOT_SOUND
            print(f"{row.seed}: {fault}", file=sys.stderr)
    if rows:
        print(table(rows))
        print(summary(rows))
    if given.out is not None:
        head = about(
            "stick_jobs.py",
            sys.argv[1:] if words is None else words,
            "stick jobs",
            seconds=given.seconds,
        )
        write(given.out, {**head, "jobs": [asdict(row) for row in rows]})
    return code


if __name__ == "__main__":
    sys.exit(main())
