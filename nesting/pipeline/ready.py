"""Get the solver ready before the clock starts."""

from __future__ import annotations

from collections.abc import Callable

from nesting.model.job import Job, MaterialKind
from nesting.solve.warm import is_warm, warm


def prepare(job: Job, say: Callable[[str], None]) -> None:
    """Compile the sheet search if a job needs it and it is not compiled yet.

    Parameters
    ----------
    job
        A job without sheets needs nothing.
    say
        Told one sentence before the wait, on the first run only.
    """
    if is_warm() or all(m.kind is not MaterialKind.SHEET for m in job.materials):
        return
    say("preparing the solver, once (about a minute)")
    warm()
