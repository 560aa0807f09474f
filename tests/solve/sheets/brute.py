"""The least cost of tiny sheet problems, by trying everything."""

from __future__ import annotations

from functools import cache

from nesting.model.stock import Edges
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock


def problem_of(parts, stock, kerfs=(0, 0)):
    """Return a problem from rows: parts (length, width, quantity, grain bound), stock
    (length, width, cost, limit, grain along length).
    """
    return SheetProblem(
        parts=tuple(
            SheetPart(id=f"p{i}", length=w, width=h, quantity=n, grain_bound=bound)
            for i, (w, h, n, bound) in enumerate(parts)
        ),
        stock=tuple(
            SheetStock(
                id=f"s{k}",
                length=w,
                width=h,
                cost=cost,
                limit=limit,
                grain_along_length=along,
                trim=Edges(),
            )
            for k, (w, h, cost, limit, along) in enumerate(stock)
        ),
        kerf_x=kerfs[0],
        kerf_y=kerfs[1],
        least_kerf_x=kerfs[0],
        least_kerf_y=kerfs[1],
    )


def least(problem: SheetProblem) -> int | None:
    """Return the least cost of placing every part; None where that cannot be."""
    pieces = [part for part in problem.parts for _ in range(part.quantity)]
    everything = (1 << len(pieces)) - 1

    @cache
    def fits(mask: int, x: int, y: int, along: bool) -> bool:
        """Tell whether pieces can be cut from a rectangle, edge to edge."""
        if mask & (mask - 1) == 0:
            part = pieces[mask.bit_length() - 1]
            straight = part.length <= x and part.width <= y
            turned = part.width <= x and part.length <= y
            if part.grain_bound:
                return straight if along else turned
            return straight or turned
        one = (mask - 1) & mask
        while one:
            two = mask ^ one
            for a in range(1, x):
                rest = x - a - problem.kerf_x
                if rest > 0 and fits(one, a, y, along) and fits(two, rest, y, along):
                    return True
            for b in range(1, y):
                rest = y - b - problem.kerf_y
                if rest > 0 and fits(one, x, b, along) and fits(two, x, rest, along):
                    return True
            one = (one - 1) & mask
        return False

    @cache
    def cost(left: int, used: tuple[int, ...]) -> int | None:
        if not left:
            return 0
        first = left & -left
        best: int | None = None
        inside = left
        while inside:
            if inside & first:
                for k, sheet in enumerate(problem.stock):
                    if sheet.limit is not None and used[k] >= sheet.limit:
                        continue
                    along = sheet.grain_along_length
                    if not fits(inside, sheet.length, sheet.width, along):
                        continue
                    more = tuple(
                        n + (j == k and sheet.limit is not None)
                        for j, n in enumerate(used)
                    )
                    rest = cost(left ^ inside, more)
                    if rest is not None and (best is None or rest + sheet.cost < best):
                        best = rest + sheet.cost
            inside = (inside - 1) & left
        return best

    return cost(everything, (0,) * len(problem.stock))
