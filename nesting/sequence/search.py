"""Look for an order with few changes of setting, by a beam search over settings.

State: what is cut, and what every saw is set to. After a change everything that can be
cut without another one is cut: along pencil lines, and at what any saw stands at; that
is never wrong, for it costs no change and only opens cuts. So a state goes on only by
changes, and all states of a level have cost the same.

Where a setting finishes for good in the phase and its saw has nothing left to do where
it stands, that change comes next and no other is tried: it has to come once, and sooner
is no dearer. Otherwise every setting that can cut something is tried. Of each level the
states are kept whose rest is forced to the fewest runs (`runs`).

The beam is widened until the order has no more changes than the lower bound, or until
the work is used up; work is counted. (Beam search for a shortest common
supersequence, of which this is the form on trees: C. Blum, C. Cotta, A. J. Fernández
and F. Gallardo, A probabilistic beam search approach to the shortest common
supersequence problem, EvoCOP 2007; from memory.)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from nesting.sequence.runs import Forced, forced_runs
from nesting.sequence.tasks import Key, Task, count_changes

WIDER: Final = 5
"""How many times wider a beam is than the one before it, while the work lasts."""
WIDEST: Final = 125
WORK: Final = 16_000_000
"""Tasks that are cut, and settings that are weighed, in all states together."""


def search_order(tasks: Sequence[Task], start: list[int], least: int) -> list[int]:
    """Return an order with no more changes than `start`, fewer where they are found.

    Parameters
    ----------
    tasks
        As `tasks_of` gives them.
    start
        An order of them to beat.
    least
        No order has fewer changes: where the search ends.
    """
    best, changes = start, count_changes(tasks, start)
    width, work = 1, WORK
    while width and changes > least:
        beam = _Beam(tasks, width, work)
        found = beam.order()
        if found is None:
            break
        if (now := count_changes(tasks, found)) < changes:
            best, changes = found, now
        used, work = work - beam.work, beam.work
        affordable = width * work * 9 // (10 * used)
        wider = min(WIDER * width, WIDEST, affordable)
        width = wider if wider > width else 0
    return best


@dataclass(slots=True)
class _State:
    """What is cut so far, and how."""

    done: int
    """The bits of the tasks that are cut."""
    stands: dict[str, Key]
    ready: dict[Key, tuple[int, ...]]
    left: dict[Key, int]
    """Tasks of the phase that wait for each setting."""
    before: _State | None
    cuts: tuple[int, ...]
    """What was cut since the state before."""
    changes: int

    def key(self) -> tuple[int, tuple[tuple[str, Key], ...]]:
        return self.done, tuple(sorted(self.stands.items()))


class _Ahead:
    """What the chains from each task on force, added up once for the phase."""

    def __init__(self, forced: Sequence[Forced]) -> None:
        most = [{key: max(counts) for key, counts in runs.items()} for runs in forced]
        self.chains = [sum(runs.values()) for runs in most]
        self.again = [
            [(key, count) for key, count in runs.items() if count > 1] for runs in most
        ]


class _Beam:
    """A beam search through the phases, one after another."""

    def __init__(self, tasks: Sequence[Task], width: int, work: int) -> None:
        self.tasks = tasks
        self.width = width
        self.work = work

    def order(self) -> list[int] | None:
        """Return the tasks in order; None where the work did not suffice."""
        states = [_State(0, {}, {}, {}, None, (), 0)]
        for phase in sorted({task.phase for task in self.tasks}):
            states = self._through(phase, states)
            if not states:
                return None
        last: _State | None = states[0]
        parts: list[tuple[int, ...]] = []
        while last is not None:
            parts.append(last.cuts)
            last = last.before
        return [number for part in reversed(parts) for number in part]

    def _through(self, phase: int, states: Iterable[_State]) -> list[_State]:
        """Return the best ends of a phase that begins with one of some states."""
        ahead = _Ahead(forced_runs(self.tasks, phase=phase))
        first: list[int] = []
        left: dict[Key, int] = {}
        for number, task in enumerate(self.tasks):
            if task.phase == phase:
                if task.key.is_held:
                    left[task.key] = left.get(task.key, 0) + 1
                if task.waits < 0 or self.tasks[task.waits].phase < phase:
                    first.append(number)
        levels: dict[int, list[_State]] = {}
        for state in states:
            begun = _State(
                state.done, state.stands, {}, dict(left), state, (), state.changes
            )
            self._cut(begun, first)
            levels.setdefault(begun.changes, []).append(begun)
        while levels:
            level = min(levels)
            kept = self._best(levels.pop(level), ahead)
            ends = [state for state in kept if not state.ready]
            if ends:
                return ends
            if self.work <= 0:
                return []
            for state in kept:
                levels.setdefault(level + 1, []).extend(self._next(state))
        return []

    def _best(self, states: list[_State], ahead: _Ahead) -> list[_State]:
        different: dict[object, _State] = {}
        for state in states:
            different.setdefault(state.key(), state)
        ranked = sorted(different.values(), key=lambda state: self._rank(state, ahead))
        return ranked[: self.width]

    def _rank(self, state: _State, ahead: _Ahead) -> tuple[int, int]:
        """Return the runs the rest is forced to, and the chains' sum to break ties."""
        more: dict[Key, int] = {}
        chains = 0
        for numbers in state.ready.values():
            for number in numbers:
                chains += ahead.chains[number]
                for key, runs in ahead.again[number]:
                    more[key] = max(runs - 1, more.get(key, 0))
        wanted = sum(1 for count in state.left.values() if count)
        self.work -= len(state.ready) + len(more)
        return wanted + sum(more.values()), chains

    def _next(self, state: _State) -> Iterator[_State]:
        """Return the states one change on, or the one that has to come."""
        after = []
        for key in sorted(state.ready, key=lambda key: (-key.distance, key)):
            then = self._change(state, key)
            stood = state.stands.get(key.saw)
            idle = stood is None or not state.left.get(stood)
            if idle and not then.left[key]:
                return iter((then,))
            after.append(then)
        return iter(after)

    def _change(self, state: _State, key: Key) -> _State:
        then = _State(
            state.done,
            {**state.stands, key.saw: key},
            dict(state.ready),
            dict(state.left),
            state,
            (),
            state.changes + 1,
        )
        self._cut(then, then.ready.pop(key))
        return then

    def _cut(self, state: _State, todo: Iterable[int]) -> None:
        """Cut what is there, and all that it opens, as far as no change is needed."""
        stack = list(todo)
        cuts = []
        while stack:
            number = stack.pop()
            task = self.tasks[number]
            key = task.key
            if key.is_held and state.stands.get(key.saw) != key:
                state.ready[key] = (*state.ready.get(key, ()), number)
                continue
            cuts.append(number)
            state.done |= 1 << number
            if key.is_held:
                state.left[key] -= 1
            stack += [n for n in task.unlocks if self.tasks[n].phase == task.phase]
        self.work -= len(cuts) + 1
        state.cuts = tuple(cuts)
