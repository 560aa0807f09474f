"""The sets of parts on the sheets that searches go through, gathered for a hunt.

The linear program of `sets` says what parts are worth to it: those worth more than
their share of the area are hard to go with others. A search that counts a part, where
it finds no place, by both, goes through sheets that waste little of either; sheets of
many of its forests together can often do what those of one cannot.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from nesting.solve.kernel import draw, seeded
from nesting.solve.sheets.engine import Engine, begun
from nesting.solve.sheets.jot import COUNT, DIVIDED, END, ROOM, STATE_SIZE
from nesting.solve.sheets.pattern_table import Cut, Pair, Put
from nesting.solve.sheets.plant import trees_of
from nesting.solve.sheets.points import line_of
from nesting.solve.sheets.problem import SheetProblem, Sheets

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nesting.solve.sheets.points import Line

_FINE = 100  # of the weights of parts: so much for what its area alone counts
_STARTS = 5  # of a search, from nothing
_SLICE = 4_000  # iterations
_MOST = 50_000  # sets
_TABLE = 131_071  # places for marks
_NOTES = 1_000_000  # pieces, in all sets together
_ROOM = 8  # pieces on a sheet, for each part
_MARK_BITS = 22


@dataclass(frozen=True, slots=True)
class Listed:
    """Sets of parts, and how each is cut."""

    rows: NDArray[Any]
    """The counts of every set: a row for each."""
    cut: Callable[[int], Cut]
    """By the number of its row."""


class Notes:
    """The sets of parts that one search has met, each with a sheet that gives it.

    Parameters
    ----------
    problem
        Of which forests are noted; notes of the same one can be joined.
    """

    def __init__(self, problem: SheetProblem) -> None:
        import numpy as np

        rng = [seeded(len(problem.parts), 17)]
        marks = line_of([draw(rng) << _MARK_BITS | draw(rng) for _ in problem.parts])
        sizes = _TABLE, _NOTES, _MOST, _MOST, STATE_SIZE
        self.book: Any = marks, *(np.zeros(size, dtype=np.int64) for size in sizes)
        """A `jot.Notebook` of arrays."""
        self.book[-1][ROOM] = _ROOM * sum(part.quantity for part in problem.parts)

        self.count = 0
        """How many sets there were when it was last settled."""

    def settle(self) -> None:
        """Let what has been noted be read; not while the search is at work."""
        self.count = int(self.book[-1][COUNT])

    def read(self) -> tuple[Line, Line, Line]:
        """Return the marks of the sets, their notes, and where each ends."""
        count = self.count
        _, _, notes, ends, met, _ = self.book
        return met[:count], notes[: ends[count - 1] if count else 0], ends[:count]


class SeenSets:
    """Sets of parts that a sheet gives, as searches have met them.

    Parameters
    ----------
    problem
        Of single parts and one kind of sheet.
    sheets
        That a plan is to have, at most.
    others
        Of another search for the same, which may go on at the same time.
    seed
        Of the search.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(
        self,
        problem: SheetProblem,
        sheets: int,
        *,
        others: Notes | None,
        seed: int,
        plain: bool = False,
    ) -> None:
        self.plan: Sheets | None = None
        """One with few enough sheets, should the search come upon it."""
        self._bound = sheets * problem.stock[0].cost
        self._kinds = len(problem.parts)
        self._rng = [seeded(seed, 17)]
        self._plain = plain
        self._own = Notes(problem)
        self._others = others
        self._engine: Engine | None = None
        self._further: list[NDArray[Any]] = []
        self._cuts: list[Cut] = []

    def gather(self, problem: SheetProblem, iterations: int) -> Iterator[int]:
        """Search on, and note the sheets, for so many iterations.

        Parameters
        ----------
        problem
            The same, whose parts count by their weights; with others than the last
            time the search begins anew.
        iterations
            That it takes.

        Yields
        ------
        int
            The iterations of a slice.
        """
        engine = self._engine
        if engine is None or engine.instance.problem is not problem:
            engine = self._engine = begun(
                problem,
                seed=draw(self._rng),
                bound=self._bound,
                starts=_STARTS,
                compiled=not self._plain,
            )
        end = engine.done + iterations
        while engine.done < end and not engine.proven:
            before = engine.done
            engine.search(_SLICE, notes=self._own.book)
            yield engine.done - before
        self._own.settle()
        if engine.proven:
            self.plan = trees_of(engine.best, engine.instance)

    def take_in(self, rows: NDArray[Any], cuts: Iterable[Cut]) -> None:
        """List further sets, a row of counts for each, and how they are cut."""
        self._further.append(rows)
        self._cuts.extend(cuts)

    def listed(self, *, own: bool) -> Listed:
        """Return the sets met so far by the own search or by both, and others."""
        import numpy as np

        books = [self._own]
        if self._others is not None and not own:
            books.append(self._others)
        read = [book.read() for book in books]
        marks, notes = (np.concatenate([each[i] for each in read]) for i in range(2))
        sizes = [np.diff(each[2], prepend=0) for each in read]
        ends = np.cumsum(np.concatenate(sizes))
        rows = np.zeros((len(ends), self._kinds), dtype=np.int16)
        of = np.repeat(np.arange(len(ends)), np.diff(ends, prepend=0))
        parts = notes >= 0
        np.add.at(rows, (of[parts], notes[parts] // 2), 1)
        _, first = np.unique(marks, return_index=True)
        first.sort()

        def cut(number: int) -> Cut:
            if number >= len(first):
                return self._cuts[number - len(first)]
            place = first[number]
            begin = ends[place - 1] if place else 0
            return _read(notes[begin : ends[place]].tolist())

        return Listed(np.concatenate([rows[first], *self._further]), cut)


def weighed(problem: SheetProblem, worths: Sequence[int], most: int) -> SheetProblem:
    """Return a problem whose parts count by area and worth, half and half.

    Parameters
    ----------
    problem
        With one kind of sheet.
    worths, most
        Of the parts, and of a sheet, at most.
    """
    sheet = problem.stock[0].length * problem.stock[0].width
    parts = []
    for part, worth in zip(problem.parts, worths, strict=True):
        area = part.length * part.width
        weight = _FINE * (area * most + worth * sheet) // (2 * area * most)
        parts.append(replace(part, weight=max(1, weight)))
    return replace(problem, parts=tuple(parts))


def _read(notes: Sequence[int]) -> Cut:
    """Return how a sheet was cut, by its note."""
    open_: list[tuple[int, list[Cut]]] = [(0, [])]
    for each in notes:
        if each >= 0:
            open_[-1][1].append(Put(each // 2, bool(each % 2)))
        elif each != END:
            open_.append((DIVIDED - each, []))
        else:
            axis, cuts = open_.pop()
            whole = cuts[0]
            for cut in cuts[1:]:
                whole = Pair(axis, whole, cut)
            open_[-1][1].append(whole)
    return open_[0][1][0]
