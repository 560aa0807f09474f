"""A bound on identical sheets that knows how many there are of each part.

Problem: d[i] parts of kind i; can m sheets give them all, cut edge to edge as deep as
one likes, m one less than the best plan known takes? Call what one sheet can give a
*set*: counts s[i] <= d[i] that can be cut from it.

Method: column generation (`sets_values`) for min sum x[s] over sets, with
sum s[i] x[s] >= d[i]. The duals move from the best point known towards the program's
own as far as pricing bears (the in-out separation of Ben-Ameur & Neto, Networks 49
(2007) 3-17). Pricing finds *all* sets worth more than a sheet: boxes are joined, two
and two (Wang, Operations Research 31 (1983) 573-586), and a box is dropped where too
little can go beside it (`sets_rooms` and the fractional knapsack; the bound is that of
Viswanathan & Bagchi, Operations Research 41 (1993) 768-776, sharpened by the
quantities). In turns with the proof, dives look for a plan (`sets_list`, `sets_dive`),
and so does a hunt among sheets that a search goes through (`sets_hunt`); where these
are too few by far, they are the beginning of another proof (`sets_short`).

Guarantee. Let v be whole numbers, f the most that a set is worth in them.

* If v.d > m f, no m sheets give all parts. f is known where an enumeration from a
  threshold on was complete: it is the greatest worth found, or below the threshold.
* Else let v.d <= m f. In a plan of m sheets, cut down to exactly d, every sheet has a
  set worth at least v.d - (m - 1) f. If all of those are known and no m of them cover
  the kinds with v[i] > 0, which `sets_branch` or CP-SAT decides in whole numbers, there
  is no plan.

Kinds with v[i] = 0 are left out of the sets, which can only help a plan. Where a cover
is found all the same, duals are looked for once more that are no less than a share of
the areas, and the sets have to be worth enough in both. A cover of all kinds is a plan.

Sets are looked for among the states of `sets_join`; the tables of `sets_rooms` leave
out the part that a state has used up (`States.sharpen`), which is what tells them from
patterns without limits. The tables are on a grid that only ever gives room, the
kerfs are the least; stages and the reach of saws are left out. So the bound holds under
all of these, and a plan has to be laid out before it is believed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from nesting.solve.compile import mark_complete, may_compile
from nesting.solve.sheets.pattern_table import Lies
from nesting.solve.sheets.problem import SheetProblem, Sheets
from nesting.solve.sheets.sets_asked import Asked, asked_of
from nesting.solve.sheets.sets_branch import Branching
from nesting.solve.sheets.sets_hunt import MANY_SHEETS, SetHunt
from nesting.solve.sheets.sets_proof import LINEAR_BASIS, SetProof
from nesting.solve.sheets.sets_seen import Notes
from nesting.solve.sheets.sets_short import prove_short
from nesting.solve.sheets.sets_states import SET_KERNELS, States
from nesting.solve.sheets.sets_values import ONE

_OVER: Final = -1
_HUNT = 2  # units of the hunt for one of the proof
_HUNT_LATE = 10  # likewise, at its second way
_PATIENT = 200_000_000
"""Steps of a search for all sets that are worth enough, in a try."""
_TRIED_AGAIN = 2  # times as many rounds later
_PROOF_SHORT = 4  # times as much proof, while the sets met are far from a plan


class SetBound:
    """A bound under way, in slices of counted work.

    Parameters
    ----------
    problem
        With one kind of sheet, and not many parts to a sheet; else nothing is done.
        Parts that do not fit are left out.
    known
        A bound on the cost that is known already.
    goal
        The cost of the best plan: what is asked is whether there is a cheaper one.
    duals
        Of the linear program over all patterns, by part id, where they are known.
    notes
        Of a search for the same plan, if there is one.
    seed
        Of what looks for a plan here.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(
        self,
        problem: SheetProblem,
        *,
        known: int,
        goal: int,
        duals: Mapping[str, float] | None = None,
        notes: Notes | None = None,
        seed: int = 0,
        plain: bool = False,
    ) -> None:
        self.value = known
        """A cost that no plan goes below."""
        self.basis = ""
        """How the value was found, in words; empty where it is what was known."""
        self.plan: Sheets | None = None
        """A plan that costs less than the goal: (stock id, tree over usable area)."""
        self.hint: Sheets | None = None
        """As few sheets, with all but parts that are worth nothing to the bound."""
        self.is_done = False
        self.effort = 0
        """In iterations of the search, about."""
        self._goal = goal
        self._tries: States | None = None
        self._steps: Iterator[int] = iter(())
        if known >= goal:
            return
        asked = asked_of(problem, goal=goal, seed=seed, plain=plain)
        if asked is not None:
            self._steps = self._run(asked, duals, notes)

    def advance(self) -> int:
        """Go on for a slice; return the effort, 0 once there is nothing left to do."""
        for units in self._steps:
            self.effort += units
            return max(1, units)
        self.is_done = True
        return 0

    def _run(
        self, asked: Asked, duals: Mapping[str, float] | None, notes: Notes | None
    ) -> Iterator[int]:
        """Prove and hunt in turns: for so much of the one, so much of the other."""
        hunt = _begun_hunt(asked, notes)
        proof = SetProof(
            asked,
            duals=None
            if duals is None
            else [duals.get(part.id, 0.0) for part in asked.problem.parts],
            turn_to=(lambda worths, most: None) if hunt is None else hunt.turn_to,
        )
        proving = proof.run()
        hunting = iter(()) if hunt is None else hunt.run()
        is_proving, is_hunting = True, hunt is not None
        ahead = 0  # of the hunt
        due = 1  # rounds of the hunt, before the next try
        while is_proving or is_hunting:
            if hunt is None or not is_hunting or (is_proving and ahead <= 0):
                units = next(proving, _OVER)
                is_proving = units != _OVER
                ahead += max(0, units) * (_HUNT_LATE if proof.is_late else _HUNT)
                self._raise(asked, proof.least, proof.basis)
                self.plan, self.hint = proof.plan, proof.hint
            else:
                units = next(hunting, _OVER)
                is_hunting = units != _OVER
                ahead -= max(0, units) * (_PROOF_SHORT if hunt.is_short else 1)
                self.plan = hunt.plan
                if hunt.is_short and hunt.rounds >= due:
                    due = _TRIED_AGAIN * hunt.rounds
                    yield from self._try(asked, hunt)
            yield max(0, units)
            if self.plan or self.value >= self._goal:
                return

    def _try(self, asked: Asked, hunt: SetHunt) -> Iterator[int]:
        """Look for the proof that there is no plan, by the sets that were met."""
        if self._tries is None:
            self._tries = asked.states()
        if (
            yield from prove_short(
                self._tries,
                hunt.rows,
                asked.wanted,
                asked.sheets,
                patience=_PATIENT,
                found=hunt.take_in,
                plain=asked.plain,
            )
        ):
            self._raise(asked, asked.sheets + 1, LINEAR_BASIS)

    def _raise(self, asked: Asked, sheets: int, basis: str) -> None:
        value = sheets * asked.stock.cost
        if value > self.value:
            self.value = value
            self.basis = basis


def _begun_hunt(asked: Asked, notes: Notes | None) -> SetHunt | None:
    if not asked.may_dive or asked.sheets < MANY_SHEETS:
        return None
    return SetHunt(
        asked.problem,
        asked.sheets,
        worths=asked.areas(),
        most=ONE,
        planned=asked.planned,
        notes=notes,
        seed=asked.seed,
        plain=asked.plain,
    )


def prepare_sets() -> None:
    """Compile the kernels for good, by sets that take no time."""
    import numpy as np

    lies: list[Lies] = [((2, 3, False), (3, 2, True)), ((1, 1, False),)]
    states = States(lies, [1, 2], (5, 5), most=100)
    states.load([3, 1])
    for _ in states.enumerate(1, 1_000):
        pass
    states.largest(states.found(1))
    for _ in Branching(np.array([[1, 0], [0, 2]]), [1, 2], 2).run(1):
        pass
    if may_compile():
        mark_complete(SET_KERNELS)
