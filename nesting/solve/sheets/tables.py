"""The kernel of the pattern solver: best values of every rectangle on a grid of points.

F(x, y) is the greatest of: the value of one piece that fits; F(a, y) + F(x - a, y) over
cuts a of the length; F(x, b) + F(x, y - b) over cuts b of the width. Sizes between two
points count as the lower one.

Method (Gilmore & Gomory, Operations Research 14 (1966) 1045-1074, sect. 4), with the
knapsack's dominance put to use: of several pieces cut off side by side, none has to be
cut in two the same way again, and none has to be worth what a shorter one is worth. So
each row keeps a list of lengths worth cutting off, each column one of widths, and only
those not past the middle are tried, for one of two pieces is not. Where a plan is
looked for that loses little against the densest piece all over, nothing that loses more
by itself is cut off again. Guarantee: exact for whatever loses no more than was asked.
"""

from __future__ import annotations

from nesting.solve.kernel import Ints, kernel_for


def _fill_rows(
    table: Ints,
    xs: Ints,
    ys: Ints,
    floor_x: Ints,
    floor_y: Ints,
    widths: Ints,
    counts: Ints,
    strips: Ints,
    loss: Ints,
) -> None:
    """Fill a table in numpy, row by row; for where there is no compiler."""
    import numpy as np

    along, across = np.asarray(xs), np.asarray(ys)
    near_x, near_y = np.asarray(floor_x), np.asarray(floor_y)
    values = np.asarray(table).reshape(len(across), len(along))
    halves = np.searchsorted(2 * along, along, side="right")
    for j in range(loss[3], loss[4]):
        row = values[j]
        np.maximum(row, values[j - 1], out=row)
        for b in range(1, int(np.searchsorted(2 * across, across[j], side="right"))):
            rest = near_y[across[j] - across[b]]
            np.maximum(row, values[b] + values[rest], out=row)
        for i in range(1, len(along)):
            best = max(row[i], row[i - 1])
            if halves[i] > 1:
                rests = near_x[along[i] - along[1 : halves[i]]]
                best = max(best, (row[1 : halves[i]] + row[rests]).max())
            row[i] = best


@kernel_for(_fill_rows)
def fill(
    table: Ints,
    xs: Ints,
    ys: Ints,
    floor_x: Ints,
    floor_y: Ints,
    widths: Ints,
    counts: Ints,
    strips: Ints,
    loss: Ints,
) -> None:
    """Fill a table that holds single pieces, each where it first fits.

    Parameters
    ----------
    table
        Best values, at y point * count of x points + x point. The first point of each
        axis is 0, and there nothing is worth anything.
    xs, ys
        The points, rising.
    floor_x, floor_y
        For every size up to the last point: the last point not beyond it.
    widths, counts, strips
        Room for the lists of the columns (an equal share each), for how long they are,
        and for the list of a row. A column with more than its share tries every point.
    loss
        (p, q, most, first, end). p / q is worth at least as much as any piece for its
        area. What loses more than most / q against that is not cut off again; values of
        rectangles that lose no more are exact, others may be too low. The rows from
        `first`, 1 or more, to before `end` are filled; those before are full already.
    """
    dense, scale, most_loss = loss[0], loss[1], loss[2]
    count_x = len(xs)
    share = len(widths) // count_x
    if loss[3] == 1:
        for i in range(count_x):
            counts[i] = 0
    for j in range(loss[3], loss[4]):
        y = ys[j]
        row = j * count_x
        length = 0
        for i in range(1, count_x):
            x = xs[i]
            at = row + i
            beside = table[at - 1]
            for s in range(length):
                a = strips[s]
                if 2 * xs[a] > x:
                    break
                value = table[row + a] + table[row + floor_x[x - xs[a]]]
                if value > beside:
                    beside = value
            above = table[at - count_x]
            if counts[i] <= share:
                for s in range(counts[i]):
                    b = widths[i * share + s]
                    if 2 * ys[b] > y:
                        break
                    value = (
                        table[b * count_x + i] + table[floor_y[y - ys[b]] * count_x + i]
                    )
                    if value > above:
                        above = value
            else:
                for b in range(1, j):
                    if 2 * ys[b] > y:
                        break
                    value = (
                        table[b * count_x + i] + table[floor_y[y - ys[b]] * count_x + i]
                    )
                    if value > above:
                        above = value
            best = table[at]
            if beside > best:
                best = beside
            if above > best:
                best = above
            table[at] = best
            if dense * x * y - scale * best > most_loss:
                continue
            if best > beside:
                strips[length] = i
                length += 1
            if best > above:
                if counts[i] < share:
                    widths[i * share + counts[i]] = j
                    counts[i] += 1
                else:
                    counts[i] = share + 1
