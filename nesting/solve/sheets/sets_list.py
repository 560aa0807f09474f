"""The sets of parts that waste little of a sheet, listed for dives."""

from __future__ import annotations

from collections.abc import Generator, Sequence

from nesting.solve.sheets.sets_seen import Listed
from nesting.solve.sheets.sets_states import STEPS_PER_UNIT, TRIED_PER_UNIT, States

_WASTED = (5, 10, 15, 20, 30, 40)
"""Thousandths of a sheet that a set wastes, at most: one after the other."""
_MOST_STEPS = 200_000_000
_ENOUGH = 5_000  # sets


def list_sets(
    states: States, values: Sequence[int], most: int, spare: int
) -> Generator[int, None, Listed]:
    """List the sets worth nearly a sheet: as many as can be had in some time.

    Parameters
    ----------
    states
        To find them with.
    values, most
        Of the kinds, and what no set is worth more than.
    spare
        All sheets of a plan together may be worth so much less.

    Yields
    ------
    int
        The effort of a slice, in iterations of the search, about.
    """
    for cells in states.prepare(values):
        yield cells // TRIED_PER_UNIT
    listed, spent = None, 0
    for share in _WASTED:
        waste = min(spare, most * share // 1000)
        for steps in states.enumerate(most - waste, _MOST_STEPS - spent):
            spent += steps
            yield steps // STEPS_PER_UNIT
        if states.is_complete or listed is None:
            listed = _found(states, most - waste)
        if not states.is_complete or waste == spare or len(listed.rows) > _ENOUGH:
            break
    assert listed is not None  # there are shares
    return listed


def _found(states: States, least: int) -> Listed:
    chosen = states.found(least)
    cuts = states.cuts()
    return Listed(states.counts(chosen), lambda number: cuts(int(chosen[number])))
