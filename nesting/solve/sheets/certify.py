"""Make a certificate of a bound on sheets, where the bound has a proof of that form.

Weights of the parts are tried, one after the other: the area of all parts, the area of
those that fit only some kinds of sheet, parts no two of which share a sheet, products
of dual feasible functions, and whatever duals the search came by. What a sheet holds of
each is first taken by area, which costs whoever checks it nothing; then by the pattern
tables, on the coarsest grid on which the proof still holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Final

from nesting.model.certificate import Certificate
from nesting.solve.proof import (
    MOST_NODES,
    Demand,
    Proof,
    cut_down,
    prove,
    rows_of,
    scale_of,
    written,
)
from nesting.solve.sheets.bounds import loners
from nesting.solve.sheets.confined import areas_on, confined_parts
from nesting.solve.sheets.dual_pairs import weights_by_duals
from nesting.solve.sheets.grid import Relaxed, lies_of
from nesting.solve.sheets.points import Axis
from nesting.solve.sheets.problem import SheetPart, SheetProblem
from nesting.solve.sheets.relaxed import case_of

GRIDS: Final = (100, 400, 1_600, 6_400, 25_000, 80_000)
"""Cells of the tables that are tried, one after the other."""
PLAIN_CELLS: Final = 1_600
"""Up to so many the tables are filled in plain Python: many a job needs no compiler."""
MOST_CELLS: Final = 100_000
"""Of all tables over what weighs anything, which is what a checker goes through."""
MOST_PLACES: Final = 3_500
"""Along one axis of them."""

Weights = tuple[int, ...]


def certify(
    problem: SheetProblem,
    value: int,
    vectors: Sequence[Sequence[int]],
    *,
    most_nodes: int = MOST_NODES,
) -> Certificate | None:
    """Return a certificate that placing every part costs at least a value.

    Parameters
    ----------
    problem
        Its least kerfs are what the certificate reckons with.
    value
        A bound, in the problem's own costs.
    vectors
        Weights worth trying besides those that are made here, by part: zero or more.
    most_nodes
        Of the tree of each attempt.

    Returns
    -------
    Certificate | None
        None where no proof of this form was found, which says nothing of the value.
    """
    if value <= 0:
        return None
    problem = problem.apart()
    for each in _attempts(problem, vectors):
        proof = prove(
            [stock.cost for stock in each.stock],
            [stock.limit for stock in each.stock],
            [Demand(holds=h, need=each.need(v)) for v, h in each.held],
            value,
            most_nodes=most_nodes,
        )
        scale = None if proof is None else scale_of(proof)
        if proof is None or scale is None:
            continue
        if each.cells(rows_of(proof)) <= MOST_CELLS:
            return _written(each, proof, scale)
    return None


class _Attempt:
    """Weights of the parts, what sheets hold of them, and by which grid."""

    def __init__(
        self,
        problem: SheetProblem,
        held: Sequence[tuple[Weights, Weights]],
        grid: tuple[tuple[int, int], ...],
    ) -> None:
        self.problem = problem
        self.stock = [each for each in problem.stock if each.limit != 0]
        self.held = held
        """(weights by part, what is held by kind of sheet)."""
        self.grid = grid

    def need(self, weights: Weights) -> int:
        """Return what all parts together weigh."""
        return sum(
            weight * part.quantity
            for weight, part in zip(weights, self.problem.parts, strict=True)
        )

    def cells(self, rows: Sequence[int]) -> int:
        """Return the cells of tables of what weighs anything: a checker's work."""
        kerfs = (self.problem.least_kerf_x, self.problem.least_kerf_y)
        most = 0
        for along in {each.grain_along_length for each in self.stock}:
            lies = [
                lie
                for number, part in enumerate(self.problem.parts)
                if any(self.held[row][0][number] for row in rows)
                for lie in lies_of(part, along, kerfs)
            ]
            counts = []
            for axis, (steps, whole) in enumerate(self.grid):
                fulls = {
                    ((each.length, each.width)[axis] + kerfs[axis]) * steps // whole
                    for each in self.stock
                    if each.grain_along_length == along
                }
                sizes = {lie[axis] * steps // whole for lie in lies}
                top = max(fulls)
                points = Axis({size for size in sizes if 0 < size <= top}, fulls).points
                counts.append(len(points))
            if max(counts) > MOST_PLACES:
                return MOST_CELLS + 1
            most = max(most, math.prod(counts))
        return most * len(rows)


def _attempts(
    problem: SheetProblem, vectors: Sequence[Sequence[int]]
) -> Iterator[_Attempt]:
    weights = _told_apart([*_plain(problem), *vectors])
    whole = max((max(each.length, each.width) for each in problem.stock), default=1)
    densities = [(each, _by_area(problem, each)) for each in weights]
    yield _Attempt(problem, densities, ((1, whole), (1, whole)))
    weights = _told_apart([*weights, *_dual(problem)])
    for most_cells in GRIDS:
        plain = most_cells <= PLAIN_CELLS
        grid = Relaxed(problem, most_cells=most_cells, plain=plain)
        if not grid.parts:
            return
        try:
            held = [_on_grid(grid, problem, each) for each in weights]
        except ValueError:  # a sum of weights might be too large
            return
        yield _Attempt(problem, held, grid.scales)
        if grid.is_exact:
            return


def _written(each: _Attempt, proof: Proof, scale: int) -> Certificate:
    """Return a certificate with just what a proof leans on."""
    rows = rows_of(proof)
    ids = [stock.id for stock in each.stock]
    problem = each.problem
    return Certificate(
        scale=scale,
        vectors=tuple(
            tuple(
                (part.id, weight)
                for part, weight in zip(problem.parts, each.held[row][0], strict=True)
                if weight
            )
            for row in rows
        ),
        values=tuple(tuple(zip(ids, each.held[row][1], strict=True)) for row in rows),
        kind="guillotine",
        kerf=(problem.least_kerf_x, problem.least_kerf_y),
        grid=each.grid,
        tree=written(proof, ids, rows, scale),
    )


# --- weights -------------------------------------------------------------------------


def _told_apart(rows: Iterable[Sequence[int]]) -> list[Weights]:
    """Return weights cut down, each once, but for those that weigh nothing."""
    return [each for each in dict.fromkeys(map(cut_down, rows)) if any(each)]


def _plain(problem: SheetProblem) -> Iterator[Weights]:
    """Make weights of areas, and of parts no two of which share a sheet."""
    for parts in confined_parts(problem).values():
        yield _areas(problem, parts)
    case = case_of(problem)
    count, alone = loners(case)
    if count:
        numbers = {case.parts[at].number for at in alone}
        yield tuple(int(number in numbers) for number in range(len(problem.parts)))


def _dual(problem: SheetProblem) -> Iterator[Weights]:
    """Make weights by dual feasible functions."""
    case = case_of(problem)
    for row in weights_by_duals(case):
        by_number = {
            part.number: weight for part, weight in zip(case.parts, row, strict=True)
        }
        yield tuple(by_number.get(number, 0) for number in range(len(problem.parts)))


def _areas(problem: SheetProblem, parts: Sequence[SheetPart]) -> Weights:
    """Return the least area of some of the parts, of the others nothing."""
    ids = {part.id for part in parts}
    return tuple(
        min(
            (
                area
                for stock in problem.stock
                if stock.limit != 0
                for area in areas_on(part, stock, problem)
            ),
            default=0,
        )
        if part.id in ids
        else 0
        for part in problem.parts
    )


# --- what sheets hold ----------------------------------------------------------------


def _by_area(problem: SheetProblem, weights: Weights) -> Weights:
    """Return what every kind of sheet holds, were it full of its densest part."""
    held = []
    for stock in problem.stock:
        if stock.limit == 0:
            continue
        densest = max(
            (
                Fraction(weight, min(areas))
                for part, weight in zip(problem.parts, weights, strict=True)
                if weight and (areas := areas_on(part, stock, problem))
            ),
            default=Fraction(0),
        )
        area = (stock.length + problem.least_kerf_x) * (
            stock.width + problem.least_kerf_y
        )
        held.append(int(densest * area))
    return tuple(held)


def _on_grid(
    grid: Relaxed, problem: SheetProblem, weights: Weights
) -> tuple[Weights, Weights]:
    """Return the weights without parts that are lost, and what sheets hold of them."""
    numbers = {part.id: number for number, part in enumerate(grid.parts)}
    kept = tuple(
        weight if numbers.get(part.id, -1) not in grid.lost else 0
        for part, weight in zip(problem.parts, weights, strict=True)
    )
    by_id = {part.id: weight for part, weight in zip(problem.parts, kept, strict=True)}
    grid.load([by_id[part.id] for part in grid.parts])
    values = [grid.most(kind) for kind in range(len(grid.stock))]
    return kept, tuple(map(min, values, _by_area(problem, kept)))
