"""The most that boards can hold of given values, over every pattern of three stages.

Method (Gilmore & Gomory, Operations Research 13 (1965) 94-120, for staged patterns),
on a grid: sizes with their kerf are rounded down to units, parts and boards alike, so
the grid only ever gives room. For each family of boards that give the same layers of
every part,

    row(w, x)      parts no wider than w in a row of length x, each as often as wanted
    strip(w, x)    a row, or so many slices of one thickness, each the best row of it
    section(W, x)  strips side by side in a width W, as often as one likes
    board(W, L)    sections, and whole pieces as wide as the board, in a length L

Guarantee: no board holds more in truth, with these kerfs or wider ones.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import gcd
from typing import Any, Final

from nesting.solve.boards import table_kernels
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.solve.boards.tiny import tiny_problem
from nesting.solve.compile import compiled, mark_complete, may_compile

TABLE_KERNELS: Final = ("nesting.solve.kernel", "nesting.solve.boards.table_kernels")
"""Modules of kernels, callees before callers."""
MOST_LONG: Final = 800
"""Grid units along the longest section, about."""
MOST_WIDE: Final = 200
"""And across the widest board."""
_PLAIN_CELLS: Final = 20_000
"""Up to so many the tables are filled in plain Python."""


@dataclass(slots=True)
class _Rows:
    """The rows of parts that may lie together: of one thickness, or not resawn."""

    layers: int
    parts: list[int]
    """In the order of the items; a part stands as often as it is wanted."""
    ends: list[int]
    """By width of strip: how many items are no wider."""
    sizes: Any = None
    table: Any = None


@dataclass(slots=True)
class _Family:
    """Boards that give the same layers of every part."""

    kinds: list[int]
    widths: list[int]
    """Of strips, each once, rising."""
    rows: list[_Rows]
    most: int
    """The width of the widest board."""
    strips: Any = None
    sections: Any = None
    boards: dict[int, Any] = field(default_factory=dict)
    """By kind."""


class BoardTable:
    """Best values of every kind of board, refilled as the values of parts change.

    Parameters
    ----------
    problem
        Its least kerfs and most layers are what is reckoned with.
    plain
        Whether to do without the compiler, which changes nothing but the time; None to
        do without where there is little to do, or none.
    """

    def __init__(self, problem: BoardProblem, *, plain: bool | None = None) -> None:
        self.problem = problem
        self.parts = problem.parts
        self.stock = problem.stock
        kx, ky = problem.least_kerf_x, problem.least_kerf_y
        longest = max((self._rough(each) for each in self.stock), default=1)
        widest = max((each.width for each in self.stock), default=1)
        x = [part.length + kx for part in self.parts]
        y = [max(part.width, problem.narrowest_rip) + ky for part in self.parts]
        self.unit_x = _unit(
            [*x, *(s.length + kx for s in self.stock)], longest, MOST_LONG
        )
        self.unit_y = _unit(
            [*y, *(s.width + ky for s in self.stock)], widest, MOST_WIDE
        )
        self.long = [size // self.unit_x for size in x]
        self.wide = [size // self.unit_y for size in y]
        self.stride = (longest + kx) // self.unit_x + 1
        self.lengths = [(each.length + kx) // self.unit_x for each in self.stock]
        self.board_widths = [(each.width + ky) // self.unit_y for each in self.stock]
        self.families = self._families()
        self.wholes = [self._wholes(each) for each in self.stock]
        self.cells = sum(self._cells(family) for family in self.families)
        """How much work one filling is, about."""
        if plain is None:
            plain = self.cells <= _PLAIN_CELLS or not may_compile()
        self._is_plain = plain
        self._values: list[int] = [0] * len(self.parts)

    def _rough(self, stock: BoardStock) -> int:
        rough = self.problem.longest_rough
        return stock.length if rough is None else min(rough, stock.length)

    def _layers(self, part: BoardPart, stock: BoardStock) -> int:
        return max(
            part.most_layers.get(stock.section, 0), part.layers.get(stock.section, 0)
        )

    def _families(self) -> list[_Family]:
        found: dict[tuple[int, ...], list[int]] = {}
        for kind, stock in enumerate(self.stock):
            if stock.limit != 0:
                row = tuple(self._layers(part, stock) for part in self.parts)
                found.setdefault(row, []).append(kind)
        return [self._family(row, kinds) for row, kinds in found.items()]

    def _family(self, layers: Sequence[int], kinds: list[int]) -> _Family:
        most = max(self.board_widths[kind] for kind in kinds)
        own = [
            i
            for i in range(len(self.parts))
            if layers[i] and self.wide[i] <= most and self.long[i] < self.stride
        ]
        own.sort(key=lambda i: (self.wide[i], i))
        widths = sorted({self.wide[i] for i in own})
        classes: dict[tuple[int, int], list[int]] = {}
        for i in own:
            part = self.parts[i]
            if layers[i] == 1 or part.may_stay_thick:
                classes.setdefault((0, 1), []).append(i)
            if layers[i] > 1:
                classes.setdefault((part.thickness, layers[i]), []).append(i)
        rows = []
        for (_, times), members in sorted(classes.items()):
            items = [
                i
                for i in members
                for _ in range(
                    min(self.parts[i].quantity, self.stride // max(1, self.long[i]))
                )
            ]
            ends = [sum(self.wide[i] <= width for i in items) for width in widths]
            rows.append(_Rows(layers=times, parts=items, ends=ends))
        return _Family(kinds=kinds, widths=widths, rows=rows, most=most)

    def _wholes(self, stock: BoardStock) -> list[tuple[int, int]]:
        """Return (part, layers) of what is as wide as a board: it is not ripped."""
        return [
            (i, layers)
            for i, part in enumerate(self.parts)
            if part.width == stock.width
            and part.quantity
            and (layers := self._layers(part, stock))
            and part.length <= stock.length
        ]

    def _cells(self, family: _Family) -> int:
        items = sum(len(rows.parts) for rows in family.rows)
        return self.stride * (
            items
            + len(family.widths) * family.most
            + sum(self.lengths[kind] for kind in family.kinds)
        )

    def fill(self, values: Sequence[int]) -> list[int]:
        """Return the most that a board of each kind holds, of whole values of parts.

        Parameters
        ----------
        values
            By part, zero or more; what a board holds has to stay below 2**62.
        """
        self._values = list(values)
        kernels: Any = table_kernels
        if not self._is_plain:
            kernels = _Compiled()
        most = [0] * len(self.stock)
        for family in self.families:
            self._fill_family(family, kernels)
            done: dict[tuple[int, tuple[tuple[int, int], ...]], list[int]] = {}
            for kind in family.kinds:
                key = (self.board_widths[kind], tuple(self.wholes[kind]))
                done.setdefault(key, []).append(kind)
            for (width, wholes), kinds in done.items():
                length = max(self.lengths[kind] for kind in kinds)
                table = self._line(length + 1)
                kernels.fill_board(
                    family.sections,
                    width,
                    self.stride,
                    self._ints([self.long[i] for i, _ in wholes]),
                    self._ints([self._values[i] * n for i, n in wholes]),
                    len(wholes),
                    length,
                    table,
                )
                for kind in kinds:
                    family.boards[kind] = table
                    most[kind] = int(table[self.lengths[kind]])
        return most

    def _fill_family(self, family: _Family, kernels: Any) -> None:
        stride = self.stride
        family.strips = self._line(stride * max(1, len(family.widths)))
        for rows in family.rows:
            rows.sizes = self._ints([self.long[i] for i in rows.parts])
            worths = self._ints([self._values[i] for i in rows.parts])
            rows.table = self._line(stride * (len(rows.parts) + 1))
            kernels.fill_rows(rows.sizes, worths, len(rows.parts), stride, rows.table)
            for at, end in enumerate(rows.ends):
                kernels.best_of(rows.table, end, rows.layers, stride, at, family.strips)
        family.sections = self._line(stride * (family.most + 1))
        kernels.fill_sections(
            self._ints(family.widths),
            len(family.widths),
            family.strips,
            stride,
            family.most,
            family.sections,
        )

    def _line(self, size: int) -> Any:
        if self._is_plain:
            return [0] * size
        import numpy as np

        return np.zeros(size, np.int64)

    def _ints(self, values: list[int]) -> Any:
        if self._is_plain:
            return values
        import numpy as np

        return np.array(values, np.int64)

    def pattern(self, kind: int) -> Counter[int]:
        """Return how often each part lies on a best board of a kind, by its number."""
        family = next(f for f in self.families if kind in f.kinds)
        table, stride = family.boards[kind], self.stride
        width = self.board_widths[kind]
        found: Counter[int] = Counter()
        here = self.lengths[kind]
        while here > 0 and table[here] > 0:
            if table[here] == table[here - 1]:
                here -= 1
                continue
            step = self._whole_step(kind, table, here)
            if step is not None:
                i, layers = step
                found[i] += layers
                here -= self.long[i]
                continue
            for x in range(1, min(stride - 1, here) + 1):
                worth = family.sections[width * stride + x]
                if worth and table[here] == table[here - x] + worth:
                    self._section(family, width, x, found)
                    here -= x
                    break
        return found

    def _whole_step(self, kind: int, table: Any, here: int) -> tuple[int, int] | None:
        for i, layers in self.wholes[kind]:
            size, worth = self.long[i], self._values[i] * layers
            if worth and size <= here and table[here] == table[here - size] + worth:
                return i, layers
        return None

    def _section(
        self, family: _Family, width: int, x: int, found: Counter[int]
    ) -> None:
        stride = self.stride
        while width > 0 and family.sections[width * stride + x] > 0:
            now = family.sections[width * stride + x]
            if now == family.sections[(width - 1) * stride + x]:
                width -= 1
                continue
            for at, strip in enumerate(family.widths):
                if strip > width:
                    continue
                before = family.sections[(width - strip) * stride + x]
                if now == before + family.strips[at * stride + x]:
                    self._strip(family, at, x, found)
                    width -= strip
                    break

    def _strip(self, family: _Family, at: int, x: int, found: Counter[int]) -> None:
        worth = family.strips[at * self.stride + x]
        for rows in family.rows:
            end = rows.ends[at]
            if worth == rows.layers * rows.table[end * self.stride + x]:
                while end > 0 and x > 0:
                    here = rows.table[end * self.stride + x]
                    if here != rows.table[(end - 1) * self.stride + x]:
                        found[rows.parts[end - 1]] += rows.layers
                        x -= self.long[rows.parts[end - 1]]
                    end -= 1
                return


class _Compiled:
    """The kernels as the compiler made them, under their own names."""

    def __getattr__(self, name: str) -> Any:
        return compiled(TABLE_KERNELS)[name]


def _unit(sizes: Sequence[int], largest: int, cells: int) -> int:
    """Return the greatest unit that loses nothing, or one that makes few enough."""
    exact = gcd(*sizes) or 1
    return exact if largest <= exact * cells else max(1, -(-largest // cells))


def prepare_tables() -> None:
    """Run every kernel of the tables once, compiled if that is possible."""
    if may_compile():
        BoardTable(tiny_problem(), plain=False).fill([1])
        mark_complete(TABLE_KERNELS)
