"""The states of one level, sorted so that a join can leave out many at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from nesting.solve.sheets.sets_join import ENTRY, GROUP, LEAD

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]


def index_of(
    store: Sequence[Line], units: Sequence[Line], begin: int, end: int
) -> tuple[Line, ...]:
    """Return the live states of a level in order; their boxes, groups and leads.

    Parameters
    ----------
    store
        The lines of all states: words, x, y, worth, worth too, table and more.
    units
        Their x and y in units of the tables.
    begin, end
        The level.
    """
    import numpy as np

    _, xs, ys, worths, _, tables, *_ = store
    live = np.flatnonzero(worths[begin:end] >= 0) + begin
    keys = (live, -worths[live], ys[live], xs[live], tables[live])
    order = live[np.lexsort(keys)]
    if not len(order):
        return order, order, order, order
    x, y, table = xs[order], ys[order], tables[order]
    is_group = np.append(True, (x[1:] != x[:-1]) | (table[1:] != table[:-1]))
    is_box = is_group | np.append(True, y[1:] != y[:-1])
    first = np.flatnonzero(is_box)
    boxes = np.zeros(ENTRY * len(first) + 1, dtype=np.int64)
    boxes[0:-1:ENTRY] = first
    boxes[1::ENTRY] = y[first]
    boxes[2::ENTRY] = units[1][order[first]]
    boxes[3::ENTRY] = worths[order[first]]
    boxes[-1] = len(order)
    starts = np.flatnonzero(is_group[first])
    groups = np.zeros(GROUP * len(starts) + 1, dtype=np.int64)
    groups[0:-1:GROUP] = starts
    groups[1::GROUP] = x[first[starts]]
    groups[2::GROUP] = units[0][order[first[starts]]]
    groups[3::GROUP] = np.maximum.reduceat(worths[order[first]], starts)
    groups[-1] = len(first)
    own = table[first[starts]]
    begins = np.flatnonzero(np.append(True, own[1:] != own[:-1]))
    leads = np.zeros(LEAD * len(begins) + 1, dtype=np.int64)
    leads[0:-1:LEAD] = begins
    leads[1::LEAD] = own[begins]
    leads[2::LEAD] = groups[2::GROUP][begins]
    least = np.minimum.reduceat(boxes[2::ENTRY], starts)
    leads[3::LEAD] = np.minimum.reduceat(least, begins)
    leads[4::LEAD] = np.maximum.reduceat(groups[3::GROUP], begins)
    leads[-1] = len(starts)
    return order, boxes, groups, leads
