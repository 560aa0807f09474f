"""A sheet problem on a grid: what the pattern tables of the linear bound stand on.

Sizes are inflated by the least kerf of each axis, and where their common measure makes
too large a table they are brought to a coarser grid by f(s) = floor(s N / S), S the
longest sheet. Sizes that add up to at most s have f adding up to at most f(s), so what
was cut from a sheet can be cut on the grid: values on it are never too low. N is chosen
so that the parts lose little.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.solve.sheets.pattern_table import Cut, Lies, Table
from nesting.solve.sheets.problem import SheetPart, SheetProblem

_FINENESS = (
    4000,
    2800,
    2000,
    1400,
    1000,
    700,
    500,
    350,
    250,
    180,
    120,
    80,
    50,
    20,
    5,
    1,
)
"""Grid units of the longer side of the largest sheet, from fine to coarse."""
_LONGEST = 20_000
_TRIED = 48


@dataclass(frozen=True, slots=True)
class _Group:
    """Kinds of sheet whose grain lies the same way, and their table."""

    kinds: tuple[int, ...]
    table: Table


class Relaxed:
    """The best patterns of every kind of sheet, under any values of the parts.

    Parameters
    ----------
    problem
        Parts without a number wanted, or that fit no sheet, are left out, and so is
        stock of which there is none.
    most_cells
        The tables may have so many.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(
        self, problem: SheetProblem, *, most_cells: int, plain: bool = False
    ) -> None:
        self._plain = plain
        self.stock = tuple(each for each in problem.stock if each.limit != 0)
        kerfs = (problem.least_kerf_x, problem.least_kerf_y)
        self._sheets = [
            (each.length + kerfs[0], each.width + kerfs[1]) for each in self.stock
        ]
        self.parts = tuple(
            part
            for part in problem.parts
            if part.quantity
            and any(
                _fits(lies_of(part, each.grain_along_length, kerfs), sheet)
                for each, sheet in zip(self.stock, self._sheets, strict=True)
            )
        )
        self._lies = {
            grain: [
                tuple(
                    lie
                    for lie in lies_of(part, grain, kerfs)
                    if any(_fits((lie,), sheet) for sheet in self._sheets)
                )
                for part in self.parts
            ]
            for grain in sorted({each.grain_along_length for each in self.stock})
        }
        self._gridded: tuple[tuple[int, int], ...] = ()
        self.lost: frozenset[int] = frozenset()
        """Parts too small for the grid, by number: they take no room on it."""
        self.is_exact = False
        """Whether the grid loses nothing."""
        self.scales: tuple[tuple[int, int], ...] = ((1, 1), (1, 1))
        """(steps, whole) along x and y: a size s counts floor(s * steps / whole)."""
        self._groups = self._tabled(most_cells) if self.parts else ()
        self.cells = sum(group.table.cells for group in self._groups)
        """What one pricing goes through."""

    def load(self, values: Sequence[int]) -> None:
        """Find what every kind of sheet holds at most, in values of the parts."""
        for _ in self.loading(values):
            pass

    def loading(self, values: Sequence[int]) -> Iterator[int]:
        """Do as `load` does in pieces of a moment; yield the cells of each."""
        for group in self._groups:
            yield from group.table.filling(values)

    def most(self, kind: int) -> int:
        """Return what one kind of sheet holds, or a little more, never less."""
        return self._group(kind).table.value(*self._gridded[kind])

    def cut(self, kind: int) -> Cut | None:
        """Return a best pattern; on a coarse grid it may not fit in truth."""
        return self._group(kind).table.cut(*self._gridded[kind])

    def ceiling(self, number: int) -> int:
        """Return how many of a part some sheet holds at most, by area on the grid."""
        return max(group.table.ceiling(number) for group in self._groups)

    def _group(self, kind: int) -> _Group:
        return next(group for group in self._groups if kind in group.kinds)

    def _tabled(self, most_cells: int) -> tuple[_Group, ...]:
        """Make the tables, on the finest grid on which they are small enough."""
        wholes = [max(sheet[axis] for sheet in self._sheets) for axis in (0, 1)]
        units = [
            math.gcd(
                *(lie[axis] for each in self._lies.values() for lie in _flat(each))
            )
            for axis in (0, 1)
        ]
        steps = [whole // unit for whole, unit in zip(wholes, units, strict=True)]
        if max(steps) <= _LONGEST:
            groups = self._made(self._lies, self._sheets, most_cells)
            if groups is not None:
                self.is_exact = True
                self.scales = tuple((1, unit) for unit in units)
                return groups
        for fine in _FINENESS:
            scales = [
                (self._step(axis, max(1, fine * wholes[axis] // max(wholes))), whole)
                for axis, whole in enumerate(wholes)
            ]
            lies = {
                grain: [
                    tuple(
                        (_floor(x, scales[0]), _floor(y, scales[1]), t)
                        for x, y, t in own
                    )
                    for own in each
                ]
                for grain, each in self._lies.items()
            }
            sheets = [
                (_floor(x, scales[0]), _floor(y, scales[1])) for x, y in self._sheets
            ]
            groups = self._made(lies, sheets, most_cells)
            if groups is not None:
                self.scales = tuple(scales)
                return groups
        raise ValueError("there is no grid coarse enough")

    def _made(
        self,
        lies: Mapping[bool, Sequence[Lies]],
        sheets: Sequence[tuple[int, int]],
        most_cells: int,
    ) -> tuple[_Group, ...] | None:
        """Return the tables over these sizes; None where they are too large."""
        # A part that came to nothing could be cut any number of times: leave it out.
        lost = {
            number
            for each in lies.values()
            for number, own in enumerate(each)
            if any(not x or not y for x, y, _ in own)
        }
        groups = []
        for grain, each in lies.items():
            kinds = tuple(
                number
                for number, stock in enumerate(self.stock)
                if stock.grain_along_length == grain
            )
            kept = [() if number in lost else own for number, own in enumerate(each)]
            try:
                table = Table(
                    kept,
                    [sheets[k] for k in kinds],
                    most_cells=most_cells,
                    plain=self._plain,
                )
            except ValueError:
                return None
            groups.append(_Group(kinds, table))
        self._gridded = tuple(sheets)
        self.lost = frozenset(lost)
        return tuple(groups)

    def _step(self, axis: int, most: int) -> int:
        """Return into how many steps to divide an axis, so that parts lose little."""
        whole = max(sheet[axis] for sheet in self._sheets)
        weights: Counter[int] = Counter()
        for each in self._lies.values():
            for part, own in zip(self.parts, each, strict=True):
                for lie in own:
                    weights[lie[axis]] += part.quantity * lie[1 - axis]
        tried = range(most, max(1, most - most // 5), -max(1, most // 5 // _TRIED))

        def kept(steps: int) -> Fraction:
            return Fraction(
                sum(w * (size * steps // whole) for size, w in weights.items()), steps
            )

        return max(tried, key=kept, default=most)


def _flat(lies: Iterable[Lies]) -> Iterator[tuple[int, int, bool]]:
    for each in lies:
        yield from each


def _floor(size: int, scale: tuple[int, int]) -> int:
    steps, whole = scale
    return size * steps // whole


def lies_of(part: SheetPart, grain_along_length: bool, kerfs: tuple[int, int]) -> Lies:
    """Return the ways a part may lie on sheets of a grain, inflated by the kerfs."""
    along = (part.length + kerfs[0], part.width + kerfs[1], False)
    across = (part.width + kerfs[0], part.length + kerfs[1], True)
    if part.grain_bound:
        return (along,) if grain_along_length else (across,)
    return (along,) if part.length == part.width else (along, across)


def _fits(lies: Lies, sheet: tuple[int, int]) -> bool:
    return any(x <= sheet[0] and y <= sheet[1] for x, y, _ in lies)
