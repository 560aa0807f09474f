"""Plan jobs for shops with little reach, and judge every refusal by hand reckoning.

    python scripts/tight_shops.py --jobs 200
    python scripts/tight_shops.py --form lumber --jobs 1000

Jobs are made by chance from their seeds, of sheets and of lumber, in shops with a short
rail, a small fence, a small sled, a low blade, one of them or all. Of sheets, up to
fifteen parts of plywood; every second job is one copy of one part on sheets without
trims. Of lumber, up to twelve parts from boards of one or two sections: as wide as they
are, ripped, planed or resawn. A reckoning that knows neither solver nor checker goes
through the orders of the cuts of a part and says whether any saw makes them. What it
can cut must be planned; what it cannot must be refused, with the part and a limit in
the sentence. (Several parts of sheets are only asked for that sentence.) Every plan is
replayed against the reach of its saws, by the checker and once more. Exit codes: 0 all
is as it must be, 1 something is not, 2 usage.
"""

from __future__ import annotations

import argparse
import importlib
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType

from nesting import Budget, plan_job
from nesting.errors import InfeasibleError, InputError

ROOT = Path(__file__).resolve().parents[1]
WORK = 3_000


def load(name: str) -> ModuleType:
    """Load shops and their judge, which live beside the tests that use them."""
    tests = str(ROOT / "tests")
    if tests not in sys.path:
        sys.path.insert(0, tests)
    return importlib.import_module(f"workshop.{name}")


FORMS = {"sheets": "tight", "lumber": "tight_lumber"}


def main(arguments: Sequence[str] | None = None) -> int:
    """Plan the jobs, print what they came to, and return the exit code."""
    parser = argparse.ArgumentParser(
        prog="tight_shops.py", description="Plan jobs for shops with little reach."
    )
    add = parser.add_argument
    add("--jobs", type=int, default=200, help="jobs of each form (default 200)")
    add("--seed", type=int, default=0, help="of the first of them")
    add("--work", type=int, default=WORK, help="of the search for layouts")
    add("--form", choices=(*FORMS, "both"), default="both", help="(default both)")
    asked = parser.parse_args(arguments)
    counts: Counter[str] = Counter()
    wrong = 0
    for form in FORMS if asked.form == "both" else (asked.form,):
        shops = load(FORMS[form])
        for seed in range(asked.seed, asked.seed + asked.jobs):
            tight = shops.tight_job(seed)
            plan, said, faults = None, "", []
            try:
                plan = plan_job(tight.job, budget=Budget(work=asked.work))
            except (InfeasibleError, InputError) as error:
                said = str(error)
            except Exception as error:  # a job that breaks the program is a finding
                faults = [f"{type(error).__name__}: {error}"]
            faults = faults or shops.judged(tight, plan, said)
            kind = "one part" if tight.is_single else "several"
            counts[f"{form}, {kind}, {'planned' if plan else 'refused'}"] += 1
            for fault in faults:
                print(f"{form}, seed {seed}: {fault}", flush=True)
            wrong += bool(faults)
    for kind, count in sorted(counts.items()):
        print(f"{count:>5}  {kind}")
    print(f"{wrong:>5}  not as they must be")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
