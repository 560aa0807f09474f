"""Measure what the other ways to cut a job save, over samples and made jobs.

    python scripts/ways.py --jobs 100
    python scripts/ways.py --copies 30

Every sample and jobs made by chance are planned in all their ways, each checked; with
`--copies` furniture of at most a dozen kinds of parts, two to eight of each. A line
for each job says: pieces of stock and changes of setting of the cheapest way, of the
one for the same stock and of the simplest; how many different sizes its blanks of
sheets have, each of which must be set at least once; and seconds. Aim: the simplest way
has 25 % fewer changes on average, at no more than one sheet more; none found counts as
0 %. Exit codes: 0 reached, 1 not reached, 2 usage.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Sequence

from orders import copied, jobs

from nesting import Budget
from nesting.model.job import Job, MaterialKind
from nesting.model.plan import Plan
from nesting.pipeline import plan_ways

AIM = 0.25
WORK = 300_000
HEADS = ("stock", "set", "same", "stock", "set", "least", "s")


def sizes(plan: Plan) -> int:
    """Return how many different lengths and widths the blanks of sheets have."""
    sheets = {lay.material for lay in plan.layouts if lay.form == "sheet"}
    own = [blank for blank in plan.blanks if blank.material in sheets]
    return len({size for blank in own for size in (blank.length, blank.width)})


def measure(name: str, job: Job, work: int) -> tuple[float, float]:
    """Plan a job, print its line, and return what is saved, and could be at most."""
    start = time.perf_counter()
    plans = plan_ways(job, budget=Budget(work=work), leave_out=True)
    seconds = time.perf_counter() - start
    plan = plans[0]
    ways = {way.name: way for way in plan.ways}
    changes = 0 if plan.order is None else plan.order.changes
    stock, least = len(plan.layouts), sizes(plan)
    same = ways["simpler"].changes if "simpler" in ways else changes
    simplest = ways.get("simplest")
    best = changes if simplest is None else simplest.changes
    most = stock if simplest is None else simplest.layouts
    figures = f"{stock:>7}{changes:>7}{same:>7}{most:>7}{best:>7}{least:>7}"
    print(f"{name:<20}{figures}{seconds:>7.1f}", flush=True)
    if most > stock + 1:
        raise AssertionError(f"{name}: more than one sheet more")
    if not changes:
        return 0.0, 0.0
    return 1 - best / changes, max(0.0, 1 - least / changes)


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, print the table and its mean, and return the exit code."""
    parser = argparse.ArgumentParser(
        prog="ways.py", description="Measure what other ways to cut a job save."
    )
    add = parser.add_argument
    add("--jobs", type=int, default=100, help="jobs made by chance (default 100)")
    add("--copies", type=int, help="of a dozen kinds of parts, so many instead")
    add("--seed", type=int, default=1, help="of the first of them")
    add("--work", type=int, default=WORK, help="of the search for layouts")
    asked = parser.parse_args(arguments)
    print(f"{'':<20}" + "".join(f"{head:>7}" for head in HEADS), flush=True)
    saved = []
    first = asked.seed
    made = jobs(asked.jobs, first)
    if asked.copies:
        numbers = range(first, first + asked.copies)
        made = ((f"copies {number}", copied(number)) for number in numbers)
    for name, job in made:
        if any(each.kind is MaterialKind.SHEET for each in job.materials):
            saved.append(measure(name, job, asked.work))
    mean = statistics.mean(share for share, _ in saved)
    most = statistics.mean(share for _, share in saved)
    found = sum(share > 0 for share, _ in saved)
    print(f"\n{len(saved)} jobs with sheets, a simpler way found for {found}:")
    print(
        f"{mean:.1%} fewer changes on average; were each size set but once: {most:.1%}"
    )
    return 1 if mean < AIM else 0


if __name__ == "__main__":
    sys.exit(main())
