"""Lower bounds on the cost of the sheets, each of them rigorous.

Parts and sheets are inflated by the least kerf of each axis, after which cutting is
packing. Each argument ends in a cover (`least_cost`), which knows the costs and limits
of the sheets:

* Area. A sheet holds its area.
* Parts that cannot share any sheet, two by two: a sheet holds one of them.
* Dual feasible functions; see `dual_pairs`.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.solve.sheets.dual_pairs import bound_by_duals
from nesting.solve.sheets.problem import SheetProblem
from nesting.solve.sheets.relaxed import Case, Part, case_of


@dataclass(frozen=True, slots=True)
class SheetBound:
    """A cost that no way to place every part goes below."""

    value: int
    basis: str


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
    problem = problem.apart()
    case = case_of(problem)
    area = SheetBound(_by_area(problem, case), "area")
    alone = SheetBound(
        case.cover([1] * len(case.sheets), loners(case)[0]),
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
    problem = problem.apart()
    best = quick_bound(problem)
    value = bound_by_duals(case_of(problem))
    if value > best.value:
        return SheetBound(value, "dual feasible functions")
    return best


def _by_area(problem: SheetProblem, case: Case) -> int:
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


def loners(case: Case) -> tuple[int, tuple[int, ...]]:
    """Choose parts no two of which go on one sheet, taking the largest first.

    Returns
    -------
    tuple
        How many there are, and of which kinds every copy is among them, by number.
    """
    full_x = max((sheet.x for sheet in case.sheets), default=0)
    full_y = max((sheet.y for sheet in case.sheets), default=0)

    def apart(one: Part, two: Part) -> bool:
        return all(
            ax + bx > full_x and ay + by > full_y
            for ax, ay in one.lies
            for bx, by in two.lies
        )

    best: tuple[int, tuple[int, ...]] = (0, ())
    orders = (
        lambda part: min(x * y for x, y in part.lies),
        lambda part: min(min(x, y) for x, y in part.lies),
        lambda part: min(x for x, _ in part.lies),
        lambda part: min(y for _, y in part.lies),
    )
    places = {id(part): at for at, part in enumerate(case.parts)}
    for order in orders:
        chosen: list[Part] = []
        whole: list[int] = []
        count = 0
        for part in sorted(case.parts, key=order, reverse=True):
            if all(apart(part, other) for other in chosen):
                chosen.append(part)
                if apart(part, part):
                    count += part.quantity
                    whole.append(places[id(part)])
                else:
                    count += 1
        best = max(best, (count, tuple(whole)), key=lambda each: each[0])
    return best
