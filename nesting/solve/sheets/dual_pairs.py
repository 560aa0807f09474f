"""Bounds by pairs of dual feasible functions, one for each axis.

Let f and g be functions on x and y, and let F and G bound what they add up to over
lengths that fit beside each other into a sheet. Replace x by f(x) / F and y by
g(y) / G: what was a packing is one still, so a sheet holds parts whose f(x) g(y) add up
to at most F G. A part that may lie two ways counts with the smaller product. On square
sheets it may count with the mean of f(x) g(y) and f(y) g(x), however it lies: apply the
argument to the packing and to its mirror image. F is the function's own on the sheet it
is made for and on shorter ones; on any sheet of length W it is at most W times the
greatest f(x) / x.

Floats choose which pairs are looked at; their bounds are computed in integers.

References
----------
Fekete & Schepers, Math. Programming 91 (2001) 11-31; Math. Methods of OR 60 (2004)
311-329.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.solve.sheets.dual import Dual, duals
from nesting.solve.sheets.relaxed import Case, Sheet

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Table = NDArray[np.float64]

_LOOKED_AT = 12
_WEIGHED = 3_000  # pairs, where there are several kinds of sheet
_MODELS = 4  # kinds of sheet that functions are made for
_MOST_DUALS = 320  # on each axis


def bound_by_duals(case: Case) -> int:
    """Return the best bound by pairs of functions on the axes.

    Parameters
    ----------
    case
        Parts and sheets; zero where there are no parts.

    Returns
    -------
    int
        A cost.
    """
    return max((axes.best()[0] for axes in _axes(case)), default=0)


def weights_by_duals(case: Case) -> list[tuple[int, ...]]:
    """Return what the parts count under the best pairs of functions.

    Parameters
    ----------
    case
        Parts and sheets.

    Returns
    -------
    list of tuple of int
        One for each kind of sheet that functions are made for; by part of the case.
    """
    return [axes.weights(*axes.best()[1]) for axes in _axes(case)]


def _axes(case: Case) -> list[_Axes]:
    models = {(sheet.x, sheet.y): sheet for sheet in case.sheets}
    chosen = sorted(models.values(), key=_offered, reverse=True)[:_MODELS]
    return [_Axes(case, model) for model in chosen] if case.parts else []


def _offered(sheet: Sheet) -> tuple[bool, int]:
    """Return a rank: by area, sheets without limit first."""
    return sheet.limit is None, sheet.x * sheet.y


@dataclass(frozen=True, slots=True)
class _Axis:
    """Functions on one axis: exact values by length, and the same as floats."""

    duals: tuple[Dual, ...]
    values: tuple[dict[int, int], ...]
    fulls: tuple[int, ...]
    """The length of each kind of sheet."""

    def holds(self, number: int) -> list[int]:
        """Return what every kind of sheet holds at most under a function."""
        dual, values = self.duals[number], self.values[number]
        held = []
        for full in self.fulls:
            fits = [Fraction(v, size) for size, v in values.items() if size <= full]
            densest = max(fits, default=Fraction(0))
            most = full * densest.numerator // densest.denominator
            held.append(min(most, dual.most) if full <= dual.full else most)
        return held

    def about(self) -> Table:
        """Return about what every sheet holds under every function; measures are 1."""
        import numpy as np

        sizes = sorted(self.values[0])
        densest = np.maximum.accumulate(self.table(sizes) / np.array(sizes), axis=1)
        held = np.zeros((len(self.duals), len(self.fulls)))
        for number, full in enumerate(self.fulls):
            fitting = int(np.searchsorted(sizes, full, side="right"))
            if fitting:
                held[:, number] = full * densest[:, fitting - 1]
            if full <= self.duals[0].full:
                held[:, number] = np.minimum(held[:, number], 1.0)
        return held

    def table(self, sizes: Sequence[int]) -> Table:
        """Return the values of sizes under every function, with its measure as 1."""
        import numpy as np

        rows = [
            [values[size] / dual.most for size in sizes]
            for dual, values in zip(self.duals, self.values, strict=True)
        ]
        return np.array(rows, dtype=np.float64)


def _axis(full: int, sizes: set[int], fulls: Sequence[int]) -> _Axis:
    made = list(duals(full, sizes))
    step = -(-len(made) // _MOST_DUALS)
    chosen = tuple(made[::step])
    values = tuple({s: dual.value(min(s, full)) for s in sizes} for dual in chosen)
    return _Axis(chosen, values, tuple(fulls))


class _Axes:
    """The functions made for one kind of sheet, in pairs."""

    def __init__(self, case: Case, model: Sheet) -> None:
        self.case = case
        self.model = model
        sizes_x = {x for part in case.parts for x, _ in part.lies}
        sizes_y = {y for part in case.parts for _, y in part.lies}
        self.square = all(each.x == each.y for each in case.sheets)
        if self.square:
            sizes_x = sizes_y = sizes_x | sizes_y
        self.along = _axis(model.x, sizes_x, [each.x for each in case.sheets])
        self.across = (
            self.along
            if self.square
            else _axis(model.y, sizes_y, [each.y for each in case.sheets])
        )

    def best(self) -> tuple[int, tuple[int, int, bool]]:
        """Return the best bound of all pairs that look promising, and the pair.

        The pair comes with whether its parts count with the mean of both ways.
        """
        best, pair = 0, (0, 0, False)
        for mean in (False, True) if self.square else (False,):
            needs = self.mean_needs() if mean else self.least_needs()
            for a, b in self.promising(needs):
                bound = self.bound(a, b, mean=mean)
                if bound > best:
                    best, pair = bound, (a, b, mean)
        return best, pair

    def weights(self, a: int, b: int, mean: bool) -> tuple[int, ...]:
        """Return what one of each part counts under a pair; twice, under a mean."""
        f, g = self.along.values[a], self.across.values[b]
        return tuple(
            min(f[x] * g[y] + (f[y] * g[x] if mean else 0) for x, y in part.lies)
            for part in self.case.parts
        )

    def promising(self, needs: Table) -> list[tuple[int, int]]:
        """Return the pairs that ask for most."""
        import numpy as np

        several = len(self.case.sheets) > 1
        most = _WEIGHED if several else _LOOKED_AT
        flat = np.argsort(needs, axis=None)[::-1][:most]
        a, b = np.divmod(flat, needs.shape[1])
        if several:
            costs = self.relaxed(
                self.along.about()[a] * self.across.about()[b], needs[a, b]
            )
            order = np.argsort(costs)[::-1][:_LOOKED_AT]
            a, b = a[order], b[order]
        return [(int(one), int(two)) for one, two in zip(a, b, strict=True)]

    def relaxed(self, holds: Table, needs: Table) -> Table:
        """Return about what it costs to meet each need, sheets holding so much each."""
        import numpy as np

        costs = np.array([sheet.cost for sheet in self.case.sheets], dtype=np.float64)
        limits = np.array(
            [
                np.inf if sheet.limit is None else sheet.limit
                for sheet in self.case.sheets
            ]
        )
        order = np.argsort(costs / np.maximum(holds, 1e-9), axis=1)
        total = np.zeros(len(needs))
        left = needs.copy()
        rows = np.arange(len(needs))
        for rank in range(len(costs)):
            kind = order[:, rank]
            held = np.maximum(holds[rows, kind], 1e-9)
            taken = np.minimum(left / held, limits[kind])
            total += taken * costs[kind]
            left = np.maximum(0.0, left - taken * held)
        return total

    def bound(self, a: int, b: int, *, mean: bool) -> int:
        """Return the bound of one pair, in integers."""
        weights = self.weights(a, b, mean)
        need = sum(
            part.quantity * weight
            for part, weight in zip(self.case.parts, weights, strict=True)
        )
        twice = 2 if mean else 1
        holds = [
            twice * fx * gy
            for fx, gy in zip(self.along.holds(a), self.across.holds(b), strict=True)
        ]
        return self.case.cover(holds, need)

    def least_needs(self) -> Table:
        """Return what the parts need under every pair, each lying the cheaper way."""
        import numpy as np

        needs = np.zeros((len(self.along.duals), len(self.across.duals)))
        fixed = [part for part in self.case.parts if len(part.lies) == 1]
        free = [part for part in self.case.parts if len(part.lies) > 1]
        if fixed:
            counts = np.array([part.quantity for part in fixed], dtype=np.float64)
            f = self.along.table([part.lies[0][0] for part in fixed])
            g = self.across.table([part.lies[0][1] for part in fixed])
            needs += (f * counts) @ g.T
        if free:
            counts = np.array([part.quantity for part in free], dtype=np.float64)
            f0 = self.along.table([part.lies[0][0] for part in free])
            g0 = self.across.table([part.lies[0][1] for part in free])
            f1 = self.along.table([part.lies[1][0] for part in free])
            g1 = self.across.table([part.lies[1][1] for part in free])
            for a in range(len(f0)):
                needs[a] += np.minimum(f0[a] * g0, f1[a] * g1) @ counts
        return needs

    def mean_needs(self) -> Table:
        """Return what the parts need under every pair, in the mean of both ways."""
        import numpy as np

        counts = np.array([part.quantity for part in self.case.parts], dtype=np.float64)
        xs = [part.lies[0][0] for part in self.case.parts]
        ys = [part.lies[0][1] for part in self.case.parts]
        mean = (self.along.table(xs) * counts) @ self.across.table(ys).T
        mean += (self.along.table(ys) * counts) @ self.across.table(xs).T
        return np.asarray(mean / 2)
