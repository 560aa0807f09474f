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

from collections.abc import Generator, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import replace
from typing import Final

from nesting.model.tree import Tree
from nesting.solve.compile import mark_complete, may_compile
from nesting.solve.sheets.grid import lies_of
from nesting.solve.sheets.pattern_table import Cut, Lies, grown, taken
from nesting.solve.sheets.problem import SheetProblem, SheetStock
from nesting.solve.sheets.sets_branch import Branching
from nesting.solve.sheets.sets_cover import cover_by
from nesting.solve.sheets.sets_dive import SetDives
from nesting.solve.sheets.sets_hunt import MANY_PARTS, MANY_SHEETS, SetHunt
from nesting.solve.sheets.sets_list import list_sets
from nesting.solve.sheets.sets_master import Master, Verdict
from nesting.solve.sheets.sets_seen import Notes
from nesting.solve.sheets.sets_short import prove_short
from nesting.solve.sheets.sets_start import Start
from nesting.solve.sheets.sets_states import (
    FINEST,
    SET_KERNELS,
    STEPS_PER_UNIT,
    TRIED_PER_UNIT,
    States,
)
from nesting.solve.sheets.sets_values import LONGEST, ONE, SetValues

LINEAR_BASIS: Final = "linear program over sets of parts"
SEARCH_BASIS: Final = "search: every set of parts that a sheet can give was tried"

