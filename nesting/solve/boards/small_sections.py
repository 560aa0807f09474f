"""All the sections that boards of one width can give, each as short as may be.

A row is a set of parts one after another, a strip a row or several rows in slices of
one thickness, a section strips side by side. The least length of a strip or section
for a set comes from one recurrence: what is put side by side is tried in order of its
length, so an entry is as long as the last, and of one set only what takes less width
than all before is kept. Guarantee: exact; every set of the class in
`nesting.solve.boards.problem` is found, with the least length for each width of board.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.model.terms import Plane, StoppedBy
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.solve.boards.small_sets import (
    Effort,
    Packing,
    Room,
    StoppedError,
    Table,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

_MOST_ROWS = 60_000
_MOST_ENTRIES = 1 << 21


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Rows on one strip; several are slices, resawn to a thickness."""

    held: int
    """The set."""
    length: int
    """With a kerf, in ticks."""
    width: int
    """Of the widest part."""
    rows: tuple[int, ...]
    """A set for each slice."""
    thickness: int | None = None
    """Of the slices; None where it is not resawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sections:
    """What the boards of one kind of section and one width can give."""

    stock: tuple[BoardStock, ...]
    width: int
    sets: Line
    """Each once."""
    counts: Line
    """How many of each kind, a row for each set."""
    firsts: Line
    """The first kind of each."""
    lengths: Line
    """The least, with a kerf."""
    cuts: Line
    """How each is cut: an entry of the family, or a lone strip as -1 - number."""
    family: Family
    lone: tuple[Strip, ...]


class Family:
    """Sections of boards from which each part can come in the same way.

    Parameters
    ----------
    problem
        With the kerfs that count.
    kinds
        The parts, as the packing has them.
    packing
        Their sets.
    layers
        How many slices each kind is of; 1: not resawn, 0: it cannot come from here.
    stock
        The boards.
    room, effort
        Where the numbers are, and what has been done.
    """

    def __init__(
        self,
        problem: BoardProblem,
        kinds: Sequence[BoardPart],
        packing: Packing,
        layers: Sequence[int],
        stock: Sequence[BoardStock],
        room: Room,
        effort: Effort,
    ) -> None:
        self._problem = problem
        self._kinds = kinds
        self._packing = packing
        self._layers = layers
        self._room = room
        self._effort = effort
        longest = max(each.length for each in stock)
        widest = max(each.width for each in stock)
        rough = problem.longest_rough
        self._full = longest + problem.kerf_x
        self._most = min(longest, longest if rough is None else rough) + problem.kerf_x
        everything = [i for i in range(len(kinds)) if kinds[i].width <= widest]
        self.strips = self._strips(everything, self._most)
        self._table = self._joined(
            [(s.held, self._ripped(s) + problem.kerf_y, s.length) for s in self.strips],
            widest + problem.kerf_y,
        )

    def _ripped(self, strip: Strip) -> int:
        return max(strip.width, self._problem.narrowest_rip)

    def sections(self, width: int, stock: Sequence[BoardStock]) -> Sections:
        """Return what boards of a width can give."""
        import numpy as np

        sets, across, along = (self._table.column(number) for number in (0, 1, 2))
        fitting = np.flatnonzero(across <= width + self._problem.kerf_y)[1:]
        lone = tuple(self._lone(width))
        at = np.concatenate([fitting, -1 - np.arange(len(lone), dtype=np.int64)])
        every = np.concatenate(
            [sets[fitting], np.array([s.held for s in lone], dtype=np.int64)]
        )
        lengths = np.concatenate(
            [along[fitting], np.array([s.length for s in lone], dtype=np.int64)]
        )
        most = max(each.length for each in stock) + self._problem.kerf_x
        order = np.lexsort((-at, lengths, every))
        order = order[lengths[order] <= most]
        _, first = np.unique(every[order], return_index=True)
        chosen = order[first]
        counts = self._packing.counts(every[chosen])
        return Sections(
            stock=tuple(stock),
            width=width,
            sets=every[chosen],
            counts=counts,
            firsts=np.argmax(counts > 0, axis=1),
            lengths=lengths[chosen],
            cuts=at[chosen],
            family=self,
            lone=lone,
        )

    def _lone(self, width: int) -> Iterable[Strip]:
        """Return strips that only lie alone: too narrow to rip, or not ripped."""
        for strip in self.strips:
            if strip.width <= width < self._ripped(strip):
                yield strip
        if self._full > self._most:
            as_wide = [i for i, kind in enumerate(self._kinds) if kind.width == width]
            for strip in self._strips(as_wide, self._full):
                if strip.length > self._most:
                    yield strip

    # --- rows and strips --------------------------------------------------------------

    def _strips(self, among: Sequence[int], most: int) -> list[Strip]:
        """Return the shortest strip for each set of some kinds."""
        found: dict[int, Strip] = {}
        thick = []
        thin = defaultdict(list)
        for i in among:
            kind, layers = self._kinds[i], self._layers[i]
            if layers == 1 or (layers > 1 and kind.may_stay_thick):
                thick.append(i)
            if layers > 1:
                thin[kind.thickness, layers].append(i)
        for held, (length, width) in self._rows(thick, most).items():
            found[held] = Strip(held=held, length=length, width=width, rows=(held,))
        for (thickness, layers), members in thin.items():
            for strip in self._resawn(members, most, thickness, layers):
                other = found.get(strip.held)
                if other is None or other.length > strip.length:
                    found[strip.held] = strip
        return sorted(found.values(), key=lambda strip: (strip.length, strip.held))

    def _rows(self, among: Sequence[int], most: int) -> dict[int, tuple[int, int]]:
        """Return length, with a kerf, and width of every row of some kinds."""
        rows: dict[int, tuple[int, int]] = {0: (0, 0)}
        for i in among:
            kind = self._kinds[i]
            step = kind.length + self._problem.kerf_x
            for held, (length, width) in list(rows.items()):
                for count in range(1, kind.quantity + 1):
                    long = length + count * step
                    if long > most:
                        break
                    key = held + count * self._packing.one(i)
                    rows[key] = (long, max(width, kind.width))
            self._effort.add(len(rows))
            if len(rows) > _MOST_ROWS:
                raise StoppedError(StoppedBy.WORK)
        del rows[0]
        return rows

    def _resawn(
        self, among: Sequence[int], most: int, thickness: int, layers: int
    ) -> Iterable[Strip]:
        """Return the shortest strip of so many slices for each set of some kinds."""
        rows = self._rows(among, most)
        order = sorted(rows, key=lambda held: (rows[held][0], held))
        table = self._joined([(held, 1, rows[held][0]) for held in order], layers)
        sets, lengths = table.column(0), table.column(2)
        seen = {0}
        for entry, held in enumerate(sets.tolist()):
            if held in seen:
                continue
            seen.add(held)
            through = tuple(order[item] for item in self._items(table, entry))
            yield Strip(
                held=held,
                length=int(lengths[entry]),
                width=max(rows[row][1] for row in through),
                rows=through,
                thickness=thickness,
            )

    def _joined(self, items: Sequence[tuple[int, int, int]], capacity: int) -> Table:
        """Put (set, width, length), rising by length, side by side."""
        own = self._packing.fields
        frame = self._room.line([own.room, own.guard, own.singles, capacity])
        columns = tuple(
            self._room.line([item[axis] for item in items]) for axis in range(3)
        )
        table = Table(self._room, (0, 0, 0, -1, -1, 1), _MOST_ENTRIES)
        for steps in table.run("join_across", frame, columns):
            self._effort.add(steps)
        return table

    def _items(self, table: Table, entry: int) -> list[int]:
        items = []
        while entry > 0:
            items.append(table.at(4, entry))
            entry = table.at(3, entry)
        return items[::-1]

    # --- trees ------------------------------------------------------------------------

    def tree(self, sections: Sections, chosen: Sequence[int], length: int) -> Tree:
        """Return a board of some length that is cut into sections, given by number."""
        sizes: list[int] = []
        children: list[Tree] = []
        for number in chosen:
            size = int(sections.lengths[number]) - self._problem.kerf_x
            tree = self._section(sections, int(sections.cuts[number]), size)
            if isinstance(tree, Node) and tree.plane is Plane.CROSSCUT:
                sizes.extend(tree.sizes)  # not ripped: one stage with the board's
                children.extend(tree.children)
            else:
                sizes.append(size)
                children.append(tree)
        return _divided(Plane.CROSSCUT, sizes, children, length)

    def _section(self, sections: Sections, cut: int, length: int) -> Tree:
        if cut < 0:
            strip = sections.lone[-1 - cut]
            size = min(self._ripped(strip), sections.width)
            return _divided(
                Plane.RIP, [size], [self._strip(strip, length)], sections.width
            )
        strips = [self.strips[item] for item in self._items(self._table, cut)]
        strips.sort(key=lambda strip: -strip.width)
        return _divided(
            Plane.RIP,
            [self._ripped(strip) for strip in strips],
            [self._strip(strip, length) for strip in strips],
            sections.width,
        )

    def _strip(self, strip: Strip, length: int) -> Tree:
        rows = [self._row(row, length) for row in strip.rows]
        if strip.thickness is None:
            return rows[0]
        return Node(Plane.RESAW, (strip.thickness,) * len(rows), tuple(rows))

    def _row(self, row: int, length: int) -> Tree:
        counts = zip(self._kinds, self._packing.counts_of(row), strict=True)
        parts = [kind for kind, count in counts for _ in range(count)]
        parts.sort(key=lambda kind: -kind.length)
        return _divided(
            Plane.CROSSCUT,
            [kind.length for kind in parts],
            [Leaf(kind.id) for kind in parts],
            length,
        )


def _divided(
    plane: Plane, sizes: Sequence[int], children: Sequence[Tree], whole: int
) -> Tree:
    """Return a node, or its only child where that is as large as the piece."""
    if len(children) == 1 and sizes[0] == whole:
        return children[0]
    return Node(plane, tuple(sizes), tuple(children))


def families(
    problem: BoardProblem,
    kinds: Sequence[BoardPart],
    packing: Packing,
    layers: Sequence[Mapping[str, int]],
    room: Room,
    effort: Effort,
) -> list[Sections]:
    """Return what there is for each width of board.

    Parameters
    ----------
    problem, kinds, packing, room, effort
        As of `Family`.
    layers
        For each kind, by section, how many slices.
    """
    by_way = defaultdict(list)
    for stock in problem.stock:
        way = tuple(each.get(stock.section, 0) for each in layers)
        by_way[way].append(stock)
    found = []
    for way, boards in sorted(by_way.items()):
        if not any(way):
            continue
        family = Family(problem, kinds, packing, way, boards, room, effort)
        by_width = defaultdict(list)
        for stock in boards:
            by_width[stock.width].append(stock)
        for width, same in sorted(by_width.items()):
            sections = family.sections(width, same)
            if len(sections.sets):
                found.append(sections)
    return found
