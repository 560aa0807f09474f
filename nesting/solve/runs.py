"""Runs of one group of sheets: placed as one part, cut up afterwards.

The members of a run lie side by side, one kerf apart, in order and turned alike. For
the search that is one part: along the run as long as all members and the kerfs between
them, across it as wide as the widest member. `as_one` makes that part, `cut_up` puts
the members in its place in the trees that come back, as an ordered node.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.model.blank import Blank, Run
from nesting.model.stock import Stock
from nesting.model.terms import Flow, Grain, Plane
from nesting.model.tree import Leaf, Node, SheetTree, Split, Tree
from nesting.solve.groups import Demand, Group
from nesting.solve.sheets.problem import SheetPart
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A run, its blanks, and the name of the part it is to the search."""

    run: Run
    name: str
    """No blank's id."""
    blanks: tuple[Blank, ...]

    @property
    def along(self) -> bool:
        """Whether the members lie end to end."""
        return self.run.axis is Flow.ALONG

    @property
    def grain(self) -> Grain:
        """ANY if no member minds how the row is turned."""
        free = all(blank.grain is Grain.ANY for blank in self.blanks)
        return Grain.ANY if free else Grain.LENGTH

    def size(self, kerf: Ticks) -> tuple[Ticks, Ticks]:
        """Return length and width of the row with kerfs of a width in it."""
        lengths = [blank.length for blank in self.blanks]
        widths = [blank.width for blank in self.blanks]
        between = (len(self.blanks) - 1) * kerf
        if self.along:
            return sum(lengths) + between, max(widths)
        return max(lengths), sum(widths) + between


def rows_of(each: Group) -> tuple[Row, ...]:
    """Return the rows of a group."""
    blanks = {demand.blank.id: demand.blank for demand in each.demands}
    rows: list[Row] = []
    for run in each.runs:
        name = f"run {run.id}"
        while name in blanks:
            name += "'"
        row = Row(
            run=run, name=name, blanks=tuple(blanks[member] for member in run.members)
        )
        blanks[name] = row.blanks[0]
        rows.append(row)
    return tuple(rows)


def single(each: Group, rows: Sequence[Row]) -> tuple[Demand, ...]:
    """Return the blanks that are in no run, as many as there are."""
    taken = Counter(blank.id for row in rows for blank in row.blanks)
    left = [
        replace(demand, quantity=demand.quantity - taken[demand.blank.id])
        for demand in each.demands
    ]
    return tuple(demand for demand in left if demand.quantity > 0)


def as_one(row: Row, stock: Iterable[Stock], kerfs: Mapping[Plane, Ticks]) -> SheetPart:
    """Return a row as one part of the search.

    Parameters
    ----------
    row
        The row.
    stock
        The sheets it may lie on: they say which way it may be turned.
    kerfs
        The widest kerf of each plane; the row has room for that.
    """
    planes = {
        plane_of(row, turned)
        for each in stock
        for turned in (False, True)
        if row.grain is Grain.ANY or turned is not (each.grain is Grain.LENGTH)
    }
    length, width = row.size(max((kerfs[plane] for plane in planes), default=0))
    return SheetPart(
        id=row.name,
        length=length,
        width=width,
        quantity=1,
        grain_bound=row.grain is Grain.LENGTH,
        members=tuple(
            SheetPart(
                id=blank.id,
                length=blank.length,
                width=blank.width,
                quantity=1,
                grain_bound=blank.grain is Grain.LENGTH,
            )
            for blank in row.blanks
        ),
        along_length=row.along,
    )


def plane_of(row: Row, turned: bool) -> Plane:
    """Return the plane of the cuts between the members of a row."""
    return Plane.CROSSCUT if row.along is not turned else Plane.RIP


def cut_up(tree: SheetTree, rows: Mapping[str, Row]) -> SheetTree:
    """Return a tree whose rows are cut into their members."""
    if isinstance(tree, Split):
        low, high = (
            None if side is None else cut_up(side, rows)
            for side in (tree.low, tree.high)
        )
        return replace(tree, low=low, high=high)
    return _cut_up(tree, rows)


def _cut_up(tree: Tree, rows: Mapping[str, Row]) -> Tree:
    if isinstance(tree, Node):
        children = tuple(_cut_up(child, rows) for child in tree.children)
        return replace(tree, children=children)
    row = rows.get(tree.blank)
    if row is None:
        return tree
    return Node(
        plane_of(row, tree.turned),
        tuple(blank.length if row.along else blank.width for blank in row.blanks),
        tuple(Leaf(blank.id, tree.turned) for blank in row.blanks),
        ordered=True,
    )
