"""Lower bounds on the cost of the sheets, each of them rigorous.

Parts and sheets are inflated by the least kerf of each axis, after which cutting is
packing. Three arguments, each ending in a cover (`least_cost`), which knows the costs
and limits of the sheets:

* Area. A sheet holds its area.
* Parts that cannot share any sheet, two by two: a sheet holds one of them.
* Dual feasible functions. Let f and g be functions on x and y, and let F and G bound
  what they add up to over lengths that fit beside each other into a sheet. Replace x by
  f(x) / F and y by g(y) / G: what was a packing is one still (Fekete & Schepers, Math.
  Programming 91 (2001) 11-31 and Math. Methods of OR 60 (2004) 311-329), so a sheet
  holds parts whose f(x) g(y) add up to at most F G. A part that may lie two ways counts
  with the smaller product. On square sheets it may count with the mean of f(x) g(y) and
  f(y) g(x), however it lies: apply the argument to the packing and to its mirror image.
  F is the function's own on the sheet it is made for and on shorter ones; on any sheet
  of length W it is at most W times the greatest f(x) / x.

Floats choose which pairs of functions are looked at; their bounds are computed in
integers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.solve.sheets.cover import Offer, least_cost
from nesting.solve.sheets.dual import Dual, duals
from nesting.solve.sheets.problem import SheetProblem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_LOOKED_AT = 12


@dataclass(frozen=True, slots=True)
class SheetBound:
    """A cost that no way to place every part goes below."""

    value: int
    basis: str


@dataclass(frozen=True, slots=True)
class _Part:
    quantity: int
    lies: tuple[tuple[int, int], ...]
    """(x, y) in each way it may lie on some sheet; inflated."""


@dataclass(frozen=True, slots=True)
class _Sheet:
    x: int
    y: int
    cost: int
    limit: int | None


@dataclass(frozen=True, slots=True)
class _Case:
    parts: tuple[_Part, ...]
    sheets: tuple[_Sheet, ...]

    def cover(self, holds: Sequence[int], need: int) -> int:
        """Return the least cost of sheets, which hold so much each, for a need."""
        offers = [
            Offer(sheet.cost, held, sheet.limit)
            for sheet, held in zip(self.sheets, holds, strict=True)
        ]
        return least_cost(offers, need)


def quick_bound(problem: SheetProblem) -> SheetBound:
    """Return the better one of the bounds that take no time.

    Parameters
    ----------
    problem
        Of which even parts that fit no sheet count.

    Returns
    -------
    SheetBound
        By area, or by parts that cannot share a sheet.
    """
    case = _case(problem)
    area = SheetBound(_by_area(problem, case), "area")
    alone = SheetBound(
        case.cover([1] * len(case.sheets), _count_loners(case)),
        "parts that cannot share a sheet",
    )
    return max(area, alone, key=lambda each: each.value)


def full_bound(problem: SheetProblem) -> SheetBound:
    """Return the best bound there is.

    Parameters
    ----------
    problem
        As for `quick_bound`, which it never goes below.

    Returns
    -------
    SheetBound
        With the argument that gave it.
    """
    best = quick_bound(problem)
    case = _case(problem)
    for number in range(len(case.sheets)):
        value = _by_duals(case, number)
        if value > best.value:
            best = SheetBound(value, "dual feasible functions")
    return best


def _case(problem: SheetProblem) -> _Case:
    kerf_x, kerf_y = problem.least_kerf_x, problem.least_kerf_y
    parts = []
    for part in problem.parts:
        lies = set()
        for stock in problem.stock:
            along = (part.length, part.width)
            across = (part.width, part.length)
            turns = [along, across]
            if part.grain_bound:
                turns = [along] if stock.grain_along_length else [across]
            if stock.limit != 0:
                lies |= {
                    (x + kerf_x, y + kerf_y)
                    for x, y in turns
                    if x <= stock.length and y <= stock.width
                }
        if part.quantity and lies:
            parts.append(_Part(part.quantity, tuple(sorted(lies))))
    sheets = tuple(
        _Sheet(each.length + kerf_x, each.width + kerf_y, each.cost, each.limit)
        for each in problem.stock
        if each.limit != 0
    )
    return _Case(tuple(parts), sheets)


def _by_area(problem: SheetProblem, case: _Case) -> int:
    kerf_x, kerf_y = problem.least_kerf_x, problem.least_kerf_y
    need = sum(
        part.quantity
        * min(
            (part.length + kerf_x) * (part.width + kerf_y),
            (part.width + kerf_x) * (part.length + kerf_y),
        )
        for part in problem.parts
    )
    return case.cover([sheet.x * sheet.y for sheet in case.sheets], need)


# --- parts that cannot share a sheet -------------------------------------------------


def _count_loners(case: _Case) -> int:
    """Count parts no two of which go on one sheet, taking the largest first."""
    full_x = max((sheet.x for sheet in case.sheets), default=0)
    full_y = max((sheet.y for sheet in case.sheets), default=0)

    def apart(one: _Part, two: _Part) -> bool:
        return all(
            ax + bx > full_x and ay + by > full_y
            for ax, ay in one.lies
            for bx, by in two.lies
        )

    best = 0
    orders = (
        lambda part: min(x * y for x, y in part.lies),
        lambda part: min(min(x, y) for x, y in part.lies),
        lambda part: min(x for x, _ in part.lies),
        lambda part: min(y for _, y in part.lies),
    )
    for order in orders:
        chosen: list[_Part] = []
        count = 0
        for part in sorted(case.parts, key=order, reverse=True):
            if all(apart(part, other) for other in chosen):
                chosen.append(part)
                count += part.quantity if apart(part, part) else 1
        best = max(best, count)
    return best


# --- dual feasible functions ---------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Scale:
    """A dual feasible function on the lengths of its axis; what each sheet holds."""

    values: dict[int, int]
    holds: tuple[int, ...]


def _scales(
    dual_list: Sequence[Dual], sizes: set[int], sheets: Sequence[int]
) -> list[_Scale]:
    scales = []
    for dual in dual_list:
        values = {size: dual.value(min(size, dual.full)) for size in sizes}
        holds = []
        for full in sheets:
            densest = max(
                (
                    Fraction(value, size)
                    for size, value in values.items()
                    if size <= full
                ),
                default=Fraction(0),
            )
            most = full * densest.numerator // densest.denominator
            holds.append(min(most, dual.most) if full <= dual.full else most)
        scales.append(_Scale(values, tuple(holds)))
    return scales


def _by_duals(case: _Case, number: int) -> int:
    """Return the best bound by pairs of functions made for one kind of sheet."""
    import numpy as np

    if not case.parts:
        return 0
    sheet = case.sheets[number]
    sizes_x = {x for part in case.parts for x, _ in part.lies}
    sizes_y = {y for part in case.parts for _, y in part.lies}
    square = all(each.x == each.y for each in case.sheets)
    if square:
        sizes_x = sizes_y = sizes_x | sizes_y
    along = _scales(
        list(duals(sheet.x, sizes_x)), sizes_x, [each.x for each in case.sheets]
    )
    across = _scales(
        list(duals(sheet.y, sizes_y)), sizes_y, [each.y for each in case.sheets]
    )
    tables = [_least_needs(case, along, across)]
    if square:
        tables.append(_mean_needs(case, along, across))
    best = 0
    for mean, needs in enumerate(tables):
        scores = _scores(case, along, across, needs)
        flat = np.argsort(scores, axis=None)[::-1][:_LOOKED_AT]
        for at in flat:
            a, b = divmod(int(at), len(across))
            best = max(best, _exact(case, along[a], across[b], mean=bool(mean)))
    return best


def _exact(case: _Case, f: _Scale, g: _Scale, *, mean: bool) -> int:
    """Return the bound of one pair, in integers."""
    need = sum(
        part.quantity
        * min(
            f.values[x] * g.values[y] + (f.values[y] * g.values[x] if mean else 0)
            for x, y in part.lies
        )
        for part in case.parts
    )
    twice = 2 if mean else 1
    holds = [twice * fx * gy for fx, gy in zip(f.holds, g.holds, strict=True)]
    return case.cover(holds, need)


def _table(scales: Sequence[_Scale], sizes: Sequence[int]) -> NDArray[np.float64]:
    import numpy as np

    rows = [
        [scale.values[size] / max(1, max(scale.holds)) for size in sizes]
        for scale in scales
    ]
    return np.array(rows, dtype=np.float64)


def _least_needs(
    case: _Case, along: Sequence[_Scale], across: Sequence[_Scale]
) -> NDArray[np.float64]:
    """Return what the parts need under every pair, each lying the cheaper way."""
    import numpy as np

    needs = np.zeros((len(along), len(across)))
    fixed = [part for part in case.parts if len(part.lies) == 1]
    free = [part for part in case.parts if len(part.lies) > 1]
    if fixed:
        counts = np.array([part.quantity for part in fixed], dtype=np.float64)
        f = _table(along, [part.lies[0][0] for part in fixed])
        g = _table(across, [part.lies[0][1] for part in fixed])
        needs += (f * counts) @ g.T
    if free:
        counts = np.array([part.quantity for part in free], dtype=np.float64)
        f0 = _table(along, [part.lies[0][0] for part in free])
        g0 = _table(across, [part.lies[0][1] for part in free])
        f1 = _table(along, [part.lies[1][0] for part in free])
        g1 = _table(across, [part.lies[1][1] for part in free])
        for a in range(len(along)):
            needs[a] += np.minimum(f0[a] * g0, f1[a] * g1) @ counts
    return needs


def _mean_needs(
    case: _Case, along: Sequence[_Scale], across: Sequence[_Scale]
) -> NDArray[np.float64]:
    """Return what the parts need under every pair, in the mean of both ways."""
    import numpy as np

    counts = np.array([part.quantity for part in case.parts], dtype=np.float64)
    xs = [part.lies[0][0] for part in case.parts]
    ys = [part.lies[0][1] for part in case.parts]
    mean = (_table(along, xs) * counts) @ _table(across, ys).T
    mean += (_table(along, ys) * counts) @ _table(across, xs).T
    return np.asarray(mean / 2)


def _scores(
    case: _Case,
    along: Sequence[_Scale],
    across: Sequence[_Scale],
    needs: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the relaxed cost of the cover under every pair."""
    import numpy as np

    left = needs.copy()
    scores = np.zeros_like(needs)
    f = np.array([scale.holds for scale in along], dtype=np.float64)
    g = np.array([scale.holds for scale in across], dtype=np.float64)
    f /= np.maximum(1, f.max(axis=1, keepdims=True))
    g /= np.maximum(1, g.max(axis=1, keepdims=True))
    holds = f[:, None, :] * g[None, :, :]
    costs = np.array([sheet.cost for sheet in case.sheets], dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        rates = np.where(holds > 0, costs / holds, np.inf)
    order = np.argsort(rates, axis=2)
    limits = np.array(
        [np.inf if sheet.limit is None else sheet.limit for sheet in case.sheets]
    )
    for rank in range(len(costs)):
        pick = order[:, :, rank : rank + 1]
        held = np.take_along_axis(holds, pick, axis=2)[:, :, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            used = np.where(
                held > 0, np.minimum(left / held, limits[pick[:, :, 0]]), 0.0
            )
        scores += used * costs[pick[:, :, 0]]
        left = np.maximum(0.0, left - used * held)
    return scores
