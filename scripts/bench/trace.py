"""When a search came to what: its progress, with the seconds on the wall."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

from nesting.model.problem import Progress
from nesting.model.result import Result
from nesting.model.terms import StoppedBy


class Moment(NamedTuple):
    """Where a search of one group of sheets stood."""

    seconds: float
    cpu: float
    """Processor seconds of the whole process so far, all its threads together."""
    value: int
    lower_bound: int
    unplaced: int


@dataclass(slots=True)
class Trace:
    """Takes down what a search tells; the clock starts when it is made."""

    enough: Callable[[Moment], bool] = lambda _: False
    """Asked of every moment; after a yes the search is told to stop."""
    began: float = field(default_factory=time.perf_counter)
    cpu_began: float = field(default_factory=time.process_time)
    moments: list[Moment] = field(default_factory=list)
    satisfied: bool = False

    def progress(self, state: Progress) -> None:
        """Take a moment down."""
        seconds = time.perf_counter() - self.began
        cpu = time.process_time() - self.cpu_began
        moment = Moment(seconds, cpu, state.value, state.lower_bound, state.unplaced)
        self.moments.append(moment)
        self.satisfied = self.satisfied or self.enough(moment)

    def cancelled(self) -> bool:
        """Tell whether it is enough."""
        return self.satisfied

    def end(self, result: Result) -> None:
        """Take down what the search ended with.

        Raises
        ------
        KeyboardInterrupt
            Where it was Ctrl-C that ended it: the search itself takes that as a wish
            for the best plan so far.
        """
        if result.stopped_by == StoppedBy.CANCELLED and not self.satisfied:
            raise KeyboardInterrupt
        bound = result.bounds[0]
        missing = sum(miss.quantity for miss in result.unplaced)
        self.progress(
            Progress(
                scope=bound.material,
                value=bound.value,
                lower_bound=bound.lower_bound,
                unplaced=missing,
                share=1.0,
            )
        )

    def first(self, value: int) -> Moment | None:
        """Return when all parts were first placed at no more than a value.

        Rather late than early: plans are told of between pieces of work only.
        """
        for moment in self.moments:
            if not moment.unplaced and moment.value <= value:
                return moment
        return None
