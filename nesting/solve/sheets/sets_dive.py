"""Whole plans out of sets of parts: dives through them, which the search ends.

Problem: as in `sets`; m sheets are to give all parts, and the linear program over sets
leaves it open whether they can.

Method: the sets worth nearly a sheet are listed. A dive solves the linear program over
those, full sheets being a little cheaper, cuts some sheets of its optimum, drawn by the
squares of the fractions, solves it for the parts left, and so on, as long as the sheets
left may still do; where they may not, a sheet is put back and others drawn. What sets
are worth is what is scarce, and sheets cut first waste next to nothing of it: so the
last parts have nearly all the room to spare. There are few of them, and the search of
`engine` places them all at once, with the parts that are worth nothing.

Guarantee: none. A plan that is told of holds every part.

References
----------
Joncour, Michel, Sadykov, Sverdlov & Vanderbeck, Column generation based primal
heuristics, Electronic Notes in Discrete Mathematics 36 (2010) 695-702.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from nesting.solve.kernel import MODULUS, draw, seeded
from nesting.solve.sheets.finish import finish
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.pattern_table import Cut
from nesting.solve.sheets.plant import trees_of
from nesting.solve.sheets.points import line_of
from nesting.solve.sheets.problem import SheetProblem, Sheets
from nesting.solve.sheets.replant import forest_of, keeps_rules
from nesting.solve.sheets.sets_master import Master
from nesting.solve.sheets.sets_seen import Listed

if TYPE_CHECKING:
    from nesting.solve.sheets.points import Line

FEW_PARTS: Final = 40
"""Are left to the search, at most."""
_DIVES = 400
_PUT_BACK = 6  # sheets, in one dive
_AT_ONCE = 4  # sheets left, for one that is cut between two linear programs
_FULL = 0.1  # of a sheet: what a set that fills it costs less
_ADDED = 80  # sets, between two linear programs
_NEAR = 1e-4  # to being worth a sheet: sets that the next linear program begins with
_KEPT = 8_000  # sets, after a linear program
_KNOWN = 300  # of them, at most
_FLAT = 1e-6
_OPEN = 0.05  # sheets too many that a linear program over few sets may take
_SEARCH = 60_000  # iterations on the last parts, at most
_IDLE = 20_000  # of them without gain
_SLICE = 4_000
_COUNTS_PER_UNIT = 5_000  # looked through, in a unit of effort


@dataclass(slots=True)
class _Level:
    """How far a dive is: what it has cut, what is left, and what may be cut of that."""

    picked: list[int]
    left: Line
    usable: Line
    known: list[int]
    """Sets that the next linear program begins with."""

    def cut(self, number: int, rows: Line) -> _Level:
        """Return the level below, with one set cut."""
        import numpy as np

        left = self.left - np.minimum(rows[number], self.left)
        return _Level([*self.picked, number], left, self.usable, self.known)

    def without(self, number: int) -> _Level:
        """Return the same level, where a set may not be cut any more."""
        return replace(
            self,
            usable=self.usable[self.usable != number],
            known=[each for each in self.known if each != number],
        )


class SetDives:
    """Dives for a plan, in slices of counted work.

    Parameters
    ----------
    problem
        Of single parts and one kind of sheet.
    sheets
        That all parts are to be cut from, at most.
    listed
        Sets that a sheet can give.
    valued
        Whether the sets tell of a kind; the others are left to the search.
    planned
        What lays sets out as sheets; None where they cannot be cut in truth.
    seed
        The same seed gives the same plan.
    few
        So many parts are left to the search, at most.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(
        self,
        problem: SheetProblem,
        sheets: int,
        *,
        listed: Listed,
        valued: Sequence[bool],
        planned: Callable[[Sequence[Cut]], Sheets | None],
        seed: int,
        few: int = FEW_PARTS,
        plain: bool = False,
    ) -> None:
        import numpy as np

        self.plan: Sheets | None = None
        self._problem = problem
        self._instance = instance_of(problem)
        self._sheets = sheets
        self._rows = listed.rows
        sheet = problem.stock[0].length * problem.stock[0].width
        areas = [part.length * part.width / sheet for part in problem.parts]
        self._areas = _FULL * np.array(areas, dtype=np.float32)
        self._cut = listed.cut
        self._valued = line_of([int(each) for each in valued])
        self._planned = planned
        self._rng = [seeded(seed, 11)]
        self._few = few
        self._plain = plain
        self._may: dict[int, bool] = {}
        self._is_hopeless = False
        """Whether the first linear program of all leaves no way on."""
        self._first: tuple[list[int], Line, float, dict[int, float]] | None = None
        """The sets known and the optimum that every dive begins with."""

    def run(self) -> Iterator[int]:
        """Dive until there is a plan, or for long enough.

        Yields
        ------
        int
            The effort of a slice, in iterations of the search on the whole, about.
        """
        for _ in range(_DIVES):
            try:
                end = yield from self._dive()
            except ArithmeticError:  # a linear program that was not solved
                end = None
            if end is not None:
                yield from self._finish(end)
            if self.plan is not None or self._is_hopeless:
                return

    def _dive(self) -> Generator[int, None, _Level | None]:
        """Cut sheet after sheet, until few parts are left; None where it fails."""
        import numpy as np

        wanted = line_of([part.quantity for part in self._problem.parts])
        level = _Level([], wanted, np.arange(len(self._rows)), [])
        above: list[tuple[_Level, int]] = []
        put_back = 0
        while int(level.left.sum()) > self._few:
            spare = self._sheets - len(level.picked)
            if spare < 2:
                return None
            is_first = not level.picked and not put_back
            if is_first and self._first is not None:
                level.known, level.usable, needed, uses = self._first
            else:
                needed, uses = yield from self._optimum(level, spare)
            if is_first:
                self._first = level.known, level.usable, needed, uses
            may_do = needed <= spare + _OPEN
            most = max(1, spare // _AT_ONCE) if may_do else 0
            chosen = self._drawn(uses, level.left, most)
            for number in chosen:
                above.append((level, number))
                level = level.cut(number, self._rows)
            if chosen:
                continue
            if above and put_back < _PUT_BACK:
                put_back += 1
                level, last = above.pop()
                level = level.without(last)
            else:
                self._is_hopeless = not put_back
                return None
        return level

    def _optimum(
        self, level: _Level, spare: int
    ) -> Generator[int, None, tuple[float, dict[int, float]]]:
        """Solve the linear program over the sets that may be cut.

        Returns
        -------
        tuple
            How many sheets it takes, and how much of each set.
        """
        import numpy as np

        rows = np.minimum(self._rows[level.usable], level.left)
        usable = rows.astype(np.float32)
        fillings = np.einsum("ij,j", usable, self._areas)
        told = np.any(usable > 0, axis=0)
        master = Master((level.left * told * self._valued).tolist(), alone=spare + 1.0)
        numbers: list[int] = []
        at = {number: place for place, number in enumerate(level.usable.tolist())}
        new = [at[number] for number in level.known if number in at]
        while True:
            for place in new:
                cost = 1.0 - float(fillings[place])
                if master.add(tuple(rows[place].tolist()), cost):
                    numbers.append(place)
            duals, _ = master.solve()
            # Not by BLAS, whose threads would take the other lane's core.
            gains = np.einsum("ij,j", usable, np.array(duals, np.float32)) + fillings
            yield 160 + 4 * master.size + usable.size // _COUNTS_PER_UNIT
            better = np.flatnonzero(gains > 1 + 10 * _FLAT)
            first = better[np.argsort(-gains[better], kind="stable")[:_ADDED]]
            seen = set(numbers)
            new = [n for n in first.tolist() if n not in seen]
            if not new:
                break
        alone, uses = master.uses()[: len(duals)], master.uses()[len(duals) :]
        needed = (spare + 1) * sum(alone) + sum(uses)
        level.known = level.usable[gains > 1 - _NEAR][:_KNOWN].tolist()
        uses_of = dict(zip(level.usable[numbers].tolist(), uses, strict=True))
        if len(gains) > _KEPT:
            level.usable = level.usable[np.sort(np.argpartition(-gains, _KEPT)[:_KEPT])]
        return needed, uses_of

    def _drawn(self, uses: Mapping[int, float], left: Line, most: int) -> list[int]:
        """Draw some sets of an optimum that can be cut together, and by the saws."""
        import numpy as np

        drawn: list[int] = []
        whole = left
        shares = {number: use**2 for number, use in uses.items()}
        while len(drawn) < most and (total := sum(shares.values())) > _FLAT:
            number = _at(shares, draw(self._rng) / MODULUS * total)
            del shares[number]
            row = np.minimum(self._rows[number], whole)
            if (row <= left).all() and self._may_cut(number):
                left = left - row
                drawn.append(number)
        return drawn

    def _may_cut(self, number: int) -> bool:
        """Tell whether a sheet can be cut so by the rules of the search."""
        if number not in self._may:
            self._may[number] = self._keeps_rules(self._cut(number))
        return self._may[number]

    def _keeps_rules(self, cut: Cut) -> bool:
        sheet = self._planned([cut])
        if sheet is None:
            return False
        try:
            forest = forest_of(sheet, self._instance)
        except ValueError:  # the sets were cut with the narrowest kerf
            return False
        return keeps_rules(forest, self._instance)

    def _finish(self, level: _Level) -> Iterator[int]:
        """Let the search place what is left on the sheets that are left."""
        sheets = self._planned([self._cut(number) for number in level.picked])
        if sheets is None:
            return
        spare = self._sheets - len(level.picked)
        engine = yield from finish(
            self._problem.wanting(level.left.tolist()),
            seed=draw(self._rng),
            bound=spare * self._problem.stock[0].cost,
            iterations=_SEARCH,
            at_once=_SLICE,
            idle=_IDLE,
            compiled=not self._plain,
        )
        if engine.proven:
            self.plan = (*sheets, *trees_of(engine.best, engine.instance))


def _at(shares: Mapping[int, float], place: float) -> int:
    """Return the number whose share a place from the beginning lies in, or the last."""
    last = -1
    for number, share in shares.items():
        last = number
        place -= share
        if place < 0:
            break
    return last
