"""All the sets of parts that one sheet can give and that are worth enough."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING, Any, Final

from nesting.solve.compile import compiled, may_compile
from nesting.solve.sheets import sets_join, sets_rooms
from nesting.solve.sheets.pattern_table import Cut, Lies, Pair, Put
from nesting.solve.sheets.points import line_of
from nesting.solve.sheets.sets_index import index_of
from nesting.solve.sheets.sets_join import (
    AT,
    COUNT,
    CURSOR_SIZE,
    LEAD,
    LEADS,
    LEAST,
    LEAST_TOO,
    MOST,
    NONE,
    SAME,
    STEPS,
    TABLE,
    UNTIL,
)
from nesting.solve.sheets.sets_words import words_for

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

SET_KERNELS: Final = (
    "nesting.solve.kernel",
    "nesting.solve.sheets.sets_rooms",
    "nesting.solve.sheets.sets_join",
    "nesting.solve.sheets.simplex",
)
"""Modules of kernels, callees before callers."""

FINEST = 250
"""Units of the tables along a side, at most."""
_MOST_AREA = 1 << 26
"""Of a sheet, in the measure of areas; times a worth it stays below 62 bits."""
MOST_WORTH: Final = 1 << 34
"""Of a part, at most."""
STEPS_PER_UNIT: Final = 300
"""Steps of a join that take about as long as an iteration of the search."""
TRIED_PER_UNIT: Final = 750
"""Cells and their neighbours, of the tables, likewise."""
_MOST_CELLS = 60_000_000
"""To fill, with their neighbours, for tables that leave a kind out."""
_SLICE = 2_000_000
"""Steps of a join between two looks around; some hundredths of a second."""
_LINES = 9  # numbers kept for each state, beside its set


class States:
    """Sets of parts, each with boxes it can be cut from, under values of the parts.

    Parameters
    ----------
    lies
        The ways each kind may lie, inflated; all fit the sheet.
    wanted
        How many there are of each kind, at least 1.
    sheet
        (x, y), inflated.
    most
        There may be so many states.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(
        self,
        lies: Sequence[Lies],
        wanted: Sequence[int],
        sheet: tuple[int, int],
        *,
        most: int,
        plain: bool = False,
    ) -> None:
        import numpy as np

        self._lies = tuple(lies)
        self._wanted = tuple(wanted)
        self._scales = tuple(
            _scale({lie[axis] for each in lies for lie in each}, sheet[axis])
            for axis in (0, 1)
        )
        self._layout = words_for(wanted)
        self._words = len(self._layout.extra)
        self._area_unit = -(-sheet[0] * sheet[1] // _MOST_AREA)
        full = tuple(
            self._unit(axis, size) for axis, size in zip((0, 1), sheet, strict=True)
        )
        self._row = full[0] + 1
        self._frame = line_of(
            (*sheet, *full, self._words, len(self._lies), self._area_unit)
        )
        cells = self._row * (full[1] + 1)
        self._cells = cells * (sum(full) // 2 + 1)
        self._size = cells
        self._most_tables = min(_MOST_CELLS // self._cells, len(self._lies))
        self._inner: Line = np.zeros(cells, dtype=np.int64)
        self._outers: tuple[Line, Line] = (
            np.zeros((1 + self._most_tables) * cells, dtype=np.int64),
            np.zeros(cells, dtype=np.int64),
        )
        self._tables: tuple[int, ...] = ()
        room = most + len(self._lies) * 2 + 4
        self._store: tuple[Line, ...] = (
            np.zeros(room * self._words, dtype=np.int64),
            *(np.zeros(room, dtype=np.int64) for _ in range(_LINES)),
            np.full(1 << most.bit_length(), NONE, dtype=np.int64),
        )
        self._units: tuple[Line, Line] = (
            np.zeros(room, dtype=np.int64),
            np.zeros(room, dtype=np.int64),
        )
        self._most = room - 4
        self._cursor: Line = np.zeros(CURSOR_SIZE, dtype=np.int64)
        made: Any = {**vars(sets_rooms), **vars(sets_join)}
        if may_compile() and not plain:
            made = compiled(SET_KERNELS)
        self._kernels = made
        self._values: tuple[int, ...] = ()
        self._too: tuple[int, ...] = ()
        self._is_sharp = False
        self._pieces: tuple[Line, ...] = ()
        self._fields: tuple[Line, ...] = ()
        self.is_complete = False
        """Whether the last enumeration left out nothing."""
        self.is_full = False
        """Whether the last enumeration ended for want of room."""

    @property
    def count(self) -> int:
        """How many states there are."""
        return int(self._cursor[COUNT])

    def _unit(self, axis: int, size: int) -> int:
        steps, whole = self._scales[axis]
        return size * steps // whole

    def load(self, values: Sequence[int], too: Sequence[int] | None = None) -> int:
        """Take over values of the kinds, from 0 to `MOST_WORTH`; return the effort.

        Parameters
        ----------
        values
            One for each kind.
        too
            Other values that a set has to be worth something in as well, if any.
        """
        self._values = tuple(values)
        self._too = (0,) * len(values) if too is None else tuple(too)
        if max(*self._values, *self._too) > MOST_WORTH:
            raise ValueError("a value is too large")
        if too is None:
            self._outers[1][:] = 0
        else:
            self._fill(self._too, self._outers[1])
        rows = []
        for kind, (value, each) in enumerate(
            zip(self._values, self._lies, strict=True)
        ):
            area = min(x * y for x, y, _ in each) // self._area_unit
            ends = (*each[0][:2], *each[-1][:2])
            rows.append((value, area, *ends, self._wanted[kind], kind))
        *pieces, order = _densest_first(rows)
        self._pieces = tuple(pieces)
        self._fields = self._layout.fields(order.tolist())
        self._tables = (0,) * len(values)
        self._is_sharp = False
        self._fill(self._values, self._outers[0][: self._size])
        return self._cells if too is None else 2 * self._cells

    def sharpen(self) -> Iterator[int]:
        """Tell states more of what may go beside them, namely no part they have used.

        Yields
        ------
        int
            The effort of a table.
        """
        single = [
            kind
            for kind, wanted in enumerate(self._wanted)
            if wanted == 1 and self._values[kind]
        ]
        single.sort(key=lambda kind: (-self._values[kind], kind))
        single = single[: self._most_tables]
        tables = [len(single) * self._size] * len(self._values)
        outer = self._outers[0]
        end = tables[0]
        outer[end : end + self._size] = outer[: self._size]
        for number, left_out in enumerate(single):
            values = list(self._values)
            values[left_out] = 0
            begin = number * self._size
            self._fill(values, outer[begin : begin + self._size])
            tables[left_out] = begin
            yield self._cells
        self._tables = tuple(tables)
        self._is_sharp = True

    def prepare(
        self, values: Sequence[int], too: Sequence[int] | None = None
    ) -> Iterator[int]:
        """Load values and sharpen, where that is not how it stands.

        Yields
        ------
        int
            The effort of a table.
        """
        more = (0,) * len(values) if too is None else tuple(too)
        if self._is_sharp and (self._values, self._too) == (tuple(values), more):
            return
        yield self.load(values, too)
        yield from self.sharpen()

    def _fill(self, values: Sequence[int], outer: Line) -> None:
        """Find what goes beside a box at most, in some values."""
        rows = []
        for kind, (value, each) in enumerate(zip(values, self._lies, strict=True)):
            one, two = (
                (self._unit(0, x), self._unit(1, y)) for x, y, _ in (each[0], each[-1])
            )
            area = min(u * v for u, v in (one, two))
            rows.append((value, area, *one, *two, self._wanted[kind], kind))
        grid = tuple(_densest_first(rows)[:-1])
        self._kernels["fill_inner"](self._inner, self._frame, grid)
        self._kernels["fill_outer"](outer, self._inner, self._frame, grid)

    def enumerate(
        self, least: int, most_steps: int, least_too: int = 0
    ) -> Iterator[int]:
        """Find all sets that are worth enough, of parts that are worth anything.

        Parameters
        ----------
        least
            Above 0.
        most_steps
            It gives up after so many.
        least_too
            In the other values, where there are any.

        Yields
        ------
        int
            The effort of a slice.
        """
        cursor, heads = self._cursor, self._store[-1]
        heads[:] = NONE
        cursor[:] = 0
        cursor[LEAST] = least
        cursor[LEAST_TOO] = least_too
        cursor[MOST] = self._most
        cursor[TABLE] = max(self._tables)
        self.is_complete = self.is_full = False
        self._add_parts()
        levels = [(0, 0), self._sealed(0)]
        spent = 0
        while any(begin < end for begin, end in levels[len(levels) + 1 >> 1 :]):
            size = len(levels)
            begin = self.count
            for part in range(1, size // 2 + 1):
                one, other = levels[part], levels[size - part]
                index = order, _, _, leads = index_of(self._store, self._units, *other)
                cursor[AT], cursor[UNTIL] = one
                cursor[LEADS] = len(leads) // LEAD
                cursor[SAME] = int(2 * part == size)
                while len(order) and cursor[AT] < one[1]:
                    cursor[STEPS] = 0
                    self._join(index)
                    spent += int(cursor[STEPS])
                    yield int(cursor[STEPS])
                    self.is_full = bool(cursor[AT] > one[1])
                    if spent > most_steps or self.is_full:
                        return
            levels.append(self._sealed(begin))
        self.is_complete = True

    def _add_parts(self) -> None:
        words = self._store[0]
        own = self._layout
        for i, lies in enumerate(self._lies):
            value, too = self._values[i], self._too[i]
            if value + too == 0:
                continue
            for number, (x, y, _) in enumerate(lies):
                place = self._unit(1, y) * self._row + self._unit(0, x)
                if (
                    value + self._outers[0][self._tables[i] + place]
                    < self._cursor[LEAST]
                ):
                    continue
                if too + self._outers[1][place] < self._cursor[LEAST_TOO]:
                    continue
                at = self.count * self._words
                words[at : at + self._words] = 0
                words[at + own.places[i]] = 1 << own.shifts[i]
                self._kernels["add"](
                    self._frame,
                    self._pieces,
                    self._fields,
                    self._store,
                    self._cursor,
                    x,
                    y,
                    value,
                    too,
                    self._tables[i],
                    NONE,
                    2 * i + number,
                    NONE,
                )

    def _join(self, index: tuple[Line, ...]) -> None:
        self._kernels["join"](
            self._frame,
            self._pieces,
            self._fields,
            self._outers,
            self._store,
            self._units,
            *index,
            self._cursor,
            _SLICE,
        )

    def _sealed(self, begin: int) -> tuple[int, int]:
        """Finish a level, which begins there."""
        end = self.count
        for axis in (0, 1):
            steps, whole = self._scales[axis]
            sizes = self._store[1 + axis][begin:end]
            self._units[axis][begin:end] = sizes * steps // whole
        return begin, end

    # --- what was found ---------------------------------------------------------------

    def found(self, least: int, least_too: int = 0) -> Line:
        """Return a state of each set worth so much, in the order they were found."""
        import numpy as np

        _, _, _, worths, toos, *_ = self._store
        is_enough = (worths >= least) & (toos >= least_too)
        chosen = np.flatnonzero(is_enough[: self.count])
        if not len(chosen):
            return chosen
        words = self._store[0].reshape(-1, self._words)[chosen]
        _, first = np.unique(words, axis=0, return_index=True)
        return chosen[np.sort(first)]

    def largest(self, chosen: Line) -> Line:
        """Leave out sets to which a part can be added."""
        import numpy as np

        grown = np.zeros(len(chosen), dtype=np.int64)
        scratch = np.zeros(self._words, dtype=np.int64)
        self._kernels["mark_grown"](
            self._frame,
            self._pieces,
            self._fields,
            self._store,
            scratch,
            chosen,
            grown,
        )
        kept: Line = chosen[grown == 0]
        return kept

    def worths(self, chosen: Line) -> Line:
        """Return what some states are worth."""
        return self._store[3][chosen]

    def counts(self, chosen: Line) -> Line:
        """Return how many of each kind some states hold: a row for each."""
        return self._layout.counts(self._store[0].reshape(-1, self._words)[chosen])

    def cut(self, state: int) -> Cut:
        """Return how a state is cut."""
        return self._cut(self._store[6:9], state)

    def cuts(self) -> Callable[[int], Cut]:
        """Return what tells how the present states are cut, later on too."""
        lines = tuple(line[: self.count].copy() for line in self._store[6:9])
        return partial(self._cut, lines)

    def _cut(self, lines: Sequence[Line], state: int) -> Cut:
        axes, ones, twos = lines
        one, two = int(ones[state]), int(twos[state])
        if axes[state] == NONE:
            kind, number = divmod(one, 2)
            return Put(kind, self._lies[kind][number][2])
        return Pair(int(axes[state]), self._cut(lines, one), self._cut(lines, two))


def _scale(sizes: set[int], whole: int) -> tuple[int, int]:
    """Return (p, q): a size is floor(size p / q) units of the tables."""
    unit = math.gcd(*sizes)
    return (1, unit) if whole // unit <= FINEST else (FINEST, whole)


def _densest_first(rows: Sequence[tuple[int, ...]]) -> list[Line]:
    """Return the columns of (worth, area, ..., kind), sorted by worth for area."""
    order = sorted(rows, key=lambda row: (Fraction(-row[0], max(1, row[1])), row[-1]))
    return [line_of(column) for column in zip(*order, strict=True)]
