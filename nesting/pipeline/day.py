"""From a job to a verified plan, in the order of the workshop day.

Mill (what blanks do the parts need?), solve (what stock, cut how?), lay out (where does
the saw go?), put in order (which cut is next?), write up, and check the whole before
anyone sees it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nesting.errors import InfeasibleError, VerificationError
from nesting.milling import Offered, offer
from nesting.model.job import Job
from nesting.model.plan import Plan
from nesting.model.problem import Budget, Problem
from nesting.model.result import Result
from nesting.pipeline.advice import advise, before_advice
from nesting.pipeline.shop_record import mill_of, saws_of
from nesting.pipeline.write_up import chosen_needs, write_up
from nesting.sequence import Ordered, put_in_order
from nesting.solve import lay_out_all, settle_forms, solve
from nesting.verify import verify


def plan_job(
    job: Job,
    *,
    seed: int = 0,
    budget: Budget | None = None,
    leave_out: bool = False,
    advice: bool = False,
) -> Plan:
    """Plan a whole job and check the plan.

    Parameters
    ----------
    job
        What the maker brings.
    seed
        For the searches; the same job, seed and work give the same plan.
    budget
        How long the searches may go on; the default counts work only.
    leave_out
        Whether a plan may leave parts unplaced, listing them.
    advice
        Whether to add what to know at the store, which takes a second or two.

    Returns
    -------
    Plan
        Verified.

    Raises
    ------
    InputError
        Where a part cannot be made of its material.
    InfeasibleError
        Where parts stay unplaced and `leave_out` is false; names them.
    VerificationError
        Where the plan breaks a rule: a fault of this program.
    """
    budget = budget or Budget()
    day = begin(job, seed=seed)
    result = day.solve(before_advice(budget) if advice else budget, leave_out=leave_out)
    plan = day.write_up(result, day.in_order(result))
    if advice:
        plan = day.advise(plan, result, budget)
    check(plan)
    return plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A job, with what milling offers for it and what the solver is asked."""

    job: Job
    offered: Offered
    problem: Problem

    def solve(self, budget: Budget, *, leave_out: bool) -> Result:
        """Return the solver's result; raise where parts are left that must not be."""
        result = solve(self.problem, budget)
        if result.unplaced and not leave_out:
            raise _not_all_placed(self.problem, result)
        return result

    def in_order(self, result: Result) -> Ordered:
        """Lay every tree of a result out, and put the cuts in order."""
        layouts = lay_out_all(self.problem, result)
        return put_in_order(layouts, saws_of(self.job.shop), self.job.display)

    def write_up(self, result: Result, ordered: Ordered) -> Plan:
        """Return the plan, not yet checked."""
        return write_up(self.job, self.offered, self.problem, result, ordered)

    def advise(self, plan: Plan, result: Result, budget: Budget) -> Plan:
        """Return the plan with what to know at the store."""
        found = advise(
            self.problem,
            chosen_needs(self.problem, result),
            plan.purchases,
            [tree.stock for tree in result.trees],
            self.job.materials,
            budget,
        )
        return replace(plan, advice=found)


def begin(job: Job, *, seed: int) -> Day:
    """Mill on paper: find what blanks the parts need, and of what they can be cut."""
    offered = offer(job.parts, job.materials, mill_of(job))
    problem = settle_forms(
        Problem(
            stock=tuple(stock for made in job.materials for stock in made.stock),
            needs=offered.needs,
            saws=job.shop.saws,
            stages=job.stages,
            offcuts=job.offcuts,
            prefer=job.prefer,
            longest_rough=job.shop.longest_rough,
            haul=job.shop.haul,
            haul_sheet=job.shop.haul_sheet,
            seed=seed,
            runs=offered.runs,
        )
    )
    return Day(job=job, offered=offered, problem=problem)


def check(plan: Plan) -> None:
    """Raise `VerificationError` where a plan breaks a rule."""
    violations = verify(plan)
    if violations:
        lines = "\n".join(f"  {violation}" for violation in violations[:20])
        message = (
            "the plan did not pass its own check, so nothing was written; this is a "
            f"fault of the program, not of your job:\n{lines}"
        )
        raise VerificationError(message, violations=violations)


def _not_all_placed(problem: Problem, result: Result) -> InfeasibleError:
    blanks = problem.blanks
    reasons: dict[str, list[str]] = {}
    parts: list[str] = []
    for miss in result.unplaced:
        part = blanks[miss.blank].part
        parts.append(part)
        reasons.setdefault(miss.why, []).append(f"{miss.quantity} x {part}")
    lines = [f"  {', '.join(names)}: {why}" for why, names in reasons.items()]
    lines += [f"  {note}" for note in result.notes]
    message = "these parts cannot be placed, so nothing was written:\n" + "\n".join(
        lines
    )
    return InfeasibleError(message, parts=tuple(dict.fromkeys(parts)))
