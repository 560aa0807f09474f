"""An order by habit: always the setting that seems best now.

One that finishes for good (no cut of it is left for later in the phase) goes first,
then one on the saw where one stands, then the one with the most cuts, then the widest.
Not optimal, always valid, the same every time: the order to beat.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.sequence.tasks import Key, Task


def order_by_habit(tasks: Sequence[Task]) -> list[int]:
    """Return the tasks' indices in an order that can be cut, phase by phase."""
    order: list[int] = []
    for phase in sorted({task.phase for task in tasks}):
        members = [n for n, task in enumerate(tasks) if task.phase == phase]
        queue = _Queue(tasks)
        for number in members:
            key = tasks[number].key
            queue.left[key] = queue.left.get(key, 0) + 1
            waits = tasks[number].waits
            if waits < 0 or tasks[waits].phase < phase:
                queue.open(number)
        saw = tasks[order[-1]].key.saw if order else ""
        while queue.ready:
            key, now = _next_setting(queue, phase, saw)
            saw = key.saw
            del queue.ready[key]
            queue.left[key] -= len(now)
            done = set(now)
            for number in now:
                for other in tasks[number].unlocks:
                    if other not in done and tasks[other].phase == phase:
                        queue.open(other)
            order += now
    return order


class _Queue:
    """What can be cut now, by setting."""

    def __init__(self, tasks: Sequence[Task]) -> None:
        self.tasks = tasks
        self.ready: dict[Key, list[int]] = {}
        self.left: dict[Key, int] = {}

    def open(self, number: int) -> None:
        self.ready.setdefault(self.tasks[number].key, []).append(number)

    def reach(self, key: Key, phase: int) -> list[int]:
        """List what one setting cuts now, with what that unlocks for it."""
        done: list[int] = []
        todo = sorted(self.ready[key])
        while todo:
            number = todo.pop(0)
            done.append(number)
            more = [
                other
                for other in self.tasks[number].unlocks
                if self.tasks[other].key == key and self.tasks[other].phase == phase
            ]
            todo = sorted(todo + more)
        return done


def _next_setting(queue: _Queue, phase: int, saw: str) -> tuple[Key, list[int]]:
    best: tuple[tuple[bool, bool, int, int, Key], Key, list[int]] | None = None
    for key in queue.ready:
        now = queue.reach(key, phase)
        unfinished = len(now) < queue.left[key]
        rank = (unfinished, key.saw != saw, -len(now), -key.distance, key)
        if best is None or rank < best[0]:
            best = (rank, key, now)
    assert best is not None  # the caller asks only while something is ready
    return best[1], best[2]
