"""Make a certificate of a bound on sticks, where the bound has a proof of that form.

Weights of the parts that are tried: their lengths, shares by dual feasible functions,
and the duals the search came by. What a stick holds of each is first taken by length,
then by an exact table over its units, or by a coarser one that rounds lengths down.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from nesting.model.certificate import Certificate, Row
from nesting.solve.proof import Demand, cut_down, prove, rows_of, scale_of, written
from nesting.solve.sticks.bounds import best_shares
from nesting.solve.sticks.core import name_weights, reduce_problem
from nesting.solve.sticks.problem import StickProblem, StickStock

GRIDS: Final = (1_000, 8_000, 60_000, 500_000, 2_000_000)
"""Units of the longest stick that are tried, one after the other."""
MOST_STEPS: Final = 200_000_000
"""Cells of all tables of a certificate."""

Weights = tuple[int, ...]
Grid = tuple[int, int]


def certify(
    problem: StickProblem, value: int, vectors: Sequence[Sequence[int]]
) -> Certificate | None:
    """Return a certificate that placing every part costs at least a value.

    Parameters
    ----------
    problem
        Its least kerf is what the certificate reckons with.
    value
        A bound, in the problem's own costs.
    vectors
        Weights worth trying besides those that are made here, by part: zero or more.

    Returns
    -------
    Certificate | None
        None where no proof of this form was found, which says nothing of the value.
    """
    stock = [each for each in problem.stock if each.limit != 0]
    parts = [part for part in problem.parts if part.quantity]
    if value <= 0 or not stock or not parts:
        return None
    weights = [cut_down([part.length + problem.least_kerf for part in problem.parts])]
    if not _is_by_length(problem, stock, value):
        more = map(cut_down, [*_by_shares(problem, value), *vectors])
        weights = [w for w in dict.fromkeys([*weights, *more]) if any(w)]
    for grid, kept, held in _attempts(problem, stock, weights):
        needs = [
            sum(w * part.quantity for w, part in zip(row, problem.parts, strict=True))
            for row in kept
        ]
        proof = prove(
            [each.cost for each in stock],
            [each.limit for each in stock],
            [Demand(holds=h, need=n) for h, n in zip(held, needs, strict=True)],
            value,
        )
        scale = None if proof is None else scale_of(proof)
        if proof is not None and scale is not None:
            rows, ids = rows_of(proof), [each.id for each in stock]
            return Certificate(
                scale=scale,
                vectors=tuple(_named(problem, kept[row]) for row in rows),
                values=tuple(tuple(zip(ids, held[row], strict=True)) for row in rows),
                kind="knapsack",
                kerf=(problem.least_kerf,),
                grid=(grid,),
                tree=written(proof, ids, rows, scale),
            )
    return None


def _named(problem: StickProblem, weights: Weights) -> Row:
    return tuple(
        (part.id, weight)
        for part, weight in zip(problem.parts, weights, strict=True)
        if weight
    )


def _is_by_length(
    problem: StickProblem, stock: Sequence[StickStock], value: int
) -> bool:
    """Tell whether lengths alone prove a value, where there is one kind of stick."""
    if len(stock) > 1:
        return False
    kerf = problem.least_kerf
    total = sum((part.length + kerf) * part.quantity for part in problem.parts)
    return -(-total // (stock[0].length + kerf)) * stock[0].cost >= value


def _by_shares(problem: StickProblem, value: int) -> Iterator[Weights]:
    """Make weights from the parts alone."""
    narrow = reduce_problem(replace(problem, kerf=problem.least_kerf))
    if narrow.core.pieces and len(narrow.core.sizes) == 1:
        cost = narrow.core.sizes[0].cost
        enough = -(-value // cost) if cost else 0
        shares = best_shares(narrow.core, enough)
        yield from name_weights(narrow, [shares], problem)


# --- what sticks hold ----------------------------------------------------------------


def _attempts(
    problem: StickProblem, stock: Sequence[StickStock], weights: Sequence[Weights]
) -> Iterator[tuple[Grid, Sequence[Weights], list[Weights]]]:
    """Go from the coarsest way to count to the finest: (grid, weights, held)."""
    kerf = problem.least_kerf
    sizes = [part.length + kerf for part in problem.parts]
    rooms = [each.length + kerf for each in stock]
    yield (1, max(rooms)), weights, [_by_length(sizes, rooms, w) for w in weights]
    exact = math.gcd(*sizes)
    copies = sum(part.quantity.bit_length() for part in problem.parts)
    for units in GRIDS:
        is_exact = max(rooms) // exact <= units
        grid = (1, exact) if is_exact else (units, max(rooms))
        cells = (max(rooms) * grid[0] // grid[1] + 1) * copies
        kept = [
            tuple(
                w if s * grid[0] // grid[1] else 0
                for w, s in zip(row, sizes, strict=True)
            )
            for row in weights[: max(0, MOST_STEPS // cells)]
        ]
        if not kept:
            return
        held = [
            tuple(
                map(
                    min,
                    _by_table(problem, rooms, row, grid),
                    _by_length(sizes, rooms, row),
                )
            )
            for row in kept
        ]
        yield grid, kept, held
        if is_exact:
            return


def _by_length(sizes: Sequence[int], rooms: Sequence[int], weights: Weights) -> Weights:
    """Return what every stick holds, were it full of the part that weighs most."""
    held = []
    for room in rooms:
        densest = max(
            (
                Fraction(w, size)
                for w, size in zip(weights, sizes, strict=True)
                if size <= room
            ),
            default=Fraction(0),
        )
        held.append(int(densest * room))
    return tuple(held)


def _by_table(
    problem: StickProblem, rooms: Sequence[int], weights: Weights, grid: Grid
) -> Weights:
    """Return the best filling of every stick, no part more often than it is wanted."""
    import numpy as np

    steps, whole = grid
    tops = [room * steps // whole for room in rooms]
    best = np.zeros(max(tops) + 1, dtype=np.int64)
    for part, weight in zip(problem.parts, weights, strict=True):
        size = (part.length + problem.least_kerf) * steps // whole
        if not weight or not size or part.length + problem.least_kerf > max(rooms):
            continue
        left, copies = min(part.quantity, max(tops) // size), 1
        while left:
            taken = min(copies, left)
            more = best[: len(best) - taken * size] + taken * weight
            np.maximum(best[taken * size :], more, out=best[taken * size :])
            left -= taken
            copies *= 2
    return tuple(int(best[top]) for top in tops)


def certify_volume(
    parts: Sequence[tuple[str, int, int]],
    stock: Sequence[tuple[str, int, int, int | None]],
    value: int,
) -> Certificate | None:
    """Return a certificate by nothing but the volume of wood.

    Parameters
    ----------
    parts
        (id, volume, quantity).
    stock
        (id, volume, cost, limit).
    value
        A bound, in the costs of the stock.
    """
    offers = [each for each in stock if each[3] != 0]
    unit = math.gcd(*(volume for _, volume, _ in parts)) or 1
    need = sum(volume // unit * count for _, volume, count in parts)
    holds = tuple(volume // unit for _, volume, _, _ in offers)
    if value <= 0 or not offers:
        return None
    proof = prove(
        [cost for _, _, cost, _ in offers],
        [limit for _, _, _, limit in offers],
        [Demand(holds=holds, need=need)],
        value,
    )
    scale = None if proof is None else scale_of(proof)
    if proof is None or scale is None:
        return None
    ids = [name for name, _, _, _ in offers]
    return Certificate(
        scale=scale,
        vectors=(tuple((name, volume // unit) for name, volume, _ in parts),),
        values=(tuple(zip(ids, holds, strict=True)),),
        kind="volume",
        kerf=(),
        grid=(),
        tree=written(proof, ids, [0], scale),
    )
