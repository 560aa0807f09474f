"""Plan jobs for shops with little reach, and judge every refusal by hand reckoning.

    python scripts/tight_shops.py --jobs 200

Jobs are made by chance from their seeds: a short rail, a small fence, a small sled, one
of them or all, and up to fifteen parts of plywood. Every second job is one copy of one
part on sheets without trims; a reckoning that knows neither solver nor checker goes
through both orders of its two cuts and says whether any saw makes them. What it can cut
must be planned; what it cannot must be refused, with the part and a limit of a saw in
the sentence. Every plan is replayed against the reach of its saws, by the checker and
once more. Exit codes: 0 all is as it must be, 1 something is not, 2 usage.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType

from nesting import Budget, plan_job
from nesting.errors import InfeasibleError

ROOT = Path(__file__).resolve().parents[1]
WORK = 3_000


def load_tight() -> ModuleType:
    """Load the shops and the judge, which live beside the tests that use them."""
    path = ROOT / "tests" / "workshop" / "tight.py"
    spec = importlib.util.spec_from_file_location("tight", path)
    if spec is None or spec.loader is None:
        raise ImportError(str(path))
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def main(arguments: Sequence[str] | None = None) -> int:
    """Plan the jobs, print what they came to, and return the exit code."""
    parser = argparse.ArgumentParser(
        prog="tight_shops.py", description="Plan jobs for shops with little reach."
    )
    add = parser.add_argument
    add("--jobs", type=int, default=200, help="jobs made by chance (default 200)")
    add("--seed", type=int, default=0, help="of the first of them")
    add("--work", type=int, default=WORK, help="of the search for layouts")
    asked = parser.parse_args(arguments)
    shops = load_tight()
    counts: Counter[str] = Counter()
    wrong = 0
    for seed in range(asked.seed, asked.seed + asked.jobs):
        tight = shops.tight_job(seed)
        try:
            plan = plan_job(tight.job, budget=Budget(work=asked.work))
            said = ""
        except InfeasibleError as error:
            plan, said = None, str(error)
        faults = shops.judged(tight, plan, said)
        kind = "one part" if tight.is_single else "several"
        counts[f"{kind}, {'planned' if plan else 'refused'}"] += 1
        for fault in faults:
            print(f"seed {seed}: {fault}", flush=True)
        wrong += bool(faults)
    for kind, count in sorted(counts.items()):
        print(f"{count:>5}  {kind}")
    print(f"{wrong:>5}  not as they must be")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
