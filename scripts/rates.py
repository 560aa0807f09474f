"""Measure the search's rate, the start of a fresh process, and the memory it takes.

    python scripts/rates.py --out RESULT.json

Rate: iterations of ruin and recreate in a second, 50 parts that would fill their sheets
to 97 to 99 %, one thread, by the processor time of that thread; the best of five. Aim:
150,000.
Start: `nesting plan` on a small job, in a fresh process with a warm cache, by the
processor time of that process; the best of five. Aim: a checked plan in less than 1 s.
Memory: the most that `nesting plan` holds on a job of 60 parts that fill their sheets
to 90 to 94 %. Aim: under 300 MiB.

Exit codes: 0 measured, whether or not an aim is reached, 1 a command failed, 2 usage.
"""

from __future__ import annotations

import argparse
import itertools
import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from bench.projects import (
    KERF,
    SHEET,
    STAGES,
    TICKS,
    Project,
    counted_project,
    full_project,
)
from bench.results import about, write

ROOT = Path(__file__).resolve().parents[1]
AIMS: Final = {"rate": 150_000, "first_plan_cpu": 1.0, "memory_mib": 300.0}
RATE_PARTS: Final = 50
SMALL_PARTS: Final = 12
MEMORY_PARTS: Final = 60
ITERATIONS: Final = 100_000
FIRST_WORK: Final = 1_000
"""Search steps of a first plan."""
MIB: Final = 1024 * 1024
_OPTIONS = ("--units", "inch", "--kerf", "1/8", "--trim", "0")

# A process that does what `nesting plan` does up to the checked plan, and says when.
_FIRST_PLAN: Final = """
import sys, time
from pathlib import Path
from nesting.files import quick_job
from nesting.model.problem import Budget
from nesting.pipeline import plan_job, prepare
job = quick_job(Path(sys.argv[1]), sheets=[sys.argv[2]], kerf="1/8", trim="0")
prepare(job, print)
plan_job(job, budget=Budget(work=int(sys.argv[3])))
print(time.process_time())
"""


class CommandError(Exception):
    """A command that is measured ended otherwise than it should."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Usage:
    """What a child process took."""

    cpu: float
    """Seconds of the processor, its own and the system's."""
    seconds: float
    """On the wall."""
    memory: float
    """Mebibytes at the most."""
    said: str


def usage_of(words: Sequence[str | Path]) -> Usage:
    """Run a command to its end and return what it took.

    The kernel counts what this process held at the fork among the child's memory, so it
    is only true while this process is small: nothing heavy may be loaded before. Python
    may keep what it has compiled, as it does for whoever installs a package.
    """
    if sys.platform == "win32":
        raise CommandError("the memory of a child cannot be measured on Windows")
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    start = time.perf_counter()
    with tempfile.TemporaryFile("w+") as said:
        process = subprocess.Popen(
            [str(word) for word in words],
            stdin=subprocess.DEVNULL,
            stdout=said,
            stderr=subprocess.STDOUT,
            cwd=ROOT,
            env=env,
        )
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        seconds = time.perf_counter() - start
        said.seek(0)
        text = said.read()
    if process.returncode != 0:
        raise CommandError(f"{' '.join(map(str, words))}\n{text}")
    unit = 1 if sys.platform == "darwin" else 1024
    return Usage(
        cpu=used.ru_utime + used.ru_stime,
        seconds=seconds,
        memory=used.ru_maxrss * unit / MIB,
        said=text,
    )


def plan_words(project: Project, folder: Path, *more: str) -> list[str | Path]:
    """Return the words of `nesting plan` on a project; its part list is written."""
    parts = folder / f"parts-{project.pieces}.csv"
    parts.write_text(project.part_list(), encoding="utf-8")
    words: list[str | Path] = [sys.executable, "-m", "nesting", "plan", parts]
    return [*words, "--sheet", _sheet(), *_OPTIONS, "--out", folder / "plan", *more]


