"""A search beside a task of unknown length, in step with it.

The task says when it pauses; by then the search beside it has done a step, and begins
the next. So there are as many steps as pauses and one more, whatever the clock says.
"""

from __future__ import annotations

from collections.abc import Callable
from queue import SimpleQueue

from nesting.solve.lanes import Lanes


def search_beside(
    lanes: Lanes,
    task: Callable[[Callable[[], bool]], None],
    step: Callable[[], None],
    stop: Callable[[], bool],
) -> None:
    """Do a task in the other thread, and steps of a search in this one.

    Parameters
    ----------
    lanes
        Both run at once; they may share nothing that either changes.
    task
        Is given what it has to call now and then, and to end soon once that is true.
    step
        A piece of the search.
    stop
        Whether to stop for an outer reason, asked between two steps.
    """
    done: SimpleQueue[bool] = SimpleQueue()
    more: SimpleQueue[bool] = SimpleQueue()

    def pause() -> bool:
        if not done.get():
            done.put(False)
            return True
        more.put(True)
        return stop()

    def work() -> None:
        try:
            task(pause)
        finally:
            more.put(False)

    def follow() -> None:
        try:
            while True:
                step()
                done.put(True)
                if not more.get():
                    break
        finally:
            done.put(False)

    lanes.run(work, follow, at_once=True)
