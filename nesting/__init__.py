"""A cut planner for a one-person furniture shop.

The public names load when they are first asked for, so that ``nesting --help`` starts
at once. A plan from Python, in short::

    import nesting

    job = nesting.read_job("samples/hall-bench")
    plan = nesting.plan_job(job, budget=nesting.Budget(work=100_000))
    print(plan.totals.cost_cents)
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nesting.files import read_job as read_job
    from nesting.files import read_plan as read_plan
    from nesting.files import write_plan as write_plan
    from nesting.model.job import Job as Job
    from nesting.model.plan import Plan as Plan
    from nesting.model.problem import Budget as Budget
    from nesting.pipeline import plan_job as plan_job
    from nesting.render import draw_pdf as draw_pdf
    from nesting.verify import verify as verify_plan

__version__ = "0.1.0"

__all__ = [
    "Budget",
    "Job",
    "Plan",
    "__version__",
    "draw_pdf",
    "plan_job",
    "read_job",
    "read_plan",
    "verify_plan",
    "write_plan",
]

_HOMES = {
    "Budget": "nesting.model.problem",
    "Job": "nesting.model.job",
    "Plan": "nesting.model.plan",
    "draw_pdf": "nesting.render",
    "plan_job": "nesting.pipeline",
    "read_job": "nesting.files",
    "read_plan": "nesting.files",
    "verify_plan": "nesting.verify",
    "write_plan": "nesting.files",
}
_OWN_NAMES = {"verify_plan": "verify"}
"""What is called otherwise at home: `nesting.verify` is the room, not its function."""


def __getattr__(name: str) -> Any:
    """Return a public name from its room, loading the room the first time."""
    if name not in _HOMES:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    found = getattr(importlib.import_module(_HOMES[name]), _OWN_NAMES.get(name, name))
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """Return the names that are there, loaded or not."""
    return sorted({*globals(), *__all__})
