"""Cover parts by the sets of some states, or tell that there is no cover."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from nesting.solve.sheets.sets_branch import Branching
from nesting.solve.sheets.sets_master import Cover, Verdict, cover
from nesting.solve.sheets.sets_states import States

if TYPE_CHECKING:
    from nesting.solve.sheets.points import Line

_NODES = 20_000  # of branching
_MOST_COUNTS = 4_000_000  # sets times kinds, at all
_MOST_SETS = 20_000  # by CP-SAT
_WORK = 2.0  # of CP-SAT
_UNIT = 300_000  # units of effort for one of CP-SAT's


def cover_by(
    states: States, chosen: Line, wanted: Sequence[int], most_sheets: int
) -> Generator[int, None, Cover]:
    """Cover by the sets of some states, if that can be told in some time.

    CP-SAT is asked where branching has nothing to branch on: kinds that are wanted
    more than once.

    Parameters
    ----------
    states, chosen
        The states, and the numbers of those to cover with.
    wanted
        How many of each kind; 0 where it need not be covered.
    most_sheets
        A cover has at most so many.

    Yields
    ------
    int
        The effort of a step, in iterations of the sheet search, about.
    """
    import numpy as np

    if len(chosen) * len(wanted) > _MOST_COUNTS:
        return Cover(Verdict.OPEN, (), 0.0)
    every = states.counts(chosen)
    yield 1 + len(chosen) // 10
    search = Branching(every, wanted, most_sheets)
    yield from search.run(_NODES)
    if not search.is_stuck:
        return search.cover
    is_large = np.isin(chosen, states.largest(chosen))
    if is_large.sum() > _MOST_SETS:
        return search.cover
    answer = cover(every[is_large].tolist(), wanted, most_sheets, most_work=_WORK)
    yield int(answer.work * _UNIT)
    if answer.verdict is not Verdict.FOUND:
        return answer
    times = np.zeros(len(chosen), dtype=np.int64)
    times[is_large] = answer.times
    return replace(answer, times=tuple(times.tolist()))