_MANY = 10
"""Parts to a sheet: with more there are too many sets for a bound or a plan."""
_MOST_STATES = 500_000
_ROUNDS = 400  # of column generation over all patterns
_CELLS_PER_UNIT = 30
_ROUND = 250  # units of such a round, beside the cells
_SHARE = 10
"""Hundredths of its area that each kind is worth at least, the second time."""
_HEAD_START = 1_000_000  # units, of the proof
_OVER = -1
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
        self.plan: tuple[tuple[str, Tree], ...] | None = None
        """A plan that costs less than the goal: (stock id, tree over usable area)."""
        self.hint: tuple[tuple[str, Tree], ...] | None = None
        """As few sheets, with all but parts that are worth nothing to the bound."""
        self.is_done = False
        self.effort = 0
        """In iterations of the search, about."""
        self._goal = goal
        self._steps: Iterator[int] = iter(())
        self._hunt: SetHunt | None = None
        self._tries: States | None = None
        self._is_late = False
        """Whether the proof is at its second, less likely way."""
        self._notes = notes
        self._has_runs = problem.has_runs
        problem = problem.apart()
        stock = [each for each in problem.stock if each.limit != 0]
        if len(stock) != 1 or stock[0].cost < 1 or known >= goal:
            return
        lies = _lies(problem, stock[0])
        self._problem = replace(
            problem,
            parts=tuple(part for part in problem.parts if part.id in lies),
            stock=(stock[0],),
        )
        if not lies:
            return
        self._is_whole = all(part.id in lies for part in problem.parts if part.quantity)
        self._stock = stock[0]
        self._lies = [lies[part.id] for part in self._problem.parts]
        self._wanted = [part.quantity for part in self._problem.parts]
        self._sheets = -(-goal // self._stock.cost) - 1
        """Few enough to cost less than the goal."""
        if stock[0].limit is not None and stock[0].limit < self._sheets:
            return
        if sum(self._wanted) > _MANY * self._sheets:
            return
        self._seed = seed
        self._plain = plain
        self._given = (
            None
            if duals is None
            else [duals.get(part.id, 0.0) for part in self._problem.parts]
        )
        self._steps = self._run()

    def advance(self) -> int:
        """Go on for a slice; return the effort, 0 once there is nothing left to do."""
        for units in self._steps:
            self.effort += units
            return max(1, units)
        self.is_done = True
        return 0

    def _run(self) -> Iterator[int]:
        """Prove and hunt in turns: for so much of the one, so much of the other."""
        hunt = self._hunt = self._begun_hunt()
        proof = self._prove()
        hunting = iter(()) if hunt is None else hunt.run()
        is_proving, is_hunting = True, hunt is not None
        ahead = 0  # of the hunt
        due = 1  # rounds of the hunt, before the next try
        while is_proving or is_hunting:
            if hunt is None or not is_hunting or (is_proving and ahead <= 0):
                units = next(proof, _OVER)
                is_proving = units != _OVER
                ahead += max(0, units) * (_HUNT_LATE if self._is_late else _HUNT)
            else:
                units = next(hunting, _OVER)
                is_hunting = units != _OVER
                ahead -= max(0, units) * (_PROOF_SHORT if hunt.is_short else 1)
                self.plan = hunt.plan
                if hunt.is_short and hunt.rounds >= due:
                    due = _TRIED_AGAIN * hunt.rounds
                    yield from self._try(hunt)
            yield max(0, units)
            if self.plan or self.value >= self._goal:
                return

    def _try(self, hunt: SetHunt) -> Iterator[int]:
        """Look for the proof that there is no plan, by the sets that were met."""
        if self._tries is None:
            self._tries = self._states()
        if (
            yield from prove_short(
                self._tries,
                hunt.rows,
                self._wanted,
                self._sheets,
                patience=_PATIENT,
                found=hunt.take_in,
                plain=self._plain,
            )
        ):
            self._raise(self._sheets + 1, LINEAR_BASIS)

    def _states(self) -> States:
        return States(
            self._lies,
            self._wanted,
            (
                self._stock.length + self._problem.least_kerf_x,
                self._stock.width + self._problem.least_kerf_y,
            ),
            most=_MOST_STATES,
            plain=self._plain,
        )

    def _begun_hunt(self) -> SetHunt | None:
        if not self._may_dive or self._sheets < MANY_SHEETS:
            return None
        return SetHunt(
            self._problem,
            self._sheets,
            worths=self._areas(),
            most=ONE,
            planned=self._planned,
            notes=self._notes,
            seed=self._seed,
            plain=self._plain,
        )

    @property
    def _may_dive(self) -> bool:
        is_large = sum(self._wanted) >= MANY_PARTS
        return is_large and self._is_whole and not self._has_runs

    def _turn_to(self, worths: Sequence[int], most: int) -> None:
        """Let the hunt go by what parts are worth now."""
        if self._hunt is not None:
            self._hunt.turn_to(worths, most)

    def _prove(self) -> Iterator[int]:
        """Look for a proof that there is no plan, and for one on the way."""
        start = Start(self._problem, self._given)
        for cells in start.rounds(_ROUNDS):
            yield _ROUND + cells // _CELLS_PER_UNIT
        self._turn_to(start.values(ONE), ONE)
        states = self._states()
        master = Master(self._wanted)
        for each in start.sets:
            master.add(each)
        values = SetValues(states, master, self._wanted, start.values(ONE))
        yield from self._generate(values)
        self._turn_to(values.worths, values.most)
        if (yield from self._decide(states, values)):
            self._is_late = True
            tight = copy(values)
            values.mix(self._areas(), _SHARE)
            yield from self._generate(values)
            yield from self._decide(states, values, tight)

    def _decide(
        self, states: States, values: SetValues, too: SetValues | None = None
    ) -> Generator[int, None, bool]:
        """Look for a plan by dives, and for a cover or the proof of none, in turns.

        Parameters and result are those of `_enumerate`.
        """
        if self.value >= self._goal:
            return False
        dives = yield from self._dives(states, values)
        diving = iter(()) if dives is None else dives.run()
        proof = self._enumerate(states, values, too)
        ahead = _HEAD_START  # of the dives
        is_proving = is_diving = True
        while (is_proving or is_diving) and not self.plan and self.value < self._goal:
            if is_proving and (ahead > 0 or not is_diving):
                try:
                    units = next(proof)
                except StopIteration as end:
                    if end.value:
                        return True
                    is_proving = False
                    continue
                ahead -= units
            else:
                units = next(diving, 0)
                ahead += units
                is_diving = units > 0
                if dives is not None and dives.plan is not None:
                    self.plan = dives.plan
            yield units
        return False

    def _dives(
        self, states: States, values: SetValues
    ) -> Generator[int, None, SetDives | None]:
        """List the sets worth nearly a sheet, to look for a plan among them.

        A sheet that is worth less than all others may make up for is in no plan.
        """
        if not self._may_dive:
            return None
        spare = values.most - values.least(self._sheets)
        listed = yield from list_sets(states, values.worths, values.most, spare)
        if not len(listed.rows):
            return None
        return SetDives(
            self._problem,
            self._sheets,
            listed=listed,
            valued=[worth > 0 for worth in values.worths],
            planned=self._planned,
            seed=self._seed,
            plain=self._plain,
        )

    def _generate(self, values: SetValues) -> Iterator[int]:
        """Raise the values, and the bound with them."""
        for units in values.rise(self._sheets + 1):
            self._raise(values.whole_sheets, LINEAR_BASIS)
            yield units
        self._raise(values.whole_sheets, LINEAR_BASIS)

    def _raise(self, sheets: int, basis: str) -> None:
        value = sheets * self._stock.cost
        if value > self.value:
            self.value = value
            self.basis = basis

    def _enumerate(
        self, states: States, values: SetValues, too: SetValues | None
    ) -> Generator[int, None, bool]:
        """Find all sets of a plan with few enough sheets, and try to cover with them.

        Parameters
        ----------
        states
            To find them with.
        values
            That they have to be worth enough in.
        too
            Others, likewise.

        Returns
        -------
        bool
            Whether there is a cover, but only of the kinds that are worth something.
        """
        wanted = [
            d if worth else 0
            for worth, d in zip(values.worths, self._wanted, strict=True)
        ]
        least = values.least(self._sheets)
        least_too = 0 if too is None else too.least(self._sheets)
        if least <= 0:
            return False
        for cells in states.prepare(values.worths, None if too is None else too.worths):
            yield cells // TRIED_PER_UNIT
        for steps in states.enumerate(least, LONGEST, least_too):
            yield steps // STEPS_PER_UNIT
        if not states.is_complete:
            return False
        chosen = states.found(least, least_too)
        answer = yield from cover_by(states, chosen, wanted, self._sheets)
        if answer.verdict is Verdict.NONE:
            self._raise(self._sheets + 1, SEARCH_BASIS)
        if answer.verdict is not Verdict.FOUND:
            return False
        cuts = [
            states.cut(int(state))
            for state, times in zip(chosen, answer.times, strict=True)
            for _ in range(times)
        ]
        if wanted == self._wanted and self._is_whole:
            self.plan = self._planned(cuts)
        else:
            self.hint = self._planned(cuts)
        return wanted != self._wanted

    def _areas(self) -> list[int]:
        """Return values by area, in which no set is worth more than a sheet."""
        x = self._stock.length + self._problem.least_kerf_x
        y = self._stock.width + self._problem.least_kerf_y
        return [min(a * b for a, b, _ in lies) * ONE // (x * y) for lies in self._lies]

    def _planned(self, cuts: Sequence[Cut]) -> tuple[tuple[str, Tree], ...] | None:
        """Return trees that hold each part as often as it is wanted."""
        if self._has_runs:
            return None  # sets know nothing of runs
        left = list(self._wanted)
        ids = [part.id for part in self._problem.parts]
        sizes = [(part.length, part.width) for part in self._problem.parts]
        kerfs = (self._problem.kerf_x, self._problem.kerf_y)
        trees = []
        for cut in cuts:
            kept = taken(cut, left)
            if kept is None:
                continue
            tree, (x, y) = grown(kept, ids, sizes, kerfs)
            if x > self._stock.length or y > self._stock.width:
                return None  # by the widest kerf
            trees.append((self._stock.id, tree))
        return tuple(trees)


def _lies(problem: SheetProblem, stock: SheetStock) -> dict[str, Lies]:
    """Return how the parts may lie that fit and are not too small for the grid."""
    kerfs = (problem.least_kerf_x, problem.least_kerf_y)
    sheet = (stock.length + kerfs[0], stock.width + kerfs[1])
    found = {}
    for part in problem.parts:
        lies = tuple(
            lie
            for lie in lies_of(part, stock.grain_along_length, kerfs)
            if lie[0] <= sheet[0] and lie[1] <= sheet[1]
        )
        if part.quantity and lies:
            found[part.id] = lies
    small = {
        part
        for part, lies in found.items()
        if any(FINEST * lie[axis] < sheet[axis] for lie in lies for axis in (0, 1))
    }
    return {part: lies for part, lies in found.items() if part not in small}


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
