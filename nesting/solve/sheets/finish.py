"""The end of a dive: the search places what is left on few sheets."""

from __future__ import annotations

from collections.abc import Generator

from nesting.solve.sheets.engine import Engine, begun
from nesting.solve.sheets.problem import SheetProblem

_STARTS = 20


def finish(
    problem: SheetProblem,
    *,
    seed: int,
    bound: int,
    iterations: int,
    at_once: int,
    idle: int | None = None,
    compiled: bool,
) -> Generator[int, None, Engine]:
    """Search from nothing until the bound is met, or for long enough.

    Parameters
    ----------
    problem
        With what is left.
    seed
        Of the search.
    bound
        A cost that is good enough.
    iterations
        It gives up after so many.
    at_once
        So many between two looks around.
    idle
        It gives up after so many without gain, too.
    compiled
        Whether to use the compiler, which changes nothing but the time.

    Yields
    ------
    int
        The iterations of a slice.

    Returns
    -------
    Engine
        With what it has found.
    """
    engine = begun(problem, seed=seed, bound=bound, starts=_STARTS, compiled=compiled)
    yield _STARTS
    while not engine.proven and engine.done < iterations:
        if idle is not None and engine.idle >= idle:
            break
        before = engine.done
        engine.search(min(max(1, at_once), iterations - before))
        yield engine.done - before
    return engine
