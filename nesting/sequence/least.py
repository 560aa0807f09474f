"""How many changes of setting no order of the cuts can do without.

Each setting needs at least as many runs as some chain of cuts forces (`runs`). Of the
settings of one saw that a chain forces to one run only, take the graph with an arc from
s to r where a cut of s comes before a cut of r. If s, r, ... lie on a cycle, not all of
them get by with one run, since runs are one after another. So those with two runs or
more meet every cycle: a feedback vertex set. Its least size is bounded from below by
the reductions of H. Levy and D. W. Low, A contraction algorithm for finding small cycle
cutsets (Journal of Algorithms 9, 1988), which lose nothing, and by cycles that share no
vertex, one counted for each.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.sequence.runs import forced_runs
from nesting.sequence.tasks import Key, Task

_Graph = dict[Key, set[Key]]


def least_changes(tasks: Sequence[Task]) -> int:
    """Return a number of changes that no order in these phases goes below."""
    runs = forced_runs(tasks)
    most: dict[Key, int] = {}
    for forced in runs:
        for key, counts in forced.items():
            most[key] = max(most.get(key, 0), *counts)
    after: _Graph = {key: set() for key, count in most.items() if count == 1}
    for task, forced in zip(tasks, runs, strict=True):
        if task.key in after:
            after[task.key].update(
                key
                for key in forced
                if key.saw == task.key.saw and key != task.key and key in after
            )
    return sum(most.values()) + _least_feedback(after)


def _least_feedback(after: _Graph) -> int:
    """Return a lower bound on the vertices that meet every cycle; empties the graph."""
    before: _Graph = {key: set() for key in after}
    for key, others in after.items():
        for other in others:
            before[other].add(key)
    count = 0
    while after:
        count += _reduce(after, before)
        if after:
            for key in _short_cycle(after):
                _drop(key, after, before)
            count += 1
    return count


def _reduce(after: _Graph, before: _Graph) -> int:
    """Shrink the graph as far as it goes; return how many vertices must be taken."""
    taken = 0
    todo = sorted(after)
    while todo:
        key = todo.pop()
        if key not in after:
            continue
        near = sorted((after[key] | before[key]) - {key})
        if key in after[key]:
            taken += 1
        elif min(len(before[key]), len(after[key])) == 1:
            for source in before[key]:
                after[source] |= after[key]
            for target in after[key]:
                before[target] |= before[key]
        elif before[key] and after[key]:
            continue
        _drop(key, after, before)
        todo += near
    return taken


def _drop(key: Key, after: _Graph, before: _Graph) -> None:
    for other in after.pop(key):
        if other != key:
            before[other].discard(key)
    for other in before.pop(key):
        if other != key:
            after[other].discard(key)


def _short_cycle(after: _Graph) -> list[Key]:
    """Return a shortest cycle, the first by the order of the keys; there is one."""
    best: list[Key] = []
    for start in sorted(after):
        came: dict[Key, Key] = {}
        layer = [start]
        depth = 1
        while layer and start not in came and (not best or depth < len(best)):
            deeper = []
            for key in layer:
                for other in sorted(after[key]):
                    if other not in came:
                        came[other] = key
                        deeper.append(other)
            layer = deeper
            depth += 1
        if start in came:
            cycle = [start]
            while came[cycle[-1]] != start:
                cycle.append(came[cycle[-1]])
            if not best or len(cycle) < len(best):
                best = cycle
            if len(best) == 2:
                break
    return best
