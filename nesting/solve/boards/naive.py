"""Two habits of the shop: first plans, and what a better one is measured by.

The first takes for each part the narrowest board that gives it and saws parts off one
after the other, the longest first, each from the first board with room. The second
rips parts of one width side by side. Neither resaws a part that may stay thick; the
second shares a resawn strip among its slices.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from nesting.model.terms import Plane
from nesting.model.tree import Tree
from nesting.solve.boards.edges import lost_across, room_across
from nesting.solve.boards.instance import fits
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.solve.boards.trees import node_of, section_tree

_Strips = tuple[tuple[int, tuple[tuple[BoardPart, ...], ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HabitPlan:
    """Boards that a habit takes."""

    boards: tuple[tuple[str, Tree], ...]
    cost: int
    unplaced: tuple[tuple[str, int], ...]


@dataclass(slots=True)
class _Open:
    """A board that is begun, its sections and how much of it they take."""

    stock: BoardStock
    key: int | None
    """The width that all of its parts have, by the second habit."""
    used: int = 0
    sections: list[_Strips] = field(default_factory=list)


class _Yard:
    """Boards taken so far, and those that may still be taken."""

    def __init__(self, problem: BoardProblem) -> None:
        self.problem = problem
        self.boards: list[_Open] = []
        self.left = {each.id: each.limit for each in problem.stock}

    def may_take(self, stock: BoardStock) -> bool:
        return self.left[stock.id] is None or (self.left[stock.id] or 0) > 0

    def _count(self, stock: BoardStock, step: int) -> None:
        left = self.left[stock.id]
        if left is not None:
            self.left[stock.id] = left + step

    def add(
        self,
        strips: _Strips,
        length: int,
        kinds: Iterable[BoardStock],
        key: int | None = None,
    ) -> bool:
        """Put a section on the first board of some kinds with room, or on a new one."""
        kerf = self.problem.kerf_x
        names = {each.id for each in kinds}
        for board in self.boards:
            if (
                board.stock.id in names
                and board.used + length <= board.stock.length
                and (key is None or board.key == key)
            ):
                board.used += length + kerf
                board.sections.append(strips)
                return True
        able = [
            each
            for each in self.problem.stock
            if each.id in names and self.may_take(each) and length <= each.length
        ]
        if not able:
            return False
        stock = min(able, key=lambda each: (each.cost / each.length, each.id))
        self._count(stock, -1)
        self.boards.append(_Open(stock, key, length + kerf, [strips]))
        return True

    def exchange(self) -> None:
        """Take the cheapest length for what a board has to give."""
        for board in self.boards:
            for other in self.problem.stock:
                if (
                    _cut_alike(other) == _cut_alike(board.stock)
                    and other.cost < board.stock.cost
                    and board.used - self.problem.kerf_x <= other.length
                    and self.may_take(other)
                ):
                    self._count(board.stock, 1)
                    self._count(other, -1)
                    board.stock = other

    def plan(self, missing: Sequence[BoardPart]) -> HabitPlan:
        self.exchange()
        made = []
        for board in self.boards:
            pieces = [
                section_tree(strips, board.stock, self.problem)
                for strips in board.sections
            ]
            tree = node_of(Plane.CROSSCUT, pieces, board.stock.length)
            made.append((board.stock.id, tree))
        out: dict[str, int] = {}
        for part in missing:
            out[part.id] = out.get(part.id, 0) + 1
        return HabitPlan(
            boards=tuple(made),
            cost=sum(board.stock.cost for board in self.boards),
            unplaced=tuple(out.items()),
        )


def _cut_alike(stock: BoardStock) -> tuple[str, int, int]:
    """Return what boards have in common that give the same sections."""
    return stock.section, stock.width, stock.eased


def _slices(part: BoardPart, stock: BoardStock) -> int:
    return 1 if part.may_stay_thick else part.layers[stock.section]


def _copies(problem: BoardProblem) -> list[BoardPart]:
    """Return every part as often as it is wanted, the longest first."""
    return [
        part
        for part in sorted(problem.parts, key=lambda each: (-each.length, -each.width))
        for _ in range(part.quantity)
    ]


def narrowest_boards(problem: BoardProblem) -> HabitPlan:
    """Plan by the first habit: no two strips side by side."""
    yard = _Yard(problem)
    missing = []
    for part in _copies(problem):
        able = [each for each in problem.stock if fits(part, each, problem)]
        for width in sorted({each.width for each in able}):
            kinds = [each for each in able if each.width == width]
            if _saw_off(yard, part, kinds):
                break
        else:
            missing.append(part)
    return yard.plan(missing)


def _saw_off(yard: _Yard, part: BoardPart, kinds: Sequence[BoardStock]) -> bool:
    """Saw one part off the first board of one width with room for it."""
    for section in sorted({each.section for each in kinds}):
        alike = [each for each in kinds if each.section == section]
        strips: _Strips = ((_slices(part, alike[0]), ((part,),)),)
        if yard.add(strips, part.length, alike):
            return True
    return False


def one_width_each(problem: BoardProblem) -> HabitPlan:
    """Plan by the second habit: parts of one width ripped side by side."""
    yard = _Yard(problem)
    missing: list[BoardPart] = []
    copies = _copies(problem)
    copies.sort(key=_alike)
    for _, group in groupby(copies, key=_alike):
        rest = list(group)
        rest.sort(key=lambda part: -part.length)
        while rest:
            placed = _rip_alike(yard, rest)
            if placed == 0:
                missing.append(rest.pop(0))
            del rest[:placed]
    return yard.plan(missing)


def _alike(part: BoardPart) -> tuple[int, int, bool]:
    return part.width, part.thickness, part.square


def _rip_alike(yard: _Yard, rest: Sequence[BoardPart]) -> int:
    """Rip the next parts of one width side by side; return how many there are."""
    problem = yard.problem
    part = rest[0]
    able = [
        each
        for each in problem.stock
        if fits(part, each, problem) and yard.may_take(each)
    ]
    able.sort(key=lambda each: (each.cost / (each.length * each.width), each.id))
    for stock in able:
        across = max(part.width, min(stock.width, problem.narrowest_rip))
        room = room_across(stock, int(part.square), 0)
        if part.width < stock.width:
            room -= lost_across(problem, part.length)
        most = (room + problem.kerf_y) // (across + problem.kerf_y)
        rough = problem.longest_rough
        if rough is not None and part.length > rough:
            most = 1
        slices = _slices(part, stock)
        rows: list[tuple[BoardPart, ...]] = []
        for other in rest[: most * slices]:
            if other.layers != part.layers or (
                other.may_stay_thick != part.may_stay_thick
            ):
                break
            rows.append((other,))
        strips = tuple(
            (slices, tuple(rows[i : i + slices])) for i in range(0, len(rows), slices)
        )
        alike = [each for each in able if _cut_alike(each) == _cut_alike(stock)]
        if yard.add(strips, part.length, alike, part.width):
            return len(rows)
    return 0


def habit_plan(problem: BoardProblem) -> HabitPlan:
    """Return the better of the two: what is out counts first, then the cost."""
    weights = {
        part.id: part.length * part.width * part.weight for part in problem.parts
    }
    problem = replace(
        problem, parts=tuple(part for part in problem.parts if part.quantity)
    )
    return min(
        (narrowest_boards(problem), one_width_each(problem)),
        key=lambda plan: (
            sum(weights[name] * count for name, count in plan.unplaced),
            plan.cost,
        ),
    )
