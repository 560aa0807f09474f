"""What parts are worth at most, so that no set is worth more than a sheet.

The linear program of `sets`, by column generation. Values move from the best known
towards the duals of the sets that are known, as far as pricing bears, and pricing finds
all sets that are worth more than a sheet then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from nesting.solve.sheets.sets_master import Master
from nesting.solve.sheets.sets_states import (
    MOST_WORTH,
    STEPS_PER_UNIT,
    TRIED_PER_UNIT,
    States,
)

if TYPE_CHECKING:
    from nesting.solve.sheets.points import Line

ONE: Final = MOST_WORTH
"""What a sheet is worth."""
LONGEST: Final = 1_000_000_000
"""Steps of one enumeration, at most."""
_STEP = 0.3  # towards the program's duals, at first
_SHORTEST = 0.05
_QUICK = 3_000_000  # steps of one pricing without more ado
_PATIENT = 12_000_000  # and with it, at first
_FURTHER = 1.2  # goes a step after one that went too far
_ADDED = 60  # sets of one pricing
_CLOSE = 2e-4  # sheets between the program's optimum and the bound
_FLAT = 1e-7


class SetValues:
    """Values of the kinds that rise towards the duals of the linear program.

    Parameters
    ----------
    states
        To look for sets with.
    master
        The program over the sets that are known.
    wanted
        How many there are of each kind.
    values
        To begin from: whole numbers in which no set is worth more than `ONE`.
    """

    def __init__(
        self,
        states: States,
        master: Master,
        wanted: Sequence[int],
        values: Sequence[int],
    ) -> None:
        self._states = states
        self._master = master
        self._wanted = tuple(wanted)
        self.worths = tuple(values)
        """Of the kinds."""
        self.most = ONE
        """No set is worth more."""

    @property
    def total(self) -> int:
        """What all parts are worth."""
        return self._sum(self.worths)

    @property
    def whole_sheets(self) -> int:
        """No plan has fewer sheets."""
        return -(-self.total // self.most)

    def _sum(self, worths: Sequence[int]) -> int:
        return sum(v * d for v, d in zip(worths, self._wanted, strict=True))

    def least(self, sheets: int) -> int:
        """Return what each sheet of a plan with at most so many is worth at least."""
        return self.total - (sheets - 1) * self.most

    def mix(self, others: Sequence[int], share: int) -> None:
        """Take in a share, in hundredths, of others in which no set is worth more."""
        rest = 100 - share
        self.worths = tuple(
            (rest * value + share * other) // 100
            for value, other in zip(self.worths, others, strict=True)
        )
        self.most = (rest * self.most + share * ONE) // 100
        self._master.keep_above([share / 100 * other / ONE for other in others])

    def rise(self, enough: int) -> Iterator[int]:
        """Go on until the values are the program's duals, or say so many sheets.

        Yields
        ------
        int
            The effort of a slice, in iterations of the search, about.
        """
        states, master = self._states, self._master
        step, patience = _STEP, _PATIENT
        while patience <= LONGEST and self.whole_sheets < enough:
            duals, top = master.solve()
            if top - self.total / self.most < _CLOSE:
                return
            worths = [
                int(step * ONE * dual + (1 - step) * ONE / self.most * old)
                for old, dual in zip(self.worths, duals, strict=True)
            ]
            yield from price(states, worths, ONE + 1, patience)
            found = states.found(ONE + 1)
            if states.is_complete:
                most = int(states.worths(found).max()) if len(found) else ONE
                if self._sum(worths) / most > self.total / self.most:
                    self.worths, self.most = tuple(worths), most
                step = min(1.0, step * (_FURTHER if len(found) else 2))
            elif not len(found):
                if states.is_full and step == _SHORTEST:
                    return
                step = max(_SHORTEST, step / 2)
                patience = patience if states.is_full else 3 * patience // 2
            added = self._add(found, duals)
            yield 300 + 6 * master.size + len(found) // 3
            if len(found) and not added and (step == 1.0 or not states.is_complete):
                return  # the duals are no better than their last digits

    def _add(self, found: Line, duals: Sequence[float]) -> int:
        """Add the sets that pay most by the duals."""
        import numpy as np

        rows = self._states.counts(found)
        gains = rows @ np.array(duals)
        added = 0
        for number in np.argsort(-gains, kind="stable"):
            if added == _ADDED or gains[number] <= 1 + _FLAT:
                break
            added += self._master.add(tuple(int(n) for n in rows[number]))
        return added


def price(
    states: States, worths: Sequence[int], least: int, patience: int
) -> Iterator[int]:
    """Find sets that are worth so much: at once, or else with sharper tables.

    Parameters
    ----------
    states
        That they are looked for among; they tell afterwards whether these are all.
    worths
        Of the kinds.
    least
        What a set is worth, at least.
    patience
        Steps of the second way.

    Yields
    ------
    int
        The effort of a slice, in iterations of the search, about.
    """
    yield states.load(worths) // TRIED_PER_UNIT
    for steps in states.enumerate(least, _QUICK):
        yield steps // STEPS_PER_UNIT
    if states.is_complete or len(states.found(least)):
        return
    for cells in states.sharpen():
        yield cells // TRIED_PER_UNIT
    for steps in states.enumerate(least, patience):
        yield steps // STEPS_PER_UNIT