def _sheet() -> str:
    length, width = (size // 16 for size in SHEET)
    return f"ply = {length} x {width} x 3/4"


def first_plan(parts: str | Path, work: int) -> float:
    """Return the processor seconds of a fresh process up to its first checked plan."""
    words = [sys.executable, "-c", _FIRST_PLAN, parts, _sheet(), str(work)]
    return float(usage_of(words).said.split()[-1])


def measure_commands(folder: Path, repeats: int, work: int | None) -> dict[str, Any]:
    """Measure start and memory; `work` limits the job whose memory is measured."""
    small = counted_project(1, SMALL_PARTS)
    words = plan_words(small, folder, "--work", str(FIRST_WORK))
    usage_of(words)  # fills the caches
    first = [first_plan(words[4], FIRST_WORK) for _ in range(repeats)]
    whole = [usage_of(words) for _ in range(repeats)]
    limit = () if work is None else ("--work", str(work))
    large = usage_of(plan_words(_sixty_parts(), folder, *limit))
    return {
        "first_plan_cpu": round(min(first), 3),
        "whole_command_cpu": round(min(each.cpu for each in whole), 3),
        "whole_command_seconds": round(min(each.seconds for each in whole), 3),
        "memory_mib": round(large.memory, 1),
        "memory_seconds": round(large.seconds, 1),
    }


def _sixty_parts() -> Project:
    projects = (full_project(seed) for seed in itertools.count(1))
    return next(each for each in projects if each.pieces == MEMORY_PARTS)


def tight_project() -> Project:
    """Return a project that is not planned on its bound's sheets for a long while."""
    for seed in itertools.count(1):
        project = counted_project(seed, RATE_PARTS)
        sheets = math.ceil(project.fill(1))
        if 0.97 <= project.fill(sheets) <= 0.99:
            break
    return project


def measure_rate(iterations: int, repeats: int) -> dict[str, Any]:
    """Measure the iterations a second of one thread, by its own processor time."""
    from nesting.solve.compile import may_compile
    from nesting.solve.sheets.engine import Engine
    from nesting.solve.sheets.instance import instance_of

    problem = sheet_problem(tight_project())
    engine = Engine(instance_of(problem), seed=1, bound=0)
    if may_compile():
        engine.compile()
    engine.start()
    engine.search(iterations // 10 or 1)
    rates = []
    for _ in range(repeats):
        before, began = engine.done, time.thread_time()
        engine.search(iterations)
        rates.append((engine.done - before) / (time.thread_time() - began))
    return {"rate": round(max(rates)), "rate_least": round(min(rates))}


def sheet_problem(project: Project) -> Any:
    """Return a project as the sheet search is asked it."""
    from nesting.model.stock import Edges
    from nesting.model.terms import Grain
    from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock

    return SheetProblem(
        parts=tuple(
            SheetPart(
                id=part.name,
                length=part.length,
                width=part.width or 0,
                quantity=part.quantity,
                grain_bound=part.grain is Grain.LENGTH,
            )
            for part in project.job.parts
        ),
        stock=(
            SheetStock(
                id="ply",
                length=SHEET[0] * TICKS,
                width=SHEET[1] * TICKS,
                cost=1,
                limit=None,
                grain_along_length=True,
                trim=Edges(),
            ),
        ),
        kerf_x=KERF * TICKS,
        kerf_y=KERF * TICKS,
        least_kerf_x=KERF * TICKS,
        least_kerf_y=KERF * TICKS,
        stages=STAGES,
    )


def said(found: dict[str, Any]) -> list[str]:
    """Return what was found, in lines for the terminal."""
    rate, first, memory = (
        AIMS[key] for key in ("rate", "first_plan_cpu", "memory_mib")
    )
    return [
        f"rate         {found['rate']:,} iterations/s (aim: {rate:,})",
        f"first plan   {found['first_plan_cpu']:.2f} s CPU (aim: < {first:g})",
        f"its command  {found['whole_command_cpu']:.2f} s CPU, "
        f"{found['whole_command_seconds']:.2f} s on the wall, drawings included",
        f"memory       {found['memory_mib']:.0f} MiB (aim: < {memory:g})",
    ]


def read_arguments(arguments: Sequence[str] | None) -> argparse.Namespace:
    """Return what was asked for; argparse ends the program where it is wrong."""
    parser = argparse.ArgumentParser(
        prog="rates.py", description="Measure rate, start and memory of the planner."
    )
    add = parser.add_argument
    add("--repeats", type=int, default=5, help="the best of so many (default 5)")
    add("--iterations", type=int, default=ITERATIONS, help="of each repeat")
    add("--work", type=int, help="search steps of the job of 60 parts")
    add("--out", type=Path, required=True, metavar="RESULT.json")
    asked = parser.parse_args(arguments)
    if min(asked.repeats, asked.iterations) < 1:
        parser.error("--repeats and --iterations must be at least 1")
    return asked


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, write and show; return the exit code."""
    asked = read_arguments(arguments)
    words = sys.argv[1:] if arguments is None else list(arguments)
    head = about("rates.py", words, "rates")
    asked.out.parent.mkdir(parents=True, exist_ok=True)
    try:
        with tempfile.TemporaryDirectory() as folder:
            found = measure_commands(Path(folder), asked.repeats, asked.work)
    except CommandError as error:
        print(f"rates.py: {error}", file=sys.stderr)
        return 1
    found |= measure_rate(asked.iterations, asked.repeats)  # loads what is heavy
    write(asked.out, {**head, "aims": AIMS, "rates": found})
    for line in said(found):
        print(line)
    return 0


if __name__ == "__main__":
    sys.exit(main())
