"""The kernel of the staged pattern tables: best rows of members, for every length.

R(i, j) is the most that members side by side are worth in a row of length x[i] and a
width j which is theirs too: the greatest of R(i - 1, j), M(i, j), and M(a, j) + R(x[i]
- x[a], j) over members a that are not past the middle, for of several members the
shortest is not. Members longer than the saws reach at that width are left out. A
member that a shorter row is worth as much as need not be tried again.
"""

from __future__ import annotations

from nesting.solve.kernel import Ints, kernel_for


def _best_rows_in_numpy(
    members: Ints, table: Ints, xs: Ints, floors: Ints, reach: Ints, strips: Ints
) -> None:
    """Fill a table in numpy; for where there is no compiler."""
    import numpy as np

    along, near = np.asarray(xs), np.asarray(floors)
    shape = (len(reach), len(along))
    values = np.asarray(table).reshape(shape)
    worth = np.asarray(members).reshape(shape)
    halves = np.searchsorted(2 * along, along, side="right")
    values[:, 0] = 0
    for j in range(shape[0]):
        row, own, most = values[j], worth[j], reach[j]
        for i in range(1, shape[1]):
            best = max(row[i - 1], own[i] if i <= most else 0)
            half = min(int(halves[i]), most + 1)
            if half > 1:
                rests = near[along[i] - along[1:half]]
                best = max(best, (own[1:half] + row[rests]).max())
            row[i] = best


@kernel_for(_best_rows_in_numpy)
def best_rows(
    members: Ints, table: Ints, xs: Ints, floors: Ints, reach: Ints, strips: Ints
) -> None:
    """Fill a table of rows.

    Parameters
    ----------
    members
        What each member is worth, at width * count of x points + x point.
    table
        To fill, likewise.
    xs
        The points, rising from 0.
    floors
        For every length up to the last point: the last point not beyond it.
    reach
        For every width: the longest member, by its point.
    strips
        Room for a list of members.
    """
    count = len(xs)
    for j in range(len(reach)):
        row = j * count
        most = reach[j]
        table[row] = 0
        length = 0
        for i in range(1, count):
            x = xs[i]
            best = table[row + i - 1]
            for s in range(length):
                a = strips[s]
                if 2 * xs[a] > x:
                    break
                value = members[row + a] + table[row + floors[x - xs[a]]]
                if value > best:
                    best = value
            if i <= most and members[row + i] > best:
                best = members[row + i]
                strips[length] = i
                length += 1
            table[row + i] = best
