"""Best values of every rectangle over some points, and the cuts read off them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.compile import compiled, may_compile
from nesting.solve.sheets import tables
from nesting.solve.sheets.points import Axis, line_of
from nesting.units import Ticks

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

PATTERN_KERNELS: Final = (
    "nesting.solve.kernel",
    "nesting.solve.sheets.tables",
    "nesting.solve.sheets.rows",
)
"""Modules of kernels, callees before callers."""

MOST_CELLS: Final = 60_000_000
"""Of a table; 8 bytes each."""
_MOST_VALUE = 2**62
_LISTED = 256
_FEW_CELLS = 1_000_000
_AT_ONCE = 300_000
_PLANE = (Plane.CROSSCUT, Plane.RIP)

Lies = tuple[tuple[int, int, bool], ...]
"""(x, y, turned) in each way a piece may lie."""


@dataclass(frozen=True, slots=True)
class Put:
    """One piece (by number) in a cutting tree without sizes."""

    piece: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Pair:
    """What is cut in two: side by side along the length (axis 0) or the width (1)."""

    axis: int
    one: Cut
    two: Cut


Cut = Put | Pair


class Table:
    """Best values over all the points of some sheets, refilled as values change.

    Parameters
    ----------
    lies
        The ways each piece may lie, in grid units, inflated. A way that fits on no
        sheet is left out.
    sheets
        (x, y) of each, in grid units, inflated.
    most_cells
        It may have so many.
    thin
        Whether to leave points out rather than have more cells, as far as that goes:
        what is cut can be cut all the same, but it need not be the best.
    plain
        Whether to do without the compiler, which changes nothing but the time.

    Raises
    ------
    ValueError
        Where there are more cells.
    """

    def __init__(
        self,
        lies: Sequence[Lies],
        sheets: Sequence[tuple[int, int]],
        *,
        most_cells: int = MOST_CELLS,
        thin: bool = False,
        plain: bool = False,
    ) -> None:
        import numpy as np

        self._lies = [
            tuple(lie for lie in each if _fits(lie, sheets) and lie[0] and lie[1])
            for each in lies
        ]
        self._axes = axes_of(self._lies, sheets, most_cells if thin else None)
        self.cells = math.prod(len(axis.points) for axis in self._axes)
        """How much work one filling is, about."""
        if self.cells > most_cells and not thin:
            raise ValueError(f"{self.cells} cells are too many for a table")
        columns, rows = (len(axis.points) for axis in self._axes)
        self.is_thin = any(axis.is_thin for axis in self._axes)
        """Whether points were left out."""
        self._area = max((x * y for x, y in sheets), default=0)
        self._values: NDArray[np.int64] = np.zeros((rows, columns), dtype=np.int64)
        self._puts: dict[tuple[int, int], tuple[int, Put]] = {}
        room = columns * min(rows, _LISTED)
        self._room = tuple(
            np.zeros(size, dtype=np.int64) for size in (room, columns, columns)
        )
        self._fill: Any = tables.fill
        if may_compile() and not plain:
            self._fill = compiled(PATTERN_KERNELS)["fill"]

    def fill(self, values: Sequence[int]) -> None:
        """Find the best value of every rectangle.

        Parameters
        ----------
        values
            Of the pieces, zero or more.

        Raises
        ------
        ValueError
            Where a sum may pass 62 bits.
        """
        for _ in self.filling(values):
            pass

    def filling(self, values: Sequence[int]) -> Iterator[int]:
        """Do as `fill` does in pieces of a moment; yield the cells of each."""
        self._put(values)
        rows, columns = self._values.shape
        some = max(1, _AT_ONCE // columns)
        for first in range(1, max(2, rows), some):
            end = min(rows, first + some)
            self._run((0, 0, 0), first, end)
            yield (end - first) * columns

    def fill_for(self, values: Sequence[int], sheet: tuple[int, int]) -> None:
        """Find the best value of one sheet, and of others perhaps too little.

        Quicker than `fill` on large tables with little waste: the loss allowed is
        doubled and doubled until the sheet loses no more.
        """
        self._put(values)
        along, across = self._axes
        area = int(along.points[-1] * across.points[-1])
        if self.cells <= _FEW_CELLS or not self._puts:
            self._run((0, 0, 0))
            return
        densest = max(
            Fraction(value, int(along.points[i] * across.points[j]))
            for (j, i), (value, _) in self._puts.items()
        )
        scale = max(1, int(_MOST_VALUE // 2 / (densest * area)))
        dense = math.ceil(densest * scale)
        best = int(dense * area)
        allowed = best >> 14
        while True:
            self._run((dense, scale, allowed))
            lost = best - scale * self.value(*sheet)
            if lost <= allowed:
                return
            allowed = min(lost, 8 * allowed)
            self._place()

    def _put(self, values: Sequence[int]) -> None:
        along, across = self._axes
        self._puts = {}
        for number, (value, each) in enumerate(zip(values, self._lies, strict=True)):
            if each and value * self.ceiling(number) >= _MOST_VALUE:
                raise ValueError(f"a value of {value} is too large for a table")
            for x, y, turned in each:
                place = (across.above(y), along.above(x))
                if value > self._puts.get(place, (0,))[0]:
                    self._puts[place] = (value, Put(number, turned))
        self._place()

    def _place(self) -> None:
        self._values[:] = 0
        for place, (value, _) in self._puts.items():
            self._values[place] = value

    def _run(
        self, loss: tuple[int, int, int], first: int = 1, end: int | None = None
    ) -> None:
        along, across = self._axes
        self._fill(
            self._values.reshape(-1),
            along.points,
            across.points,
            along.floors,
            across.floors,
            *self._room,
            line_of((*loss, first, len(across.points) if end is None else end)),
        )

    def ceiling(self, number: int) -> int:
        """Return how many of a piece a sheet can hold at most, by area."""
        return max(
            (self._area // (x * y) + 1 for x, y, _ in self._lies[number]), default=0
        )

    def value(self, x: int, y: int) -> int:
        """Return the best value of one of the sheets."""
        along, across = self._axes
        return int(self._values[across.below(y), along.below(x)])

    def cut(self, x: int, y: int) -> Cut | None:
        """Return a best way to cut one of the sheets; None if nothing is worth it."""
        along, across = self._axes
        return self._cut(along.below(x), across.below(y))

    def cuts(self, x: int, y: int, most: int) -> list[Cut]:
        """Return a best way to cut a sheet and others that begin in good ways."""
        best = self.cut(x, y)
        if best is None:
            return []
        along, across = self._axes
        ends = along.below(x), across.below(y)
        values = self._values
        begins: list[tuple[int, int, int, int]] = []
        for axis, line, at, points in (
            (0, values[ends[1]], ends[0], along),
            (1, values[:, ends[0]], ends[1], across),
        ):
            half = int(points.points.searchsorted(points.points[at] // 2, "right"))
            rests = points.floors[points.points[at] - points.points[1:half]]
            sums = line[1:half] + line[rests]
            begins += [
                (-int(sums[k]), axis, int(k) + 1, int(rests[k]))
                for k in (-sums).argsort(kind="stable")[:most]
            ]
        found = [best]
        for _, axis, one, two in sorted(begins)[:most]:
            if axis == 0:
                near, far = self._cut(one, ends[1]), self._cut(two, ends[1])
            else:
                near, far = self._cut(ends[0], one), self._cut(ends[0], two)
            if near is not None and far is not None:
                found.append(Pair(axis, near, far))
        return found

    def _cut(self, i: int, j: int) -> Cut | None:
        values = self._values
        most = values[j, i]
        if not most:
            return None
        while values[j, i - 1] == most:
            i -= 1
        while values[j - 1, i] == most:
            j -= 1
        own = self._puts.get((j, i))
        if own is not None and own[0] == most:
            return own[1]
        along, across = self._axes
        for axis, line, at, points in (
            (0, values[j], i, along),
            (1, values[:, i], j, across),
        ):
            half = int(points.points.searchsorted(points.points[at] // 2, "right"))
            rests = points.floors[points.points[at] - points.points[1:half]]
            found = (line[1:half] + line[rests] == most).nonzero()[0]
            if found.size:  # the one nearest the middle keeps the tree flat
                one, two = int(found[-1]) + 1, int(rests[found[-1]])
                ends = [(one, j), (two, j)] if axis == 0 else [(i, one), (i, two)]
                near, far = (self._cut(*end) for end in ends)
                if near is None or far is None:
                    return near or far
                return Pair(axis, near, far)
        raise AssertionError("the table has a value that nothing makes")


def axes_of(
    lies: Sequence[Lies],
    sheets: Sequence[tuple[int, int]],
    most_cells: int | None,
    *,
    exact: bool = False,
) -> tuple[Axis, ...]:
    """Return the points of both axes.

    Parameters
    ----------
    lies, sheets
        As for `Table`; every lie fits some sheet.
    most_cells
        Points are left out until there are no more cells, of the longer axis first;
        none are where it is not given.
    exact
        Whether every size is to be a point.
    """
    spans = [
        (
            {lie[axis] for each in lies for lie in each},
            {sheet[axis] for sheet in sheets},
        )
        for axis in (0, 1)
    ]
    axes = tuple(Axis(*span, exact=exact) for span in spans)
    counts = [len(axis.points) for axis in axes]
    if most_cells is None or math.prod(counts) <= most_cells:
        return axes
    few = min(counts)
    long = most_cells // few if few * few <= most_cells else math.isqrt(most_cells)
    return tuple(
        axis if count <= long else Axis(*span, most=long, exact=exact)
        for axis, span, count in zip(axes, spans, counts, strict=True)
    )


def _fits(lie: tuple[int, int, bool], sheets: Sequence[tuple[int, int]]) -> bool:
    return any(lie[0] <= x and lie[1] <= y for x, y in sheets)


# --- trees ---------------------------------------------------------------------------


def count_of(cut: Cut | None) -> Counter[int]:
    """Return how often each piece comes in a cut, by number."""
    counts: Counter[int] = Counter()
    stack = [cut]
    while stack:
        each = stack.pop()
        if isinstance(each, Put):
            counts[each.piece] += 1
        elif each is not None:
            stack += [each.one, each.two]
    return counts


def clipped(cut: Cut, left: Sequence[int]) -> Cut | None:
    """Return a cut without the pieces that are more than are left of them."""
    return taken(cut, [*left])


def taken(cut: Cut, left: list[int]) -> Cut | None:
    """Take a cut's pieces off what is left; return it without those there are not."""

    def wanted(put: Put) -> Put | None:
        if left[put.piece] < 1:
            return None
        left[put.piece] -= 1
        return put

    return _sifted(cut, wanted)


