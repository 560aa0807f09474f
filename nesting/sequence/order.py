"""Put the cuts of every layout into one order that a person can follow.

Precedence: a piece must exist before it is cut. Within that the work goes in phases,
as `phases` says. Inside them as few changes of setting as the search finds (`search`;
`least` says what cannot be undercut), then as few walks between saws (`walks`). The
order is never worse than the one by habit (`habit`), and the same every time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from nesting.model.plan import Caution, Cut, Layout, PlanOrder, PlanSaw, Setting
from nesting.model.terms import Guide, Plane
from nesting.sequence.cautions import caution_steps
from nesting.sequence.habit import order_by_habit
from nesting.sequence.least import least_changes
from nesting.sequence.search import search_order
from nesting.sequence.tasks import Key, Task, count_changes, count_walks, tasks_of
from nesting.sequence.walks import with_few_walks
from nesting.units import Display


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """Layouts whose cuts have steps and settings."""

    layouts: tuple[Layout, ...]
    settings: tuple[Setting, ...]
    """In the order of their first use."""
    cautions: tuple[Caution, ...]
    """Every rule that a step names, and those for the whole job."""
    order: PlanOrder
    """How often something is set, and how often it must be."""


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
    tasks = tasks_of(layouts)
    least = least_changes(tasks)
    order = _order(tasks, least)
    names: dict[Key, str] = {}
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
    return Ordered(
        layouts=marked,
        settings=tuple(settings),
        cautions=cautions,
        order=PlanOrder(changes=count_changes(tasks, order), lower_bound=least),
    )


def _order(tasks: Sequence[Task], least: int) -> list[int]:
    habit = order_by_habit(tasks)
    found = with_few_walks(tasks, search_order(tasks, habit, least))
    return min(
        habit,
        found,
        key=lambda order: (count_changes(tasks, order), count_walks(tasks, order)),
    )


def _setting(name: str, task: Task) -> Setting:
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
