"""Sets of parts packed into single numbers, and the tables that keep them."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from nesting.model.terms import StoppedBy
from nesting.solve.boards import small_join
from nesting.solve.boards.small_join import (
    COUNT,
    CURSOR_SIZE,
    DONE,
    FULL,
    STATUS,
    STEPS,
)
from nesting.solve.compile import compiled, may_compile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

SMALL_KERNELS: Final = ("nesting.solve.kernel", "nesting.solve.boards.small_join")
"""Modules of kernels, callees before callers."""

MOST_BITS: Final = 62
"""Of a set."""
STEPS_PER_UNIT: Final = 1_000
"""Steps of a join that count as one unit of effort."""
_SLICE = 4_000_000
_FIRST_ROOM = 1 << 12


class StoppedError(Exception):
    """The work, the clock, the room or a person ended a search."""

    def __init__(self, why: StoppedBy) -> None:
        super().__init__(why)
        self.why = why


class RoomError(StoppedError):
    """There are too many sets."""


class Effort:
    """Counts the steps of the kernels, and tells when they are too many."""

    def __init__(
        self,
        most_work: int,
        deadline: float | None,
        cancelled: Callable[[], bool],
    ) -> None:
        self._most = most_work * STEPS_PER_UNIT
        self._deadline = deadline
        self._cancelled = cancelled
        self.steps = 0

    @property
    def units(self) -> int:
        """The effort so far."""
        return -(-self.steps // STEPS_PER_UNIT)

    def add(self, steps: int) -> None:
        """Count some steps.

        Raises
        ------
        StoppedError
            If it is time to stop.
        """
        self.steps += steps
        if self._cancelled():
            raise StoppedError(StoppedBy.CANCELLED)
        if self.steps > self._most:
            raise StoppedError(StoppedBy.WORK)
        if self._deadline is not None and time.monotonic() >= self._deadline:
            raise StoppedError(StoppedBy.CLOCK)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fields:
    """Where numbers up to some largest ones have their fields, one beside the other.

    A field for 1 has a single bit; others have a guard bit above.
    """

    shifts: tuple[int, ...]
    masks: tuple[int, ...]
    bits: int
    """Of all."""
    singles: int
    """The fields of single bits."""
    guard: int
    """The guard bits."""
    room: int
    """The guard bits, and the largest numbers below them."""


def fields(largest: Sequence[int], begin: int = 0) -> Fields:
    """Return fields for numbers, from a bit on."""
    shifts, masks = [], []
    at, singles, guard, room = begin, 0, 0, 0
    for number in largest:
        shifts.append(at)
        length = number.bit_length()
        masks.append((1 << length) - 1)
        if number == 1:
            singles |= 1 << at
        else:
            guard |= 1 << at + length
            room |= 1 << at + length | number << at
            length += 1
        at += length
    return Fields(
        shifts=tuple(shifts),
        masks=tuple(masks),
        bits=at - begin,
        singles=singles,
        guard=guard,
        room=room,
    )


class Packing:
    """Where each kind has its field in a set.

    Parameters
    ----------
    wanted
        How many there are of each kind, at least 1.
    """

    def __init__(self, wanted: Sequence[int]) -> None:
        self.wanted = tuple(wanted)
        self.fields = fields(wanted)
        self.shifts = self.fields.shifts
        self.masks = self.fields.masks
        self.bits = self.fields.bits

    def packed(self, counts: Sequence[int]) -> int:
        """Return counts of the kinds as a set."""
        pairs = zip(counts, self.shifts, strict=True)
        return sum(count << shift for count, shift in pairs)

    def one(self, kind: int) -> int:
        """Return the set of one part."""
        return 1 << self.shifts[kind]

    def counts_of(self, one: int) -> tuple[int, ...]:
        """Return how many of each kind a set holds."""
        return tuple(
            one >> shift & mask
            for shift, mask in zip(self.shifts, self.masks, strict=True)
        )

    def counts(self, sets: Line) -> Line:
        """Return how many of each kind sets hold: a row for each."""
        import numpy as np

        shifts = np.array(self.shifts, dtype=np.int64)
        masks = np.array(self.masks, dtype=np.int64)
        return (sets[:, None] >> shifts) & masks


def kernels(plain: bool) -> Mapping[str, Any]:
    """Return the kernels by name, compiled where that may be."""
    if may_compile() and not plain:
        return compiled(SMALL_KERNELS)
    return vars(small_join)


class Room:
    """Numbers for kernels: lists where they run as they are, else arrays.

    Parameters
    ----------
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(self, plain: bool) -> None:
        self.is_plain = plain or not may_compile()
        self.kernels = kernels(plain)

    def line(self, numbers: Sequence[int] | Line) -> Any:
        """Return numbers as a kernel takes them."""
        import numpy as np

        as_array = np.ascontiguousarray(numbers, dtype=np.int64)
        return as_array.tolist() if self.is_plain else as_array

    def filled(self, size: int, value: int = 0) -> Any:
        """Return so many times the same number."""
        import numpy as np

        if self.is_plain:
            return [value] * size
        return (
            np.full(size, value, dtype=np.int64)
            if value
            else np.zeros(size, dtype=np.int64)
        )


class Table:
    """Entries that a join adds to, beginning with the empty set.

    Parameters
    ----------
    room
        What the numbers are kept in.
    first
        The empty set's entry: a number for each column, sets first.
    most
        There may be so many entries.
    """

    def __init__(self, room: Room, first: Sequence[int], most: int) -> None:
        self._room = room
        self._most = most
        self._size = min(_FIRST_ROOM, most)
        self._columns = [room.filled(self._size) for _ in first]
        for column, value in zip(self._columns, first, strict=True):
            column[0] = value
        self.cursor = room.filled(CURSOR_SIZE)
        self.cursor[COUNT] = 1
        self._heads: Any = None
        self._enter()

    @property
    def count(self) -> int:
        """How many entries there are, dead ones included."""
        return int(self.cursor[COUNT])

    def column(self, number: int) -> Line:
        """Return a column of the entries."""
        import numpy as np

        return np.array(self._columns[number][: self.count], dtype=np.int64)

    def at(self, number: int, entry: int) -> int:
        """Return a single number."""
        return int(self._columns[number][entry])

    def run(self, join: str, *before: Any, last: Any = None) -> Iterator[int]:
        """Run a join to its end.

        Parameters
        ----------
        join
            The name of the kernel.
        before
            Its arguments before `out`.
        last
            Its argument between `out` and `heads`, if it has one.

        Yields
        ------
        int
            The steps of a slice.

        Raises
        ------
        RoomError
            If there are too many entries.
        """
        kernel = self._room.kernels[join]
        between = () if last is None else (last,)
        while True:
            out = tuple(self._columns)
            kernel(*before, out, *between, self._heads, self.cursor, _SLICE)
            yield int(self.cursor[STEPS])
            if self.cursor[STATUS] == DONE:
                return
            if self.cursor[STATUS] == FULL:
                self._grow()

    def _grow(self) -> None:
        if self._size >= self._most:
            raise RoomError(StoppedBy.WORK)
        more = min(2 * self._size, self._most)
        for number, column in enumerate(self._columns):
            larger = self._room.filled(more)
            larger[: self._size] = column
            self._columns[number] = larger
        self._size = more
        self._enter()

    def _enter(self) -> None:
        self._heads = self._room.filled(1 << (2 * self._size - 1).bit_length())
        self._room.kernels["enter_again"](self._columns[0], self._heads, self.cursor)


def never() -> bool:
    """Say no: the search is not cancelled."""
    return False