def renumbered(cut: Cut, numbers: Mapping[int, int]) -> Cut | None:
    """Return a cut with other numbers for its pieces; without those that have none."""
    return _sifted(
        cut,
        lambda put: (
            Put(numbers[put.piece], put.turned) if put.piece in numbers else None
        ),
    )


def _sifted(cut: Cut, new: Callable[[Put], Put | None]) -> Cut | None:
    if isinstance(cut, Put):
        return new(cut)
    one, two = _sifted(cut.one, new), _sifted(cut.two, new)
    if one is None or two is None:
        return one or two
    return Pair(cut.axis, one, two)


def grown(
    cut: Cut,
    ids: Sequence[str],
    sizes: Sequence[tuple[Ticks, Ticks]],
    kerfs: tuple[Ticks, Ticks],
) -> tuple[Tree, tuple[Ticks, Ticks]]:
    """Return a cutting tree in real sizes, and the length and width it takes up.

    Parameters
    ----------
    cut
        Of pieces by number.
    ids, sizes
        Of the pieces; (length, width), not inflated.
    kerfs
        Along x and along y.
    """
    if isinstance(cut, Put):
        length, width = sizes[cut.piece]
        leaf = Leaf(ids[cut.piece], cut.turned)
        return leaf, ((width, length) if cut.turned else (length, width))
    axis = cut.axis
    children = [grown(each, ids, sizes, kerfs) for each in _side_by_side(cut, axis)]
    children.sort(key=lambda child: (-child[1][axis], repr(child[0])))
    along = [size[axis] for _, size in children]
    total = sum(along) + kerfs[axis] * (len(along) - 1)
    across = max(size[1 - axis] for _, size in children)
    node = Node(_PLANE[axis], tuple(along), tuple(tree for tree, _ in children))
    return node, ((total, across) if axis == 0 else (across, total))


def _side_by_side(cut: Cut, axis: int) -> Iterator[Cut]:
    stack = [cut]
    while stack:
        each = stack.pop()
        if isinstance(each, Pair) and each.axis == axis:
            stack += [each.two, each.one]
        else:
            yield each
