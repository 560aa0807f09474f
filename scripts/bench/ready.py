"""Get the solver ready, so that no clock counts what only the first run of all does."""

from __future__ import annotations

from collections.abc import Callable

from nesting.model.job import Job, MaterialKind
from nesting.pipeline import prepare
from nesting.solve.compile import may_compile
from nesting.solve.warm import load


def make_ready(job: Job, say: Callable[[str], None]) -> None:
    """Compile what jobs like this one need, and load it into this process.

    Parameters
    ----------
    job
        The first of those that are measured.
    say
        Told one sentence if there is something to wait for.
    """
    prepare(job, say)
    sheets = any(each.kind is MaterialKind.SHEET for each in job.materials)
    if sheets and may_compile():
        load()
