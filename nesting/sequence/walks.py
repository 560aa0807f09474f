"""Put an order so that one walks little from saw to saw, its changes kept.

An order says what every saw is set to one after another, and what is cut each time. How
the saws take turns is still free: at a saw, everything is done that can be; then comes
the saw where most waits. Within a setting the cuts stay in the order of their layouts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from nesting.sequence.tasks import Key, Task


def with_few_walks(tasks: Sequence[Task], order: Sequence[int]) -> list[int]:
    """Return an order with the same settings on every saw, one after another.

    Parameters
    ----------
    tasks
        As `tasks_of` gives them.
    order
        A possible order, phase by phase.
    """
    turn = _Turns(tasks, order)
    while turn.open:
        turn.work_at(turn.next_saw())
    return turn.taken


class _Turns:
    """What can be cut now at each saw, as it is set or along a line."""

    def __init__(self, tasks: Sequence[Task], order: Sequence[int]) -> None:
        self.tasks = tasks
        self.taken: list[int] = []
        self.run = _runs(tasks, order)
        self.left = Counter((tasks[n].key.saw, run) for n, run in self.run.items())
        self.now = dict.fromkeys((task.key.saw for task in tasks), 1)
        self.in_phase = Counter(task.phase for task in tasks)
        self.open = {n for n, task in enumerate(tasks) if task.waits < 0}

    def can(self, number: int) -> bool:
        """Tell whether an open task may be cut without another change."""
        task = self.tasks[number]
        if task.phase != min(self.in_phase):
            return False
        return not task.key.is_held or self.run[number] == self.now[task.key.saw]

    def next_saw(self) -> str:
        """Return the saw where most can be cut."""
        count = Counter(self.tasks[n].key.saw for n in self.open if self.can(n))
        return min(count, key=lambda saw: (-count[saw], saw))

    def work_at(self, saw: str) -> None:
        """Cut all that can be cut at a saw, set as often as its turn allows."""
        last: Key | None = None
        while True:
            here = [
                n for n in self.open if self.tasks[n].key.saw == saw and self.can(n)
            ]
            if not here:
                return
            number = min(here, key=lambda n: self._rank(n, last))
            last = self.tasks[number].key
            self._cut(number)

    def _rank(self, number: int, last: Key | None) -> tuple[bool, bool, int, Key, int]:
        key = self.tasks[number].key
        return key != last, key.is_held, -key.distance, key, number

    def _cut(self, number: int) -> None:
        task = self.tasks[number]
        self.taken.append(number)
        self.open.remove(number)
        self.open.update(task.unlocks)
        self.in_phase[task.phase] -= 1
        if not self.in_phase[task.phase]:
            del self.in_phase[task.phase]
        if number in self.run:
            saw = task.key.saw
            self.left[saw, self.run[number]] -= 1
            if not self.left[saw, self.run[number]]:
                self.now[saw] += 1


def _runs(tasks: Sequence[Task], order: Sequence[int]) -> dict[int, int]:
    """Return in which run of its saw, from 1, each task is cut that needs a setting."""
    stands: dict[str, Key] = {}
    count: Counter[str] = Counter()
    found = {}
    for number in order:
        key = tasks[number].key
        if key.is_held:
            if stands.get(key.saw) != key:
                stands[key.saw] = key
                count[key.saw] += 1
            found[number] = count[key.saw]
    return found
