"""Cuts as tasks: what each has to be set to, and what it waits for.

A saw stays as it is set until it is set otherwise: what is cut elsewhere in between,
or along a pencil line, moves no fence and no stop. So a *change* is a held cut whose
saw was last set to something else, and the number of changes is how often one person
sets a fence, a stop or a height.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from nesting.model.plan import Cut, Layout
from nesting.model.terms import Guide
from nesting.sequence.phases import phases
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, order=True)
class Key:
    """What has to be set for a cut; cuts with the same key share a setting."""

    saw: str
    guide: str
    distance: Ticks
    """-1 where no distance is set."""

    @property
    def is_held(self) -> bool:
        """Whether something on the saw is set; a pencil line is on the piece."""
        return self.guide != Guide.LINE and self.distance >= 0


@dataclass(slots=True)
class Task:
    """A cut, what it waits for, and what waits for it."""

    cut: Cut
    layout: int
    phase: int
    key: Key
    waits: int
    """Index of the task that makes its piece; -1 for none."""
    unlocks: list[int]


def tasks_of(layouts: Sequence[Layout]) -> list[Task]:
    """Return the cuts of all layouts as tasks, each behind the one it waits for.

    Parameters
    ----------
    layouts
        With their cuts in an order in which each layout alone can be cut.
    """
    tasks: list[Task] = []
    for number, layout in enumerate(layouts):
        made_by: dict[str, int] = {}
        for cut, phase in zip(layout.cuts, phases(layout), strict=True):
            waits = made_by.get(cut.piece, -1)
            measure = -1 if cut.measure is None else cut.measure
            task = Task(
                cut=cut,
                layout=number,
                phase=phase,
                key=Key(cut.saw, cut.guide, measure),
                waits=waits,
                unlocks=[],
            )
            if waits >= 0:
                tasks[waits].unlocks.append(len(tasks))
            for made in cut.makes:
                made_by[made] = len(tasks)
            tasks.append(task)
    return tasks


def count_changes(tasks: Sequence[Task], order: Iterable[int]) -> int:
    """Return how often an order sets a fence, a stop or a height."""
    stands: dict[str, Key] = {}
    changes = 0
    for number in order:
        key = tasks[number].key
        if key.is_held and stands.get(key.saw) != key:
            stands[key.saw] = key
            changes += 1
    return changes


def count_walks(tasks: Sequence[Task], order: Sequence[int]) -> int:
    """Return how often an order goes from one saw to another."""
    return sum(tasks[a].key.saw != tasks[b].key.saw for a, b in pairwise(order))
