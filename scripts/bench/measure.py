"""Solve one instance against the clock, then lay it out and check the plan."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

from bench.instances import Instance
from nesting.errors import InfeasibleError
from nesting.milling import offer
from nesting.model.plan import Plan
from nesting.model.problem import Budget, Problem, Progress
from nesting.model.result import Result
from nesting.pipeline.day import lay_out_all
from nesting.pipeline.write_up import saws_of, write_up
from nesting.sequence import put_in_order
from nesting.solve import solve
from nesting.verify import verify


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What was measured on one instance; its fields are the keys of the file."""

    name: str
    group: str
    pieces: int
    value: int
    """Sheets or boards where all are of one size, else their cost."""
    lower_bound: int
    proven: bool
    seconds: float
    """Wall seconds of the solver alone."""
    work: int
    stopped_by: str
    basis: str
    published_bound: int | None
    published_best: int | None
    sound: bool
    """Whether the plan passed every check and nothing contradicts a bound."""
    faults: tuple[str, ...]

    def record(self) -> dict[str, Any]:
        """Return the row as it is written."""
        return asdict(self)


def measure(
    instance: Instance,
    *,
    seconds: float,
    work: int,
    seed: int,
    cancelled: Callable[[], bool],
    progress: Callable[[Progress], None],
) -> tuple[Row, Plan | None]:
    """Solve an instance, lay it out, put its cuts in order and check the plan.

    Parameters
    ----------
    instance
        The problem; the compiler is ready.
    seconds, work
        The limits of the search, whichever comes first.
    seed
        Of the search.
    cancelled, progress
        Asked, and told, between chunks of the search.

    Returns
    -------
    tuple of Row and Plan or None
        No plan where the trees could not be laid out, which the row's faults tell.
    """
    job = instance.job
    offered = offer(job.parts, job.materials, job.display)
    problem = Problem(
        stock=job.materials[0].stock,
        needs=offered.needs,
        saws=job.shop.saws,
        stages=None,
        seed=seed,
    )
    start = time.perf_counter()
    budget = Budget(
        work=work,
        deadline=time.monotonic() + seconds,
        cancelled=cancelled,
        progress=progress,
    )
    result = solve(problem, budget)
    spent = time.perf_counter() - start
    plan: Plan | None = None
    try:
        ordered = put_in_order(
            lay_out_all(problem, result), saws_of(job.shop), job.display
        )
        plan = write_up(job, offered, problem, result, ordered)
        faults = [str(violation) for violation in verify(plan)]
    except (InfeasibleError, ValueError) as error:
        faults = [f"it cannot be laid out: {error}"]
    faults += _contradictions(instance, result)
    bound = result.bounds[0]
    row = Row(
        name=instance.name,
        group=instance.group,
        pieces=instance.pieces,
        value=bound.value,
        lower_bound=bound.lower_bound,
        proven=bound.proven,
        seconds=round(spent, 3),
        work=result.work,
        stopped_by=result.stopped_by,
        basis=bound.basis,
        published_bound=instance.bound,
        published_best=instance.best,
        sound=not faults,
        faults=tuple(faults),
    )
    return row, plan


def _contradictions(instance: Instance, result: Result) -> list[str]:
    """Hold a result against its own bound and against what is published."""
    bound = result.bounds[0]
    missing = sum(miss.quantity for miss in result.unplaced)
    if missing:
        return [f"{missing} parts have no place"]
    found = []
    for what, least in (("its own", bound.lower_bound), ("the known", instance.bound)):
        if least is not None and bound.value < least:
            found.append(f"its value {bound.value} is below {what} bound {least}")
    optimal = instance.optimal
    if optimal is not None and bound.value < optimal:
        found.append(f"its value {bound.value} is below the optimum {optimal}")
    if optimal is not None and bound.lower_bound > optimal:
        found.append(f"its bound {bound.lower_bound} is above the optimum {optimal}")
    if bound.proven and bound.value != bound.lower_bound:
        found.append("it is called proven and leaves a gap")
    return found
