"""The same job cut in another way: simpler to cut, or with more of it worth keeping.

The cheapest plan comes first. Then the sheets of each material are laid out again
(`solve.lay_out_again`): for the same money with fewer settings, for one sheet more with
fewer still, and for the same money with larger offcuts. Lumber stays as it is; there
the blanks leave nothing to choose. A way is offered only where it trades something for
something; what is worse in nothing takes the place of what is worse in something.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.model.blank import Need
from nesting.model.job import Job
from nesting.model.plan import Plan, PlanWay
from nesting.model.problem import Budget
from nesting.model.quantities import write_money
from nesting.model.result import Result
from nesting.model.terms import Fate, Form, Prefer, StoppedBy
from nesting.pipeline.advice import before_advice
from nesting.pipeline.day import Day, begin, check
from nesting.pipeline.one_material import only
from nesting.pipeline.write_up import chosen_needs
from nesting.sequence import Ordered
from nesting.solve import Again, lay_out_again
from nesting.units import Ticks, write_length

CHEAPEST = "cheapest"
SIMPLER = "simpler"
SIMPLEST = "simplest"
ROOMIEST = "roomiest"
NAMES = (CHEAPEST, SIMPLER, SIMPLEST, ROOMIEST)
"""At most three of them are told of a job."""

_FIRST = 0.6
"""The share of the time that the cheapest plan may take."""
_FEWER = 2
"""So many changes of setting less are worth telling."""
_WORTH_A_SHEET = (9, 10)
"""One sheet more should leave at most this share of the changes."""
_LARGER = (11, 10)
"""A larger offcut is worth telling from here on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A result with its cuts in order, and what speaks for it."""

    result: Result
    ordered: Ordered

    @property
    def changes(self) -> int:
        """How often something is set."""
        return self.ordered.order.changes

    @property
    def kept(self) -> dict[str, tuple[Ticks, Ticks]]:
        """Length and width of the largest offcut of each sheet material."""
        found: dict[str, tuple[Ticks, Ticks]] = {}
        for layout in self.ordered.layouts:
            for piece in layout.pieces:
                if layout.form == Form.SHEET and piece.fate == Fate.OFFCUT:
                    size = (piece.length, piece.width)
                    other = found.get(layout.material, (0, 0))
                    found[layout.material] = max(size, other, key=_area)
        return found

    @property
    def largest(self) -> tuple[Ticks, Ticks]:
        """Length and width of the largest of these."""
        return max(self.kept.values(), key=_area, default=(0, 0))


def plan_ways(
    job: Job,
    *,
    seed: int = 0,
    budget: Budget | None = None,
    leave_out: bool = False,
    take: str = CHEAPEST,
) -> tuple[Plan, ...]:
    """Plan a job in up to three ways.

    Parameters
    ----------
    job, seed, budget, leave_out
        As `plan_job` takes them; what is to be known at the store is added.
    take
        The name of the way to be taken; where there is none of that name it is the
        cheapest, which then says so.

    Returns
    -------
    tuple of Plan
        Verified; the one that is taken first. Each tells of all of them in its `ways`,
        if there are several.

    Raises
    ------
    InputError, InfeasibleError, VerificationError
        As `plan_job` does.
    """
    budget = budget or Budget()
    day = begin(job, seed=seed)
    rest = before_advice(budget)
    result = day.solve(_first(rest), leave_out=leave_out)
    first = Draft(result=result, ordered=day.in_order(result))
    ways = _Ways(day, first, rest)
    drafts = ways.drafts()
    plans = {
        name: day.write_up(draft.result, draft.ordered)
        for name, draft in drafts.items()
    }
    if ways.ended is not None:
        for name, plan in plans.items():
            made_by = replace(plan.made_by, stopped_by=ways.ended)
            plans[name] = replace(plan, made_by=made_by)
    taken = take if take in plans else CHEAPEST
    plans[taken] = day.advise(plans[taken], drafts[taken].result, budget)
    if taken != take:
        plans[taken] = replace(
            plans[taken],
            warnings=(*plans[taken].warnings, f"no {take} way was found to take"),
        )
    if len(plans) > 1:
        told = [_told(name, plans, drafts) for name in plans]
        for name, plan in plans.items():
            all_ways = tuple(replace(way, taken=way.name == name) for way in told)
            plans[name] = replace(plan, ways=all_ways)
    for plan in plans.values():
        check(plan)
    return (plans.pop(taken), *plans.values())


def _first(budget: Budget) -> Budget:
    if budget.deadline is None:
        return budget
    there = max(0.0, budget.deadline - time.monotonic())
    return replace(budget, deadline=budget.deadline - (1 - _FIRST) * there)


class _Ways:
    """The search for other ways, after the first."""

    def __init__(self, day: Day, first: Draft, budget: Budget) -> None:
        self.day = day
        self.first = first
        self.budget = budget.quiet()
        self.needs: tuple[Need, ...] = chosen_needs(day.problem, first.result)
        stock = {each.id: each for each in day.problem.stock}
        self.ended: StoppedBy | None = None
        """What ended the search for ways before it was done, if anything did."""
        self.known: dict[tuple[str, bool, Prefer], list[Again]] = {}
        self.used: dict[str, list[str]] = {}
        for tree in first.result.trees:
            if stock[tree.stock].form is Form.SHEET:
                self.used.setdefault(stock[tree.stock].material, []).append(tree.stock)

    def drafts(self) -> dict[str, Draft]:
        """Return every way that is worth telling, by its name."""
        found = {CHEAPEST: self.first}
        if self.first.result.unplaced or not self.used:
            return found
        found |= self._simple()
        if self.day.problem.prefer is not Prefer.OFFCUTS:
            roomy = self._again(dict.fromkeys(self.used, False), Prefer.OFFCUTS)
            if roomy is not None and _is_roomier(roomy, self.first):
                found[ROOMIEST] = roomy
        for name in (SIMPLER, SIMPLEST):
            if name in found and _is_no_worse(found[name], self.first):
                found[CHEAPEST] = found.pop(name)
                break
        return found

    def _simple(self) -> dict[str, Draft]:
        """Return the ways with fewer changes: for the same stock, for a sheet more."""
        prefer = Prefer.SETTINGS
        base = self._again(dict.fromkeys(self.used, False), prefer)
        if base is None or base.changes > self.first.changes:
            base = self.first
        best = base
        for name in self._several():
            more = self._again({each: each == name for each in self.used}, prefer)
            if more is not None and more.changes < best.changes:
                best = more
        part, whole = _WORTH_A_SHEET
        if whole * best.changes > part * base.changes:
            best = base
        found = {}
        if best.changes + _FEWER <= self.first.changes:
            found[SIMPLEST] = best
        is_between = best.changes + _FEWER <= base.changes
        if is_between and base.changes + _FEWER <= self.first.changes:
            found = {SIMPLER: base, **found}
        return found

    def _several(self) -> Iterator[str]:
        """Yield the materials of which there are several sheets, most first."""
        for name, used in sorted(
            self.used.items(), key=lambda each: (-len(each[1]), each[0])
        ):
            if len(used) > 1:
                yield name

    def _again(self, more: Mapping[str, bool], prefer: Prefer) -> Draft | None:
        """Return the job with its sheets laid out again; None where nothing is new."""
        best: Draft | None = None
        for name, one_more in more.items():
            found = self._material(name, one_more=one_more, prefer=prefer)
            if prefer is not Prefer.SETTINGS:
                found = found[:1]
            before = self.first if best is None else best
            results = [
                _with(before.result, name, each, self.used[name]) for each in found
            ]
            drafts = [
                Draft(result=result, ordered=self.day.in_order(result))
                for result in results
            ]
            best = min(drafts, key=lambda each: each.changes, default=best)
        return best

    def _material(self, name: str, *, one_more: bool, prefer: Prefer) -> list[Again]:
        """Lay the sheets of one material out again, unless that has been done."""
        key = (name, one_more, prefer)
        if key not in self.known:
            self.known[key] = lay_out_again(
                only(self.day.problem, self.needs, name),
                self.used[name],
                prefer=prefer,
                one_more=one_more,
                budget=self.budget,
            )
            self.ended = self.ended or self._late()
        return self.known[key]

    def _late(self) -> StoppedBy | None:
        """Return what ended a search just now, if it was not its work."""
        if self.budget.cancelled():
            return StoppedBy.CANCELLED
        end = self.budget.deadline
        late = end is not None and time.monotonic() >= end
        return StoppedBy.CLOCK if late else None


def _with(result: Result, material: str, found: Again, used: Sequence[str]) -> Result:
    """Return a result with other sheets of one material, in the place of the first."""
    names = set(used)
    at = next(n for n, tree in enumerate(result.trees) if tree.stock in names)
    trees = [tree for tree in result.trees if tree.stock not in names]
    bounds = (
        replace(bound, value=found.value, proven=found.value == bound.lower_bound)
        if bound.material == material
        else bound
        for bound in result.bounds
    )
    return replace(
        result, trees=(*trees[:at], *found.trees, *trees[at:]), bounds=tuple(bounds)
    )


def _area(size: tuple[Ticks, Ticks]) -> tuple[int, tuple[Ticks, Ticks]]:
    return size[0] * size[1], size


def _is_roomier(draft: Draft, other: Draft) -> bool:
    """Tell whether the largest offcuts of all materials are clearly larger together."""
    areas = [
        sum(length * width for length, width in each.kept.values())
        for each in (draft, other)
    ]
    times, parts = _LARGER
    return parts * areas[0] > times * areas[1]


def _less_room(draft: Draft, other: Draft) -> list[str]:
    """Return the materials of which the largest offcut is smaller than in another."""
    return [
        name
        for name, size in other.kept.items()
        if _area(draft.kept.get(name, (0, 0)))[0] < _area(size)[0]
    ]


def _is_no_worse(draft: Draft, other: Draft) -> bool:
    """Tell whether a way is at least as good in all that is told of it."""
    return (
        all(
            one.value <= two.value
            for one, two in zip(draft.result.bounds, other.result.bounds, strict=True)
        )
        and draft.changes <= other.changes
        and not _less_room(draft, other)
    )


def _told(name: str, plans: Mapping[str, Plan], drafts: Mapping[str, Draft]) -> PlanWay:
    """Return what a way comes to, and what speaks for it."""
    plan, draft = plans[name], drafts[name]
    length, width = draft.largest
    return PlanWay(
        name=name,
        taken=False,
        cost_cents=plan.totals.cost_cents,
        layouts=plan.totals.layouts,
        cuts=plan.totals.cuts,
        changes=draft.changes,
        largest_length=length,
        largest_width=width,
        minutes=plan.minutes,
        why=_why(name, plan, drafts, plans[CHEAPEST]),
    )


def _why(name: str, plan: Plan, drafts: Mapping[str, Draft], cheapest: Plan) -> str:
    if name == CHEAPEST:
        return "nothing that was found costs less"
    fewer = drafts[CHEAPEST].changes - drafts[name].changes
    more = plan.totals.cost_cents - cheapest.totals.cost_cents
    sheets = plan.totals.layouts - cheapest.totals.layouts
    if name != ROOMIEST:
        costs = "for the same stock"
        if sheets > 0 or more > 0:
            what = ["one more sheet"] if sheets > 0 else []
            what += [write_money(more, plan.job.currency)] if more > 0 else []
            costs = f"for {', '.join(what)}"
        less = _less_room(drafts[name], drafts[CHEAPEST])
        smaller = f"; smaller offcuts of {' and '.join(less)}" if less else ""
        return f"{fewer} settings fewer, {costs}{smaller}"
    sizes = (write_length(size, plan.job.display) for size in drafts[name].largest)
    return f"leaves {' x '.join(sizes)} in one piece"
