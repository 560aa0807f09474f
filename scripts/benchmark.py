"""Measure the product's own solver on instances in the neutral form.

    python scripts/benchmark.py sheets DATA.json.gz --seconds 10 --out RESULT.json

Every instance is solved as a job is: the same search for the least cost, layouts, cut
order and check; nothing is polished where no offcuts are kept. The
result names the machine, the commit and the command. Exit codes: 0 done, 2 bad input or
usage, 3 a plan is not sound, a value contradicts a bound or an instance ended in an
error, 130 stopped by Ctrl-C (what was done so far is written; a second Ctrl-C ends at
once).
"""

from __future__ import annotations

import argparse
import contextlib
import re
import signal
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from types import FrameType
from typing import Any

from bench.endings import NOT_SOUND, STOPPED, UNLIMITED_WORK
from bench.instances import Instance, InstanceError, Kind, read_instances
from bench.measure import Row, measure
from bench.ready import make_ready
from bench.results import about, write
from bench.tables import add_up, table

from nesting.files import write_plan
from nesting.model.problem import Progress

BAD_INPUT = 2
SAVE_EVERY = 30.0
"""Seconds between two writings of what is done so far."""


def read_arguments(arguments: Sequence[str] | None) -> argparse.Namespace:
    """Return what was asked for; argparse ends the program where it is wrong."""
    parser = argparse.ArgumentParser(
        prog="benchmark.py",
        description="Measure the product's own solver on benchmark instances.",
    )
    add = parser.add_argument
    add("kind", choices=[kind.value for kind in Kind], help="what the instances are")
    add("data", type=Path, metavar="DATA.json.gz")
    add("--seconds", type=_seconds, default=10.0, help="limit for each (default 10)")
    add("--work", type=_count, default=UNLIMITED_WORK, help="limit in search steps")
    add("--turn", action="store_true", help="parts may be turned by a right angle")
    add("--limit", type=_count, help="only the first N of those chosen")
    add("--only", type=re.compile, metavar="REGEX", help="only names or groups like it")
    add("--every", type=_count, default=1, metavar="K", help="only each K-th of those")
    add("--seed", type=int, default=0)
    add("--plans", type=Path, metavar="DIR", help="write each plan as DIR/<name>.json")
    add("--published", action="store_true", help="show published bounds and values too")
    add("--out", type=Path, required=True, metavar="RESULT.json")
    return parser.parse_args(arguments)


def _seconds(text: str) -> float:
    value = float(text)
    if not 0 <= value < 10**7:
        raise argparse.ArgumentTypeError("must not be negative or endless")
    return value


def _count(text: str) -> int:
    value = int(text)
    if value < 1:
        raise argparse.ArgumentTypeError("must be at least 1")
    return value


class Watcher:
    """Shows progress on a terminal, and hears Ctrl-C."""

    def __init__(self, count: int) -> None:
        self.stopped = False
        self._terminal = sys.stderr.isatty()
        self._count = count
        self._head = ""

    def begin(self, number: int, name: str) -> None:
        """Say which instance is being solved."""
        self._head = f"{number} of {self._count}, {name}"
        self._show(self._head)

    def say(self, words: str) -> None:
        """Say what is being waited for."""
        self._show(words)

    def progress(self, state: Progress) -> None:
        """Say how far it is solved."""
        self._show(f"{self._head}: {state.value}, at least {state.lower_bound}")

    def end(self) -> None:
        """Clear the line."""
        self._show("")

    def cancelled(self) -> bool:
        """Tell whether Ctrl-C was pressed."""
        return self.stopped

    def interrupt(self, number: int, frame: FrameType | None) -> None:
        """Stop after this instance; the second time, at once."""
        if self.stopped:
            raise KeyboardInterrupt
        self.stopped = True

    def _show(self, words: str) -> None:
        if self._terminal:
            sys.stderr.write("\r\x1b[K" + words)
            sys.stderr.flush()


def choose(instances: Sequence[Instance], asked: argparse.Namespace) -> list[Instance]:
    """Return the instances that are asked for."""
    wanted: re.Pattern[str] | None = asked.only
    chosen = [
        instance
        for instance in instances
        if wanted is None
        or wanted.search(instance.name)
        or wanted.search(instance.group)
    ]
    return chosen[:: asked.every][: asked.limit]


