"""A hunt for a plan with few enough sheets, among sheets that searches go through.

Problem: as in `sets`; m sheets are to give all parts, and a search has not found how.

Method: sheets are noted as searches go through them, whatever else lies in a forest
(`sets_seen`): tens of thousands of sets of parts, each known to fit a sheet. Branch and
bound (`sets_branch`) looks for m of them that hold every part. Where it decides first
whether two large parts lie together, it comes to a plan within some dozens of linear
programs, or hardly ever: so it is soon begun again with the parts in another order, and
then with more sets. Where there is nothing to branch on, for parts are wanted more than
once, dives put some sheets together and leave the last parts to the search
(`sets_dive`).

Guarantee: none. A plan that is told of holds every part.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, Final

from nesting.solve.kernel import draw, seeded
from nesting.solve.sheets.pattern_table import Cut
from nesting.solve.sheets.problem import SheetProblem, Sheets
from nesting.solve.sheets.sets_asked import MANY_PARTS
from nesting.solve.sheets.sets_branch import Branching
from nesting.solve.sheets.sets_dive import SetDives
from nesting.solve.sheets.sets_master import Verdict
from nesting.solve.sheets.sets_seen import Listed, Notes, SeenSets, weighed

if TYPE_CHECKING:
    from numpy.typing import NDArray

MANY_SHEETS: Final = 5
"""So many are worth a hunt."""
_ROUNDS = 100
_GATHERED = 100_000  # iterations of a search, before sets are put together
_FEW_GATHERED = 25_000  # likewise, while the sets met are too few
_GROWTH = 1.25  # from one round to the next
_SEARCHED = 3  # iterations, for a unit of branching
_NODES = 3  # for every two sheets, before it begins again
_FEW_PARTS = 24  # left to the search by dives
_DIVED = 100_000  # units of dives, in a round


def may_hunt(problem: SheetProblem) -> bool:
    """Tell whether a plan may be put together of sheets that were met."""
    quantities = [part.quantity for part in problem.parts]
    return (
        len(problem.stock) == 1
        and not problem.has_runs
        and min(quantities, default=0) > 0
        and sum(quantities) >= MANY_PARTS
    )


class SetHunt:
    """A hunt under way, in slices of counted work.

    Parameters
    ----------
    problem
        That may be hunted for, all of whose parts fit the sheet.
    sheets
        That all parts are to be cut from, at most.
    worths, most
        What parts are worth, and a sheet at most: see `sets_seen.weighed`.
    planned
        What lays sets out as sheets; None where they cannot be cut in truth.
    notes
        Of another search for the same, which may go on at the same time.
    seed
        The same seed gives the same plan.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(
        self,
        problem: SheetProblem,
        sheets: int,
        *,
        worths: Sequence[int],
        most: int,
        planned: Callable[[Sequence[Cut]], Sheets | None],
        notes: Notes | None = None,
        seed: int,
        plain: bool = False,
    ) -> None:
        import numpy as np

        self.plan: Sheets | None = None
        self.rounds = 0
        """How often sets were put together."""
        self.is_short = False
        """Whether even parts of the sets met did not give all, the last time."""
        self.rows: NDArray[Any] = np.zeros((0, len(worths)), dtype=np.int16)
        """The counts of the sets that were met, the last time."""
        self._problem = problem
        self._sheets = sheets
        self._planned = planned
        self._rng = [seeded(seed, 13)]
        self._plain = plain
        self._weighed = weighed(problem, worths, most)
        self._seen = SeenSets(
            problem, sheets, others=notes, seed=draw(self._rng), plain=plain
        )

    def turn_to(self, worths: Sequence[int], most: int) -> None:
        """Search on by other worths of the parts, soon."""
        self._weighed = weighed(self._problem, worths, most)

    def take_in(self, rows: NDArray[Any], cuts: Iterable[Cut]) -> None:
        """Put sets from elsewhere together with those met."""
        self._seen.take_in(rows, cuts)

    def run(self) -> Iterator[int]:
        """Hunt until there is a plan, or for long enough.

        The first round is over what the other search has met.

        Yields
        ------
        int
            The effort of a slice, in iterations of the search, about.
        """
        for number in range(_ROUNDS):
            first = _FEW_GATHERED if self.is_short else _GATHERED
            iterations = int(first * _GROWTH**number)
            if number:
                yield from self._seen.gather(self._weighed, iterations)
                self.plan = self._seen.plan
            if self.plan is None:
                yield from self._put_together(number, iterations // _SEARCHED)
            if self.plan is not None:
                return

    def _put_together(self, number: int, most_units: int) -> Iterator[int]:
        """Look for a plan of the sets met, for a while."""
        listed = self._seen.listed(own=number > 0)
        if not len(listed.rows):
            return
        search = Branching(
            listed.rows,
            [part.quantity for part in self._problem.parts],
            self._sheets,
            sizes=[part.length * part.width for part in self._problem.parts],
            plain=self._plain,
        )
        spent = 0
        while spent < most_units:
            for units in search.run(_NODES * self._sheets // 2):
                spent += units
                yield units
            if search.is_stuck or search.cover.verdict is not Verdict.OPEN:
                break
            search.restart(self._rng)
        self.is_short = search.is_short
        self.rows = listed.rows
        self.rounds += 1
        if search.cover.verdict is Verdict.FOUND:
            pairs = enumerate(search.cover.times)
            self.plan = self._planned(
                [listed.cut(number) for number, times in pairs for _ in range(times)]
            )
        elif search.is_stuck:
            yield from self._dive(listed)

    def _dive(self, listed: Listed) -> Iterator[int]:
        """Look for a plan of such sets and what a search makes of the rest."""
        dives = SetDives(
            self._weighed,
            self._sheets,
            listed=listed,
            valued=[True] * len(self._problem.parts),
            planned=self._planned,
            seed=draw(self._rng),
            few=_FEW_PARTS,
            plain=self._plain,
        )
        spent = 0
        for units in dives.run():
            spent += units
            yield units
            if spent >= _DIVED:
                break
        self.plan = dives.plan
