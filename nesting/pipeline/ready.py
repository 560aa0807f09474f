"""Get the solver ready before the clock starts."""

from __future__ import annotations

from collections.abc import Callable

from nesting.model.job import Job, MaterialKind
from nesting.model.terms import Plane
from nesting.solve.warm import is_warm, warm


def prepare(job: Job, say: Callable[[str], None]) -> None:
    """Compile the searches if a job needs one and they are not compiled yet.

    Parameters
    ----------
    job
        One of lumber that is only crosscut needs nothing.
    say
        Told one sentence before the wait, on the first run only.
    """
    if _searches(job) and not is_warm():
        say("preparing the solver, once (about a minute)")
        warm()


def _searches(job: Job) -> bool:
    """Tell whether there are sheets, or boards: lumber that is ripped."""
    rips = any(Plane.RIP in saw.planes for saw in job.shop.saws)
    return any(rips or m.kind is MaterialKind.SHEET for m in job.materials)
