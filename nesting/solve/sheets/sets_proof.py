"""A proof by sets that few sheets are not enough, and plans that it comes upon.

How it goes is told in `sets`.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from copy import copy
from typing import Final

from nesting.solve.sheets.problem import Sheets
from nesting.solve.sheets.sets_asked import Asked
from nesting.solve.sheets.sets_cover import cover_by
from nesting.solve.sheets.sets_dive import SetDives
from nesting.solve.sheets.sets_list import list_sets
from nesting.solve.sheets.sets_master import Master, Verdict
from nesting.solve.sheets.sets_start import Start
from nesting.solve.sheets.sets_states import STEPS_PER_UNIT, TRIED_PER_UNIT, States
from nesting.solve.sheets.sets_values import LONGEST, ONE, SetValues

LINEAR_BASIS: Final = "linear program over sets of parts"
SEARCH_BASIS: Final = "search: every set of parts that a sheet can give was tried"

_ROUNDS = 400  # of column generation over all patterns
_CELLS_PER_UNIT = 30
_ROUND = 250  # units of such a round, beside the cells
_SHARE = 10
"""Hundredths of its area that each kind is worth at least, the second time."""
_HEAD_START = 1_000_000  # units, of the proof


class SetProof:
    """A proof under way, in slices of counted work.

    Parameters
    ----------
    asked
        Whether so many sheets are enough.
    duals
        Of the linear program over all patterns, by part, where they are known.
    turn_to
        What is told of better worths of the parts, and the most that a sheet is worth
        by them.
    """

    def __init__(
        self,
        asked: Asked,
        *,
        duals: Sequence[float] | None,
        turn_to: Callable[[Sequence[int], int], None],
    ) -> None:
        self.least = 0
        """No plan has fewer sheets."""
        self.basis = ""
        """How that was found, in words."""
        self.plan: Sheets | None = None
        """One with few enough sheets."""
        self.hint: Sheets | None = None
        """As few sheets, with all but parts that are worth nothing to the bound."""
        self.is_late = False
        """Whether it is at its second, less likely way."""
        self._asked = asked
        self._duals = duals
        self._turn_to = turn_to

    @property
    def is_done(self) -> bool:
        """Whether there is the proof, or a plan."""
        return self.plan is not None or self.least > self._asked.sheets

    def run(self) -> Iterator[int]:
        """Look for the proof, and for a plan on the way.

        Yields
        ------
        int
            The effort of a slice, in iterations of the search, about.
        """
        asked = self._asked
        start = Start(asked.problem, self._duals)
        for cells in start.rounds(_ROUNDS):
            yield _ROUND + cells // _CELLS_PER_UNIT
        self._turn_to(start.values(ONE), ONE)
        states = asked.states()
        master = Master(asked.wanted)
        for each in start.sets:
            master.add(each)
        values = SetValues(states, master, asked.wanted, start.values(ONE))
        yield from self._generate(values)
        self._turn_to(values.worths, values.most)
        if (yield from self._decide(states, values)):
            self.is_late = True
            tight = copy(values)
            values.mix(asked.areas(), _SHARE)
            yield from self._generate(values)
            yield from self._decide(states, values, tight)

    def _decide(
        self, states: States, values: SetValues, too: SetValues | None = None
    ) -> Generator[int, None, bool]:
        """Look for a plan by dives, and for a cover or the proof of none, in turns.

        Parameters and result are those of `_enumerate`.
        """
        if self.is_done:
            return False
        dives = yield from self._dives(states, values)
        diving = iter(()) if dives is None else dives.run()
        proof = self._enumerate(states, values, too)
        ahead = _HEAD_START  # of the dives
        is_proving = is_diving = True
        while (is_proving or is_diving) and not self.is_done:
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
        asked = self._asked
        if not asked.may_dive:
            return None
        spare = values.most - values.least(asked.sheets)
        listed = yield from list_sets(states, values.worths, values.most, spare)
        if not len(listed.rows):
            return None
        return SetDives(
            asked.problem,
            asked.sheets,
            listed=listed,
            valued=[worth > 0 for worth in values.worths],
            planned=asked.planned,
            seed=asked.seed,
            plain=asked.plain,
        )

    def _generate(self, values: SetValues) -> Iterator[int]:
        """Raise the values, and the bound with them."""
        for units in values.rise(self._asked.sheets + 1):
            self._raise(values.whole_sheets, LINEAR_BASIS)
            yield units
        self._raise(values.whole_sheets, LINEAR_BASIS)

    def _raise(self, least: int, basis: str) -> None:
        if least > self.least:
            self.least, self.basis = least, basis

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
        asked = self._asked
        wanted = [
            d if worth else 0
            for worth, d in zip(values.worths, asked.wanted, strict=True)
        ]
        least = values.least(asked.sheets)
        least_too = 0 if too is None else too.least(asked.sheets)
        if least <= 0:
            return False
        for cells in states.prepare(values.worths, None if too is None else too.worths):
            yield cells // TRIED_PER_UNIT
        for steps in states.enumerate(least, LONGEST, least_too):
            yield steps // STEPS_PER_UNIT
        if not states.is_complete:
            return False
        chosen = states.found(least, least_too)
        answer = yield from cover_by(states, chosen, wanted, asked.sheets)
        if answer.verdict is Verdict.NONE:
            self._raise(asked.sheets + 1, SEARCH_BASIS)
        if answer.verdict is not Verdict.FOUND:
            return False
        cuts = [
            states.cut(int(state))
            for state, times in zip(chosen, answer.times, strict=True)
            for _ in range(times)
        ]
        if wanted == asked.wanted and asked.is_whole:
            self.plan = asked.planned(cuts)
        else:
            self.hint = asked.planned(cuts)
        return wanted != asked.wanted