def run(
    instances: Sequence[Instance],
    asked: argparse.Namespace,
    watcher: Watcher,
    rows: list[Row],
    failed: list[dict[str, str]],
    save: Callable[[], None],
) -> None:
    """Measure instance after instance into `rows`; `save` is called now and then.

    What ends in an error, a fault of the program, is told in `failed`.
    """
    saved = time.monotonic()
    for number, instance in enumerate(instances, start=1):
        if watcher.stopped:
            return
        watcher.begin(number, instance.name)
        try:
            row, plan = measure(
                instance,
                seconds=asked.seconds,
                work=asked.work,
                seed=asked.seed,
                cancelled=watcher.cancelled,
                progress=watcher.progress,
            )
        except Exception as error:  # one fault must not lose what else is measured
            fault = f"{type(error).__name__}: {error}"
            failed.append({"name": instance.name, "fault": fault})
            continue
        rows.append(row)
        if asked.plans is not None and plan is not None:
            target: Path = asked.plans / f"{instance.name}.json"
            target.write_text(write_plan(plan), encoding="utf-8", newline="\n")
        if time.monotonic() - saved > SAVE_EVERY:
            save()
            saved = time.monotonic()


def report(
    rows: Sequence[Row], failed: Sequence[dict[str, str]], head: dict[str, Any]
) -> dict[str, Any]:
    """Return what is written: the rows, their sums, and what they were measured on."""
    *groups, total = add_up(rows)
    return {
        **head,
        "totals": total.record(),
        "groups": [group.record() for group in groups],
        "failed": list(failed),
        "rows": [row.record() for row in rows],
    }


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, write and show; return the exit code."""
    asked = read_arguments(arguments)
    words = sys.argv[1:] if arguments is None else list(arguments)
    try:
        kind = Kind(asked.kind)
        instances = choose(read_instances(asked.data, kind, turn=asked.turn), asked)
        if not instances:
            raise InstanceError("no instance is left to be solved")
        asked.out.parent.mkdir(parents=True, exist_ok=True)
        if asked.plans is not None:
            asked.plans.mkdir(parents=True, exist_ok=True)
    except (InstanceError, OSError) as error:
        print(f"benchmark.py: {error}", file=sys.stderr)
        return BAD_INPUT
    head = about(
        "benchmark.py",
        words,
        kind.value,
        data=asked.data.name,
        turn=asked.turn,
        seconds=asked.seconds,
        work=None if asked.work == UNLIMITED_WORK else asked.work,
        seed=asked.seed,
        instances=len(instances),
    )
    watcher = Watcher(len(instances))
    rows: list[Row] = []
    failed: list[dict[str, str]] = []

    def save() -> None:
        write(asked.out, report(rows, failed, head))

    before = signal.signal(signal.SIGINT, watcher.interrupt)
    try:
        make_ready(instances[0].job, watcher.say)
        with contextlib.suppress(Exception):  # it will be told where it is measured
            measure(  # loads what the first solve of a process loads
                min(instances, key=lambda instance: instance.pieces),
                seconds=0.0,
                work=1,
                seed=0,
                cancelled=watcher.cancelled,
                progress=watcher.progress,
            )
        run(instances, asked, watcher, rows, failed, save)
    except KeyboardInterrupt:
        watcher.stopped = True
    finally:
        watcher.end()
        signal.signal(signal.SIGINT, before)
        save()
    print(table(add_up(rows), published=asked.published))
    faults = [(row.name, fault) for row in rows for fault in row.faults[:5]]
    for name, fault in faults:
        print(f"NOT SOUND: {name}: {fault}")
    for each in failed:
        print(f"FAILED: {each['name']}: {each['fault']}")
    if watcher.stopped:
        print(f"stopped after {len(rows) + len(failed)} of {len(instances)} instances")
    if faults or failed:
        return NOT_SOUND
    return STOPPED if watcher.stopped else 0


if __name__ == "__main__":
    sys.exit(main())
