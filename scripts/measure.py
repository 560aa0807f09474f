"""Measure everything, and write docs/benchmarks.md from it.

    python3 scripts/run.py measure DATA_FOLDER                 hours
    python3 scripts/run.py measure DATA_FOLDER --quick         minutes, for a look
    python3 scripts/run.py measure --only rates                one of them

Each measurement runs in a process of its own, one after the other, and leaves its
result in build/benchmarks. What was measured whole by the same command on the same
commit and machine is not measured again (`--anew` does), so a run that was stopped goes
on with what is missing. The page is written from all that is there at the end, and
tells what it was measured with. Exit codes: 0 done, 1 a measurement failed, 2 usage, 3
a plan was unsound, 130 stopped.
"""

from __future__ import annotations

import argparse
import json
import re
import signal
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from bench.endings import STOPPED
from bench.machine import commit, machine

ROOT = Path(__file__).resolve().parents[1]
SCRIPTS = ROOT / "scripts"
RESULTS = ROOT / "build" / "benchmarks"
PAGE = ROOT / "docs" / "benchmarks.md"
PICTURE = ROOT / "docs" / "pictures" / "growth.svg"
BAD_USAGE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One measurement."""

    name: str
    """Of its result file."""
    script: str
    words: tuple[str, ...]


def steps(asked: argparse.Namespace) -> list[Step]:
    """Return the measurements that are asked for, small ones first."""
    quick = asked.quick
    seconds = ("--seconds", f"{asked.seconds:g}")
    some = ("--every", "20") if quick else ()
    few = ("--projects", "3") if quick else ()
    sizes = ("--parts", "50", "200", "--projects", "1") if quick else ()
    picture = ("--picture", _shown(asked.picture))
    found = [
        Step(name="rates", script="rates.py", words=()),
        Step(name="projects", script="project_bars.py", words=("sheets", *few)),
        Step(name="offcuts", script="project_bars.py", words=("offcuts", *few)),
        Step(name="growth", script="growth.py", words=(*sizes, *picture)),
    ]
    for name, data, words in (
        ("sheets", "sheets_2bp.json.gz", ("sheets",)),
        ("sheets-turned", "sheets_2bp.json.gz", ("sheets", "--turn")),
        ("sizes", "sheets_vs2d.json.gz", ("sheets",)),
        ("sticks", "boards_1d.json.gz", ("boards",)),
    ):
        path = None if asked.data is None else asked.data / data
        if path is not None and path.is_file():
            kind, *turn = words
            all_words = (kind, str(path), *turn, *seconds, *some)
            found.append(Step(name=name, script="benchmark.py", words=all_words))
        elif path is not None:
            print(f"left out: {name}, there is no {path}", file=sys.stderr)
    return [step for step in found if not asked.only or asked.only.search(step.name)]


def command(step: Step, result: Path) -> list[str]:
    """Return the words of a measurement, as its result names them."""
    return [f"scripts/{step.script}", *step.words, "--out", _shown(result)]


def is_done(words: Sequence[str], result: Path) -> bool:
    """Tell whether a result is whole and of just this command, commit and machine."""
    try:
        found = json.loads(result.read_text(encoding="utf-8"))
        rows = found.get("rows", [])
        return bool(
            found["command"][1:] == list(words)
            and found["commit"] == commit()
            and not found["commit"].endswith("+")
            and found["machine"] == machine()
            and not found.get("failed")
            and len(rows) == found.get("instances", len(rows))
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return False


def _shown(path: Path) -> str:
    """Return a path as it is written in commands: from the root, where it is below."""
    whole = path.resolve()
    return str(whole.relative_to(ROOT)) if whole.is_relative_to(ROOT) else str(whole)


def run(step: Step, asked: argparse.Namespace) -> int:
    """Measure, unless that was done; return the exit code."""
    result = asked.results / f"{step.name}.json"
    words = command(step, result)
    drawn = step.name != "growth" or asked.picture.is_file()
    if not asked.anew and drawn and is_done(words, result):
        print(f"--- {step.name}: done before", flush=True)
        return 0
    print(f"--- {step.name}: python {' '.join(words)}", flush=True)
    return subprocess.run([sys.executable, *words], cwd=ROOT, check=False).returncode


def run_all(
    chosen: Sequence[Step], asked: argparse.Namespace
) -> tuple[dict[str, int], bool]:
    """Measure one after the other; return the exit codes, and whether it was stopped.

    Ctrl-C reaches the measurement too: it writes what it has, and is waited for.
    """
    interrupted = False

    def note(number: int, frame: FrameType | None) -> None:
        nonlocal interrupted
        interrupted = True

    codes: dict[str, int] = {}
    before = signal.signal(signal.SIGINT, note)
    try:
        for step in chosen:
            codes[step.name] = run(step, asked)
            if interrupted or codes[step.name] == STOPPED:
                return codes, True
    finally:
        signal.signal(signal.SIGINT, before)
    return codes, False


def write_page(asked: argparse.Namespace) -> int:
    """Write the page from every result that is there; return the exit code."""
    results = sorted(asked.results.glob("*.json"), key=lambda path: path.stem)
    if not results:
        print("nothing was measured, so there is no page", file=sys.stderr)
        return 1
    words = [SCRIPTS / "benchmark_page.py", *results, "--out", asked.page]
    return subprocess.run([sys.executable, *words], cwd=ROOT, check=False).returncode


def read_arguments(arguments: Sequence[str] | None) -> argparse.Namespace:
    """Return what was asked for; argparse ends the program where it is wrong."""
    parser = argparse.ArgumentParser(
        prog="measure", description="Measure everything and write the page of it."
    )
    add = parser.add_argument
    add("data", type=Path, nargs="?", metavar="DATA_FOLDER", help="published instances")
    add("--seconds", type=float, default=10.0, help="for each instance (default 10)")
    add("--quick", action="store_true", help="few projects, each 20th instance")
    add("--only", type=re.compile, metavar="REGEX", help="only measurements like it")
    add("--anew", action="store_true", help="measure what is done, too")
    add("--results", type=Path, default=RESULTS, metavar="FOLDER")
    add("--page", type=Path, default=PAGE, metavar="FILE.md")
    add("--picture", type=Path, default=PICTURE, metavar="FILE.svg")
    asked = parser.parse_args(arguments)
    if asked.data is not None and not asked.data.is_dir():
        parser.error(f"{asked.data} is no folder")
    for name in ("data", "results", "page", "picture"):
        path = getattr(asked, name)
        setattr(asked, name, None if path is None else path.resolve())
    return asked


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure all that is asked for and write the page; return the exit code."""
    asked = read_arguments(arguments)
    chosen = steps(asked)
    if not chosen:
        print("no measurement is like that", file=sys.stderr)
        return BAD_USAGE
    asked.results.mkdir(parents=True, exist_ok=True)
    codes, stopped = run_all(chosen, asked)
    written = write_page(asked)
    for name, code in codes.items():
        if code:
            print(f"{name} ended with {code}")
    if stopped:
        return STOPPED
    if 3 in codes.values():
        return 3
    return 1 if written or any(codes.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
