"""Proof that so many sheets are too few, from sets of parts that were met.

The linear program over sets that searches went through says what parts are worth. Where
that is more than the sheets hold, all sets worth as much as a sheet has to hold are
enumerated by exact arithmetic: if there are none, no plan has so few sheets. Else the
best of these join the program, and so on: column generation, with a good many columns
to begin with.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from nesting.solve.kernel import seeded
from nesting.solve.sheets.pattern_table import Cut
from nesting.solve.sheets.sets_program import Program
from nesting.solve.sheets.sets_states import States
from nesting.solve.sheets.sets_values import ONE, price

if TYPE_CHECKING:
    from numpy.typing import NDArray

_ROUNDS = 40
_SHAKEN = 3  # times other worths of the same program, where sets are too many
_ADDED = 100  # sets, in a round
_NEAR = 0.1  # to a sheet, by their worth: sets that stay in the program


def share_of(worths: Sequence[int], wanted: Sequence[int], sheets: int) -> int:
    """Return what some sheet holds at least, if so many hold all parts."""
    return -(-sum(v * d for v, d in zip(worths, wanted, strict=True)) // sheets)


def are_too_few(
    states: States,
    worths: Sequence[int],
    wanted: Sequence[int],
    sheets: int,
    patience: int,
) -> Generator[int, None, bool]:
    """Tell whether so many sheets are too few, by what the kinds are worth.

    They are if no set at all is worth its share of all parts.

    Parameters
    ----------
    states
        To look for sets among; where the answer is no, they hold what was found.
    worths
        Of the kinds; any whole numbers from 0 to `ONE` will do.
    wanted
        How many there are of each kind.
    sheets
        At least one.
    patience
        Steps of the search for sets.

    Yields
    ------
    int
        The effort of a slice, in iterations of the search, about.

    Returns
    -------
    bool
        False, too, where it could not be told.
    """
    least = share_of(worths, wanted, sheets)
    if least < 1:
        return False
    yield from price(states, worths, least, patience)
    return states.is_complete and not len(states.found(least))


def prove_short(
    states: States,
    rows: NDArray[Any],
    wanted: Sequence[int],
    sheets: int,
    *,
    patience: int,
    found: Callable[[NDArray[Any], Iterator[Cut]], None],
    plain: bool = False,
) -> Generator[int, None, bool]:
    """Look for the proof that so many sheets are too few.

    Parameters
    ----------
    states
        To look for sets among.
    rows
        The counts of the sets that were met: a row for each.
    wanted
        How many there are of each kind.
    sheets
        At least one.
    patience
        Steps of one search for sets.
    found
        What is told of further sets: their counts, and how each is cut.
    plain
        Whether to do without the compiler, which changes nothing but the time.

    Yields
    ------
    int
        The effort of a slice, in iterations of the search, about.

    Returns
    -------
    bool
        Whether there is the proof.
    """
    import numpy as np

    rng = [seeded(len(rows), 23)]
    shaken = 0
    program = Program(rows, wanted, alone=sheets + 1.0, plain=plain)
    for _ in range(_ROUNDS):
        every = np.arange(len(rows))
        try:
            yield from program.solve(every, program.first)
        except ArithmeticError:
            return False
        worths = np.minimum(program.worths() * ONE, ONE).astype(np.int64)
        least = share_of(worths.tolist(), wanted, sheets)
        if least <= ONE:
            return False
        if (yield from are_too_few(states, worths.tolist(), wanted, sheets, patience)):
            return True
        numbers = states.found(least)
        if not len(numbers):
            shaken += 1
            if shaken > _SHAKEN:
                return False
            program.shake(rng)
            continue
        best = np.argsort(-states.worths(numbers), kind="stable")[:_ADDED]
        numbers = numbers[best]
        counts = states.counts(numbers).astype(rows.dtype)
        found(counts, (states.cut(int(number)) for number in numbers))
        near = program.weigh(every, worths) >= (1 - _NEAR) * ONE
        rows = np.concatenate([rows[near], counts])
        program = Program(rows, wanted, alone=sheets + 1.0, plain=plain)
    return False
