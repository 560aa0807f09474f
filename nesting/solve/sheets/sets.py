"""A bound on identical sheets that knows how many there are of each part.

Problem: d[i] parts of kind i; can m sheets give them all, cut edge to edge as deep as
one likes, m one less than the best plan known takes? Call what one sheet can give a
*set*: counts s[i] <= d[i] that can be cut from it.

Method: column generation for min sum x[s] over sets, sum s[i] x[s] >= d[i]. The duals
move from the best point known towards the program's own as far as pricing bears (the
in-out separation of Ben-Ameur & Neto, Networks 49 (2007) 3-17). Pricing finds *all*
sets worth more than a sheet: boxes are joined, two and two (Wang, Operations Research
31 (1983) 573-586), and a box is dropped where too little can go beside it (`sets_rooms`
and the fractional knapsack; the bound is that of Viswanathan & Bagchi, Operations
Research 41 (1993) 768-776, sharpened by the quantities).

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
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from nesting.model.tree import Tree
from nesting.solve.compile import mark_complete, may_compile
from nesting.solve.sheets.grid import lies_of
from nesting.solve.sheets.pattern_table import Cut, Lies, grown, taken
from nesting.solve.sheets.problem import SheetProblem, SheetStock
from nesting.solve.sheets.sets_branch import Branching
from nesting.solve.sheets.sets_dive import FEW_PARTS, Listed, SetDives
from nesting.solve.sheets.sets_master import Cover, Master, Verdict, cover
from nesting.solve.sheets.sets_start import Start
from nesting.solve.sheets.sets_states import (
    FINEST,
    MOST_WORTH,
    SET_KERNELS,
    States,
)

if TYPE_CHECKING:
    from nesting.solve.sheets.points import Line

LINEAR_BASIS: Final = "linear program over sets of parts"
SEARCH_BASIS: Final = "search: every set of parts that a sheet can give was tried"

_ONE = MOST_WORTH
"""What a sheet is worth."""
_MOST_STATES = 500_000
_ROUNDS = 400  # of column generation over all patterns
_STEPS_PER_UNIT = 400
"""Steps of a join that take about as long as an iteration of the search."""
_CELLS_PER_UNIT = 60
_TRIED_PER_UNIT = 1_000  # cells and their neighbours, of the tables of the states
_STEP = 0.3  # towards the program's duals, at first
_SHORTEST = 0.05
_QUICK = 3_000_000  # steps of one pricing without more ado
_PATIENT = 12_000_000  # and with it, at first
_FURTHER = 1.2  # goes a step after one that went too far
_LONGEST = 1_000_000_000  # and at most, and of an enumeration
_ADDED = 60  # sets of one pricing
_CLOSE = 2e-4  # sheets between the program's optimum and the bound
_FLAT = 1e-7
_SHARE = 10
"""Hundredths of its area that each kind is worth at least, the second time."""
_NODES = 20_000  # of branching for a cover
_MOST_COUNTS = 4_000_000  # sets times kinds, in a cover at all
_MOST_SETS = 20_000  # in a cover by CP-SAT
_MANY_PARTS = FEW_PARTS * 5 // 4
"""So many are worth dives."""
_LISTED = (5, 10, 15, 20, 30, 40)
"""Thousandths of a sheet that a set wastes in a list for dives, at most."""
_LISTING = 200_000_000  # steps
_ENOUGH = 5_000  # sets in it
_HEAD_START = 1_000_000  # units, of the proof
_COVER_WORK = 2.0
_COVER_UNIT = 300_000  # units of effort for one of CP-SAT's


class SetBound:
    """A bound under way, in slices of counted work.

    Parameters
    ----------
    problem
        With one kind of sheet; with several, nothing is done. Parts that do not fit it
        are left out.
    known
        A bound on the cost that is known already.
    goal
        The cost of the best plan: what is asked is whether there is a cheaper one.
    duals
        Of the linear program over all patterns, by part id, where they are known.
    seed
        Of the dives for a plan.
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
        self._seed = seed
        self._plain = plain
        self._given = (
            None
            if duals is None
            else [duals.get(part.id, 0.0) for part in self._problem.parts]
        )
        self._values: tuple[int, ...] = ()
        self._most = 1
        self._best_sheets = 0.0
        self._steps = self._run()

    def advance(self) -> int:
        """Go on for a slice; return the effort, 0 once there is nothing left to do."""
        for units in self._steps:
            self.effort += units
            return max(1, units)
        self.is_done = True
        return 0

    def _run(self) -> Iterator[int]:
        start = Start(self._problem, self._given)
        for cells in start.rounds(_ROUNDS):
            yield cells // _CELLS_PER_UNIT
        self._move(start.values(_ONE), _ONE)
        states = States(
            self._lies,
            self._wanted,
            (
                self._stock.length + self._problem.least_kerf_x,
                self._stock.width + self._problem.least_kerf_y,
            ),
            most=_MOST_STATES,
            plain=self._plain,
        )
        master = Master(self._wanted)
        for each in start.sets:
            master.add(each)
        yield from self._generate(states, master)
        goes_on = yield from self._decide(states)
        if goes_on:
            tight = self._values, self._most
            self._move(*self._mixed())
            master.keep_above([_SHARE / 100 * area / _ONE for area in self._areas()])
            yield from self._generate(states, master)
            yield from self._decide(states, *tight)

    def _decide(
        self, states: States, too: Sequence[int] | None = None, most: int = 0
    ) -> Generator[int, None, bool]:
        """Look for a plan by dives, and for a cover or the proof of none, in turns.

        Parameters and result are those of `_enumerate`.
        """
        if self.value >= self._goal:
            return False
        dives = yield from self._dives(states)
        diving = iter(()) if dives is None else dives.run()
        proof = self._enumerate(states, too, most)
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

    def _dives(self, states: States) -> Generator[int, None, SetDives | None]:
        """List the sets worth nearly a sheet, to look for a plan among them.

        A sheet that is worth less than all others may make up for is in no plan.
        """
        if self._has_runs or not self._is_whole or sum(self._wanted) < _MANY_PARTS:
            return None
        spare = self._most - self._least(self._values, self._most)
        yield states.load(self._values) // _TRIED_PER_UNIT
        for cells in states.sharpen():
            yield cells // _TRIED_PER_UNIT
        listed, spent = None, 0
        for share in _LISTED:
            least = self._most - min(spare, self._most * share // 1000)
            for steps in states.enumerate(least, _LISTING - spent):
                spent += steps
                yield steps // _STEPS_PER_UNIT
            if states.is_complete or listed is None:
                listed = self._listed(states, least)
            is_all = least == self._most - spare
            if not states.is_complete or is_all or len(listed.rows) > _ENOUGH:
                break
        if listed is None or not len(listed.rows):
            return None
        return SetDives(
            self._problem,
            self._sheets,
            listed=listed,
            valued=[value > 0 for value in self._values],
            planned=self._planned,
            seed=self._seed,
            plain=self._plain,
        )

    def _listed(self, states: States, least: int) -> Listed:
        chosen = states.found(least)
        cuts = states.cuts()
        return Listed(states.counts(chosen), lambda number: cuts(int(chosen[number])))

    # --- the linear program -----------------------------------------------------------

    def _move(self, values: Sequence[int], most: int) -> None:
        """Take over values in which no set is worth more than `most`."""
        self._values, self._most = tuple(values), most
        total = sum(v * d for v, d in zip(values, self._wanted, strict=True))
        self._best_sheets = total / most
        self._raise(-(-total // most), LINEAR_BASIS)

    def _generate(self, states: States, master: Master) -> Iterator[int]:
        """Raise the values until they are the program's duals, or are enough."""
        step, patience = _STEP, _PATIENT
        while patience <= _LONGEST and self.value < self._goal:
            duals, top = master.solve()
            if top - self._best_sheets < _CLOSE:
                return
            values = [
                int(step * _ONE * dual + (1 - step) * _ONE / self._most * old)
                for old, dual in zip(self._values, duals, strict=True)
            ]
            yield from self._price(states, values, patience)
            found = states.found(_ONE + 1)
            if states.is_complete:
                most = int(states.worths(found).max()) if len(found) else _ONE
                total = sum(v * d for v, d in zip(values, self._wanted, strict=True))
                if total / most > self._best_sheets:
                    self._move(values, most)
                step = min(1.0, step * (_FURTHER if len(found) else 2))
            else:
                step = max(_SHORTEST, step / 2)
                patience = 3 * patience // 2
            added = self._add(master, states, found, duals)
            yield 100 + 2 * master.size + len(found) // 10
            if len(found) and not added:
                return  # the duals are no better than their last digits

    def _price(
        self, states: States, values: Sequence[int], patience: int
    ) -> Iterator[int]:
        """Find sets worth more than a sheet: at once, or else with sharper tables."""
        yield states.load(values) // _TRIED_PER_UNIT
        for steps in states.enumerate(_ONE + 1, _QUICK):
            yield steps // _STEPS_PER_UNIT
        if states.is_complete or len(states.found(_ONE + 1)):
            return
        for cells in states.sharpen():
            yield cells // _TRIED_PER_UNIT
        for steps in states.enumerate(_ONE + 1, patience):
            yield steps // _STEPS_PER_UNIT

    def _add(
        self, master: Master, states: States, found: Line, duals: Sequence[float]
    ) -> int:
        """Add the sets that pay most by the duals."""
        import numpy as np

        rows = states.counts(found)
        gains = rows @ np.array(duals)
        added = 0
        for number in np.argsort(-gains, kind="stable"):
            if added == _ADDED or gains[number] <= 1 + _FLAT:
                break
            added += master.add(tuple(int(n) for n in rows[number]))
        return added

    def _raise(self, sheets: int, basis: str) -> None:
        value = sheets * self._stock.cost
        if value > self.value:
            self.value = value
            self.basis = basis

    # --- the cover --------------------------------------------------------------------

    def _enumerate(
        self, states: States, too: Sequence[int] | None = None, most: int = 0
    ) -> Generator[int, None, bool]:
        """Find all sets of a plan with few enough sheets, and try to cover with them.

        Parameters
        ----------
        states
            To find them with.
        too, most
            Other values that they have to be worth enough in, and what no set is worth
            more than in them.

        Returns
        -------
        bool
            Whether there is a cover, but only of the kinds that are worth something.
        """
        wanted = [
            d if v else 0 for v, d in zip(self._values, self._wanted, strict=True)
        ]
        least = self._least(self._values, self._most)
        least_too = 0 if too is None else self._least(too, most)
        if least <= 0:
            return False
        yield states.load(self._values, too) // _TRIED_PER_UNIT
        for cells in states.sharpen():
            yield cells // _TRIED_PER_UNIT
        for steps in states.enumerate(least, _LONGEST, least_too):
            yield steps // _STEPS_PER_UNIT
        if not states.is_complete:
            return False
        chosen = states.found(least, least_too)
        answer = yield from self._cover(states, chosen, wanted)
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

    def _cover(
        self, states: States, chosen: Line, wanted: Sequence[int]
    ) -> Generator[int, None, Cover]:
        """Cover by the sets of some states, if that can be told in some time.

        CP-SAT is asked where branching has nothing to branch on: kinds that are wanted
        more than once.
        """
        import numpy as np

        if len(chosen) * len(wanted) > _MOST_COUNTS:
            return Cover(Verdict.OPEN, (), 0.0)
        every = states.counts(chosen)
        yield 1 + len(chosen) // 10
        search = Branching(every, wanted, self._sheets)
        yield from search.run(_NODES)
        if not search.is_stuck:
            return search.cover
        is_large = np.isin(chosen, states.largest(chosen))
        if is_large.sum() > _MOST_SETS:
            return search.cover
        answer = cover(
            every[is_large].tolist(), wanted, self._sheets, most_work=_COVER_WORK
        )
        yield int(answer.work * _COVER_UNIT)
        if answer.verdict is not Verdict.FOUND:
            return answer
        times = np.zeros(len(chosen), dtype=np.int64)
        times[is_large] = answer.times
        return replace(answer, times=tuple(times.tolist()))

    def _least(self, values: Sequence[int], most: int) -> int:
        """Return what each sheet of a plan with few enough is worth at least."""
        total = sum(v * d for v, d in zip(values, self._wanted, strict=True))
        return total - (self._sheets - 1) * most

    def _areas(self) -> list[int]:
        """Return values by area, in which no set is worth more than a sheet."""
        x = self._stock.length + self._problem.least_kerf_x
        y = self._stock.width + self._problem.least_kerf_y
        return [min(a * b for a, b, _ in lies) * _ONE // (x * y) for lies in self._lies]

    def _mixed(self) -> tuple[list[int], int]:
        """Return the values mixed with areas, and what no set is worth more than."""
        rest = 100 - _SHARE
        return [
            (rest * value + _SHARE * area) // 100
            for value, area in zip(self._values, self._areas(), strict=True)
        ], (rest * self._most + _SHARE * _ONE) // 100

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
    lies: list[Lies] = [((2, 3, False), (3, 2, True)), ((1, 1, False),)]
    states = States(lies, [1, 2], (5, 5), most=100)
    states.load([3, 1])
    for _ in states.enumerate(1, 1_000):
        pass
    states.largest(states.found(1))
    if may_compile():
        mark_complete(SET_KERNELS)
