"""Plan hundreds of invented jobs and check what comes out.

    python scripts/campaign_random.py --jobs 300 --impossible 100 --seed 1

Jobs that were made by cutting stock up must be planned; jobs that cannot fit must be
refused, by the name of a part, with nothing written. Every plan is read back from disk,
verified, and its parts are counted. The folders of jobs that fail are kept and their
seeds printed. Exit codes: 0 all is as it must be, 1 something is not, 2 usage.
"""

from __future__ import annotations

import argparse
import importlib.util
import multiprocessing
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from click.testing import CliRunner

from nesting.cli import main as nesting
from nesting.files import read_job, read_plan
from nesting.model.plan import Plan, PlanBound
from nesting.model.terms import Objective, Origin
from nesting.verify import verify

ROOT = Path(__file__).resolve().parents[1]
TELLING_CODES = {0: "planned", 1: "cannot be planned", 2: "bad input", 3: "not sound"}


def load_made_jobs() -> ModuleType:
    """Load the generator, which lives beside the tests that use it."""
    path = ROOT / "tests" / "made_jobs" / "__init__.py"
    spec = importlib.util.spec_from_file_location("made_jobs", path)
    if spec is None or spec.loader is None:
        raise ImportError(str(path))
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


made_jobs = load_made_jobs()


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One job to be tried."""

    seed: int
    fits: bool
    options: tuple[str, ...]
    """More arguments for the command."""
    real: bool
    """Whether a process of its own runs the command."""
    folder: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a job came to."""

    seed: int
    verdict: str
    traits: tuple[str, ...]
    pieces: int
    problem: str
    """Empty where all is as it must be."""
    seconds: float
    proven: tuple[bool, ...] = ()
    """For each group of stock of a plan."""
    dearer: int = 0
    """Groups that cost more than the stock they were made of."""


def attempt(task: Task) -> Outcome:
    """Make a job, run the command on it, and judge what comes out."""
    make = made_jobs.fitting_job if task.fits else made_jobs.impossible_job
    made = make(task.seed)
    place = Path(task.folder) / f"{'fits' if task.fits else 'cannot'}-{task.seed}"
    job = made_jobs.write_job_folder(made.job, place / "job")
    out = place / "plan"
    words = ["plan", str(job), "--out", str(out), *task.options]
    start = time.perf_counter()
    code, text = run_process(words) if task.real else run_here(words)
    seconds = time.perf_counter() - start
    proven: tuple[bool, ...] = ()
    dearer = 0
    problem = ""
    if not made_jobs.alike(read_job(job), made.job):
        problem = "the job that is read is not the one that was written"
    elif "Traceback" in text:
        problem = "it ended with a traceback"
    elif task.fits:
        problem, proven, dearer = judge_plan(made, code, text, out)
    else:
        problem = judge_refusal(made, code, text, out)
    if problem:
        (place / "said.txt").write_text(text, encoding="utf-8")
    else:
        shutil.rmtree(place)
    return Outcome(
        seed=task.seed,
        verdict=made.verdict.value,
        traits=made.traits,
        pieces=sum(part.quantity for part in made.job.parts),
        problem=problem,
        seconds=seconds,
        proven=proven,
        dearer=dearer,
    )


def run_here(words: Sequence[str]) -> tuple[int, str]:
    """Run the command in this process; return its exit code and all it said."""
    os.environ.pop("NESTING_DEBUG", None)
    result = CliRunner().invoke(nesting, words)
    text = result.output
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        text += f"\nTraceback: {result.exception!r}"
    return result.exit_code, text


