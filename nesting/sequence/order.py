"""Put the cuts of every layout into one order that a person can follow.

Precedence: a piece must exist before it is cut. Within that the work goes in phases,
as `phases` says; inside each a setting, once made, serves every cut it can before it is
moved.

Method. A greedy choice of the next setting: one that finishes for good (no cut of it is
left for later in the phase) goes first, then one on the saw where one stands, then the
one with the most cuts, then the widest. Not optimal, always valid, the same every time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from nesting.model.plan import Caution, Cut, Layout, PlanSaw, Setting
from nesting.model.terms import Guide, Plane
from nesting.sequence.cautions import caution_steps
from nesting.sequence.phases import phases
from nesting.units import Display, Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """Layouts whose cuts have steps and settings."""

    layouts: tuple[Layout, ...]
    settings: tuple[Setting, ...]
    """In the order of their first use."""
    cautions: tuple[Caution, ...]
    """Every rule that a step names, and those for the whole job."""


@dataclass(frozen=True, slots=True, order=True)
class _Key:
    """What has to be set for a cut; cuts with the same key share a setting."""

    saw: str
    guide: str
    distance: Ticks
    """-1 where no distance is set."""


@dataclass(slots=True)
class _Task:
    """A cut, what it waits for, and what waits for it."""

    cut: Cut
    layout: int
    index: int
    phase: int
    key: _Key
    waits: int
    """Index of the task that makes its piece; -1 for none."""
    unlocks: list[int]


def put_in_order(
    layouts: Sequence[Layout], saws: Iterable[PlanSaw], display: Display
) -> Ordered:
    """Give the cuts of all layouts one order, and name their settings.

    Parameters
    ----------
    layouts
        With their cuts in an order in which each layout alone can be cut.
    saws
        The saws the cuts name.
    display
        How sizes are written in cautions.

    Returns
    -------
    Ordered
        Steps run from 1 through all layouts; each layout's cuts are sorted by step.
    """
    tasks = _tasks(layouts)
    order = _order(tasks)
    names: dict[_Key, str] = {}
    settings: list[Setting] = []
    for task in (tasks[number] for number in order):
        if task.key not in names:
            names[task.key] = f"set-{len(names) + 1}"
            settings.append(_setting(names[task.key], task))
    cuts: list[list[Cut]] = [[] for _ in layouts]
    for step, number in enumerate(order, start=1):
        task = tasks[number]
        cuts[task.layout].append(replace(task.cut, step=step, setting=names[task.key]))
    stepped = tuple(
        replace(layout, cuts=tuple(done))
        for layout, done in zip(layouts, cuts, strict=True)
    )
    marked, cautions = caution_steps(stepped, saws, display)
    return Ordered(layouts=marked, settings=tuple(settings), cautions=cautions)


def _tasks(layouts: Sequence[Layout]) -> list[_Task]:
    tasks: list[_Task] = []
    for number, layout in enumerate(layouts):
        made_by: dict[str, int] = {}
        steps = zip(layout.cuts, phases(layout), strict=True)
        for index, (cut, phase) in enumerate(steps):
            waits = made_by.get(cut.piece, -1)
            measure = -1 if cut.measure is None else cut.measure
            task = _Task(
                cut=cut,
                layout=number,
                index=index,
                phase=phase,
                key=_Key(cut.saw, cut.guide, measure),
                waits=waits,
                unlocks=[],
            )
            if waits >= 0:
                tasks[waits].unlocks.append(len(tasks))
            for made in cut.makes:
                made_by[made] = len(tasks)
            tasks.append(task)
    return tasks


class _Queue:
    """What can be cut now, by setting."""

    def __init__(self, tasks: Sequence[_Task]) -> None:
        self.tasks = tasks
        self.ready: dict[_Key, list[int]] = {}
        self.left: dict[_Key, int] = {}

    def open(self, number: int) -> None:
        self.ready.setdefault(self.tasks[number].key, []).append(number)

    def reach(self, key: _Key, phase: int) -> list[int]:
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


def _order(tasks: Sequence[_Task]) -> list[int]:
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


def _next_setting(queue: _Queue, phase: int, saw: str) -> tuple[_Key, list[int]]:
    best: tuple[tuple[bool, bool, int, int, _Key], _Key, list[int]] | None = None
    for key in queue.ready:
        now = queue.reach(key, phase)
        unfinished = len(now) < queue.left[key]
        rank = (unfinished, key.saw != saw, -len(now), -key.distance, key)
        if best is None or rank < best[0]:
            best = (rank, key, now)
    assert best is not None  # the caller asks only while something is ready
    return best[1], best[2]


def _setting(name: str, task: _Task) -> Setting:
    key = task.key
    if key.distance < 0:
        return Setting(id=name, saw=key.saw, kind=key.guide, distance=None)
    side = "face" if task.cut.plane == Plane.RESAW else "edge"
    edge = {
        Guide.FENCE: f"the {side} against the fence",
        Guide.STOP: "the end against the stop",
    }.get(Guide(key.guide), "the edge it is measured from")
    return Setting(
        id=name, saw=key.saw, kind=key.guide, distance=key.distance, from_edge=edge
    )
