"""How many separate runs of each setting the order of the cuts forces.

Given tasks in a forest (a cut waits for the cut that makes its piece) and in phases
(all of one before any of the next). A *run* of a setting is a stretch in which its saw
stays set to it. On a chain of tasks, each behind the one before it, cuts of one setting
with a cut of another setting of the same saw between them are never of the same run.
So a chain forces as many runs of a setting as it has such stretches.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.sequence.tasks import Key, Task

Forced = dict[Key, tuple[int, int]]
"""Runs of each setting on the chains from a task on: the most on one whose first cut of
that saw is of the setting, and the most on one whose first is not; 0 for none."""


def forced_runs(tasks: Sequence[Task], *, phase: int | None = None) -> list[Forced]:
    """Return the runs that the chains from each task on force, that task included.

    Parameters
    ----------
    tasks
        As `tasks_of` gives them.
    phase
        Chains end with this phase, and tasks of others have none; by default chains go
        through all phases.
    """
    found: list[Forced] = [{} for _ in tasks]
    tail: Forced = {}
    for now in sorted({task.phase for task in tasks}, reverse=True):
        if phase not in (None, now):
            continue
        members = [n for n, task in enumerate(tasks) if task.phase == now]
        for number in reversed(members):
            task = tasks[number]
            runs = dict(tail)
            for other in task.unlocks:
                if tasks[other].phase == now:
                    _merge(runs, found[other])
            if task.key.is_held:
                _put_before(runs, task.key)
            found[number] = runs
        joined: Forced = dict(tail)
        for number in members:
            _merge(joined, found[number])
        tail = joined
    return found


def _merge(runs: Forced, more: Forced) -> None:
    for key, (first, later) in more.items():
        known = runs.get(key, (0, 0))
        runs[key] = (max(known[0], first), max(known[1], later))


def _put_before(runs: Forced, key: Key) -> None:
    """Let every chain begin with one more cut."""
    first, later = runs.get(key, (0, 0))
    for other, counts in runs.items():
        if other.saw == key.saw:
            runs[other] = (0, max(counts))
    runs[key] = (max(first, later + 1), 0)