def run_process(words: Sequence[str]) -> tuple[int, str]:
    """Run the command as its user does; return its exit code and all it said."""
    done = subprocess.run(
        [sys.executable, "-m", "nesting", *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout + done.stderr


def judge_plan(
    made: Any, code: int, text: str, out: Path
) -> tuple[str, tuple[bool, ...], int]:
    """Return what is wrong with a plan, what it proved, and how often it is dear."""
    if code != 0:
        said = " ".join(text.split())[:300]
        return f"exit {code} ({TELLING_CODES.get(code, 'unknown')}): {said}", (), 0
    plan = read_plan(out / "plan.json")
    faults = verify(plan)
    if faults:
        return f"{len(faults)} faults, the first: {faults[0]}", (), 0
    if plan.unplaced:
        return f"{sum(miss.qty for miss in plan.unplaced)} blanks have no place", (), 0
    wanted = {part.name: part.quantity for part in made.job.parts}
    parts_of = {blank.id: blank.parts for blank in plan.blanks}
    cut: Counter[str] = Counter()
    for layout in plan.layouts:
        for piece in layout.pieces:
            if piece.blank is not None and piece.fate == "part":
                cut.update(parts_of[piece.blank])
    if dict(cut) != wanted:
        return f"wanted were {wanted}, cut are {dict(cut)}", (), 0
    empty = [name.name for name in out.iterdir() if name.stat().st_size == 0]
    if empty or not (out / "drawings.pdf").read_bytes().startswith(b"%PDF"):
        return "a file of the plan is empty or no drawing", (), 0
    dearer = 0
    for bound in plan.bounds:
        known = known_value(made, plan, bound)
        if bound.lower_bound > known:
            where = f"{' '.join(bound.scope)} {bound.section}".rstrip()
            what = f"the bound {bound.lower_bound} of {where} is above {known}"
            return f"{what}, which it was made of", (), 0
        dearer += bound.value > known
    return "", tuple(bound.proven for bound in plan.bounds), dearer


def known_value(made: Any, plan: Plan, bound: PlanBound) -> int:
    """Return what the stock that a group was made of counts in its objective."""
    total = 0
    for offer in plan.offers:
        if offer.material not in bound.scope or offer.section != bound.section:
            continue
        each = offer.price_cents
        if each is None and offer.origin != Origin.STORE:
            each = 0
        if bound.objective != Objective.COST and each != 0:
            count = bound.objective == Objective.COUNT
            each = 1 if count else offer.length * offer.width
        total += made.used.get(offer.id, 0) * (each or 0)
    return total


def judge_refusal(made: Any, code: int, text: str, out: Path) -> str:
    """Return what is wrong with the refusal of a job that cannot fit."""
    if code != 1:
        return f"exit {code} ({TELLING_CODES.get(code, 'unknown')}), it must be 1"
    if out.exists() and any(out.iterdir()):
        return "it was refused, and files were written"
    named = {
        part.name
        for part in made.job.parts
        if re.search(rf"(?<![\w]){re.escape(part.name)}(?![\w])", text)
    }
    said = " ".join(text.split())[:300]
    if not named & made.blame:
        return f"none of {sorted(made.blame)} is named: {said}"
    if named - made.blame:
        return f"{sorted(named - made.blame)} are named and can be cut: {said}"
    if made.names_all and named != made.blame:
        return f"{sorted(made.blame - named)} are not named: {said}"
    return ""


def tasks_of(asked: argparse.Namespace, folder: str) -> list[Task]:
    """Return all that is to be tried."""
    options: list[str] = []
    for name in ("seconds", "work"):
        value = getattr(asked, name)
        options += [] if value is None else [f"--{name}", str(value)]
    kinds = [(True, n) for n in range(asked.jobs)]
    kinds += [(False, n) for n in range(asked.impossible)]
    return [
        Task(
            seed=asked.seed * 1_000_000 + number,
            fits=fits,
            options=tuple(options),
            real=asked.real > 0 and number % asked.real == 0,
            folder=folder,
        )
        for fits, number in kinds
    ]


def table(outcomes: Sequence[Outcome]) -> str:
    """Return how many jobs of each kind, and with each trait, are as they must be.

    Of a plan's groups of stock, some are proven the best there is, and some may be
    dearer than the stock that the job was made of.
    """
    lines = []
    verdicts = dict.fromkeys(outcome.verdict for outcome in outcomes)
    groups = [(name, [o for o in outcomes if o.verdict == name]) for name in verdicts]
    traits = sorted({trait for outcome in outcomes for trait in outcome.traits})
    groups += [
        (f"  {trait}", [o for o in outcomes if trait in o.traits]) for trait in traits
    ]
    heads = ("jobs", "good", "proven", "groups", "dearer", "slowest")
    lines.append(f"{'':<48}" + "".join(f"{head:>8}" for head in heads))
    for name, members in groups:
        good = sum(not member.problem for member in members)
        proven = [flag for member in members for flag in member.proven]
        slowest = max(member.seconds for member in members)
        lines.append(
            f"{name:<48}{len(members):>8}{good:>8}{sum(proven):>8}{len(proven):>8}"
            f"{sum(member.dearer for member in members):>8}{slowest:>7.1f}s"
        )
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    """Try all jobs, print the table, and return the exit code."""
    parser = argparse.ArgumentParser(
        prog="campaign_random.py",
        description="Plan hundreds of invented jobs and check what comes out.",
    )
    add = parser.add_argument
    add("--jobs", type=int, default=300, help="jobs that fit (default 300)")
    add("--impossible", type=int, default=100, help="jobs that cannot (default 100)")
    add("--seed", type=int, default=1)
    add("--seconds", type=float, help="passed on to the command")
    add("--work", type=int, help="passed on to the command")
    add("--real", type=int, default=0, metavar="K", help="every K-th in a process")
    add("--workers", type=int, default=1, help="jobs tried at once (default 1)")
    asked = parser.parse_args(arguments)
    folder = tempfile.mkdtemp(prefix="campaign-")
    tasks = tasks_of(asked, folder)
    outcomes: list[Outcome] = []
    try:
        with multiprocessing.get_context("spawn").Pool(asked.workers) as pool:
            for outcome in pool.imap_unordered(attempt, tasks):
                outcomes.append(outcome)
                if outcome.problem:
                    print(f"seed {outcome.seed} ({outcome.verdict}): {outcome.problem}")
                    sys.stdout.flush()
                if sys.stderr.isatty():
                    sys.stderr.write(f"\r{len(outcomes)} of {len(tasks)} ")
    except KeyboardInterrupt:
        print(f"stopped after {len(outcomes)} of {len(tasks)} jobs")
    if not outcomes:
        return 1
    outcomes.sort(key=lambda outcome: (outcome.verdict != "fits", outcome.seed))
    print(f"\n{table(outcomes)}")
    slow = sorted(outcomes, key=lambda outcome: -outcome.seconds)[:5]
    print("\nslowest: " + ", ".join(f"{o.seed} ({o.seconds:.1f} s)" for o in slow))
    dearer = [outcome.seed for outcome in outcomes if outcome.dearer]
    if dearer:
        print("dearer than it could be: " + ", ".join(map(str, dearer)))
    failed = [outcome for outcome in outcomes if outcome.problem]
    if failed or len(outcomes) < len(tasks):
        print(f"\n{len(failed)} of {len(outcomes)} failed; their folders: {folder}")
        return 1
    shutil.rmtree(folder)
    return 0


if __name__ == "__main__":
    sys.exit(main())
