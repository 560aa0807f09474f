"""Measure plans for boards: how near the bound, and how much cheaper than a habit.

    python scripts/board_jobs.py --class one-off --seeds 10 --out RESULT.json

Jobs are made by chance from a seed: parts of furniture with sizes on eighths and
sixteenths of an inch, and twenty kinds of boards, 2x4 to 2x12, 8 to 16 ft long, at
invented prices that rise per foot with length and with width. Boards lose 1 in at each
end, a kerf is 1/8 in, no section longer than 48 in is ripped. Every plan is checked:
all parts are there, and every piece fits into what it is cut from. Seconds are those of
the clock on the wall, the compiler being warm. Exit codes: 0 done, 2 usage, 3 a plan is
not sound, 130 stopped by Ctrl-C (what was measured so far is written).
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from bench.endings import NOT_SOUND, STOPPED, UNLIMITED_WORK
from bench.results import about, write
from bench.tables import aligned

from nesting.model.problem import Budget, Progress
from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Tree
from nesting.solve.boards.naive import narrowest_boards
from nesting.solve.boards.problem import (
    BoardAnswer,
    BoardPart,
    BoardProblem,
    BoardStock,
)
from nesting.solve.boards.solver import solve_boards
from nesting.solve.warm import load
from nesting.units import Ticks

INCH = 40_640
_SIXTEENTH = INCH // 16
_KERF = INCH // 8
_TRIM = INCH
_ROUGH = 48 * INCH
# Dressed widths in quarters of an inch: Voluntary Product Standard PS 20, table 3.
_SECTIONS = {"2x4": 14, "2x6": 22, "2x8": 29, "2x10": 37, "2x12": 45}
_FEET = (8, 10, 12, 16)
_CENTS = {"2x4": 52, "2x6": 84, "2x8": 118, "2x10": 163, "2x12": 214}  # per foot
_DEARER = {8: 100, 10: 102, 12: 105, 16: 110}  # per cent, by length: invented
_THICK = 3 * INCH // 2
_THIN = 5 * INCH // 8


@dataclass(frozen=True, slots=True, kw_only=True)
class JobClass:
    """What the jobs of one class are like, and what is to be reached."""

    kinds: int
    most_copies: int
    thin: int
    """Per cent of the kinds that are resawn, two from one."""
    gap: float
    """Per cent above the bound that the median is to be within."""


CLASSES = {
    "one-off": JobClass(kinds=60, most_copies=1, thin=0, gap=4.0),
    "copies": JobClass(kinds=60, most_copies=4, thin=0, gap=2.5),
    "resawn": JobClass(kinds=60, most_copies=1, thin=40, gap=8.0),
    "few": JobClass(kinds=20, most_copies=1, thin=0, gap=10.0),
}
_SAVING = 12.0  # per cent below the habit, in the median


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardRow:
    """A job planned; the fields are the file's keys."""

    job_class: str
    seed: int
    parts: int
    bound: int
    basis: str
    plan: int
    boards: int
    gap: float
    """Per cent above the bound."""
    naive: int
    saving: float
    """Per cent below the habit."""
    proven: bool
    first: float | None
    """Seconds until the first plan was told of."""
    seconds: float
    work: int
    faults: tuple[str, ...]


def stock() -> tuple[BoardStock, ...]:
    """Return the twenty kinds of boards."""
    return tuple(
        BoardStock(
            id=f"{section}x{feet}",
            section=section,
            length=Ticks(feet * 12 * INCH - 2 * _TRIM),
            width=Ticks(quarters * INCH // 4),
            cost=_CENTS[section] * feet * _DEARER[feet] // 100,
            limit=None,
        )
        for section, quarters in _SECTIONS.items()
        for feet in _FEET
    )


def board_job(job_class: JobClass, seed: int) -> BoardProblem:
    """Return a job of a class; one seed always gives the same."""
    rng = random.Random(seed)
    parts = []
    for number in range(job_class.kinds):
        fine = rng.choice((1, 2))  # sixteenths or eighths
        length = rng.randint(5 * 16 // fine, 44 * 16 // fine) * fine
        low, high = rng.choices(((2, 5), (4, 7), (6, 10)), (60, 25, 15))[0]
        width = rng.randint(low * 16 // fine, high * 16 // fine) * fine
        is_thin = rng.randrange(100) < job_class.thin
        layers = dict.fromkeys(_SECTIONS, 2 if is_thin else 1)
        parts.append(
            BoardPart(
                id=f"part {number + 1}",
                length=Ticks(length * _SIXTEENTH),
                width=Ticks(width * _SIXTEENTH),
                thickness=Ticks(_THIN if is_thin else _THICK),
                quantity=rng.randint(1, job_class.most_copies),
                layers=layers,
                most_layers=layers,
            )
        )
    return BoardProblem(
        parts=tuple(parts),
        stock=stock(),
        kerf_x=Ticks(_KERF),
        kerf_y=Ticks(_KERF),
        least_kerf_x=Ticks(_KERF),
        least_kerf_y=Ticks(_KERF),
        longest_rough=Ticks(_ROUGH),
    )


def measured(name: str, seed: int, seconds: float) -> BoardRow:
    """Plan one job."""
    problem = board_job(CLASSES[name], seed)
    began = time.monotonic()
    firsts: list[float] = []

    def note(_: Progress) -> None:
        if not firsts:
            firsts.append(time.monotonic() - began)

    budget = Budget(work=UNLIMITED_WORK, deadline=began + seconds, progress=note)
    answer = solve_boards(problem, seed=seed, budget=budget, scope=name)
    took = time.monotonic() - began
    naive = narrowest_boards(problem).cost
    return BoardRow(
        job_class=name,
        seed=seed,
        parts=sum(part.quantity for part in problem.parts),
        bound=answer.lower_bound,
        basis=answer.basis,
        plan=answer.cost,
        boards=len(answer.boards),
        gap=round(100 * (answer.cost / max(1, answer.lower_bound) - 1), 2),
        naive=naive,
        saving=round(100 * (1 - answer.cost / naive), 2),
        proven=answer.cost == answer.lower_bound and not answer.unplaced,
        first=round(firsts[0], 2) if firsts else None,
        seconds=round(took, 2),
        work=answer.work,
        faults=tuple(faults_of(problem, answer)),
    )


def faults_of(problem: BoardProblem, answer: BoardAnswer) -> list[str]:
    """Return what is wrong with a plan, in words."""
    faults = []
    parts = {part.id: part for part in problem.parts}
    kinds = {each.id: each for each in problem.stock}
    held: Counter[str] = Counter()
    for number, (name, tree) in enumerate(answer.boards):
        board = kinds[name]
        size = (board.length, board.width, _THICK)
        for fault in _fits(tree, size, problem, parts, held, ()):
            faults.append(f"board {number + 1}, {name}: {fault}")
    if answer.cost != sum(kinds[name].cost for name, _ in answer.boards):
        faults.append("the cost is not that of the boards")
    held.update(dict(answer.unplaced))
    for part in problem.parts:
        if held[part.id] != part.quantity:
            faults.append(f"{part.id}: {held[part.id]} instead of {part.quantity}")
    return faults


_ORDER = (Plane.CROSSCUT, Plane.RIP, Plane.RESAW, Plane.CROSSCUT)


def _fits(
    tree: Tree,
    size: tuple[int, int, int],
    problem: BoardProblem,
    parts: dict[str, BoardPart],
    held: Counter[str],
    above: tuple[Plane, ...],
) -> list[str]:
    """Return what does not fit into a piece of a size, cut like this so far."""
    if isinstance(tree, Leaf):
        part = parts[tree.blank]
        held[part.id] += 1
        fits = part.length <= size[0] and part.width <= size[1]
        return [] if fits and part.thickness <= size[2] else [f"{part.id} is too large"]
    axis = (Plane.CROSSCUT, Plane.RIP, Plane.RESAW).index(tree.plane)
    kerf = (problem.kerf_x, problem.kerf_y, problem.kerf_y)[axis]
    faults = []
    if sum(tree.sizes) + kerf * (len(tree.sizes) - 1) > size[axis]:
        faults.append(f"too much for a piece of {size}: {tree.sizes}")
    if tree.plane is Plane.RIP and size[0] > _ROUGH:
        faults.append("too long to be ripped")
    if not _in_order((*above, tree.plane)):
        faults.append(f"not in the stages: {(*above, tree.plane)}")
    for length, child in zip(tree.sizes, tree.children, strict=True):
        inner = (*size[:axis], int(length), *size[axis + 1 :])
        below = (*above, tree.plane)
        faults += _fits(
            child, (inner[0], inner[1], inner[2]), problem, parts, held, below
        )
    return faults


def _in_order(planes: tuple[Plane, ...]) -> bool:
    """Tell whether cuts can come from the stages, some left out."""
    stages = iter(_ORDER)
    return all(plane in stages for plane in planes)


HEAD = (
    *("class", "seed", "parts", "bound", "plan", "gap %", "naive", "saving %"),
    *("proven", "first s", "seconds"),
)


def table(rows: Sequence[BoardRow]) -> str:
    """Return the rows as a table."""
    return aligned(
        [
            HEAD,
            *(
                (
                    *(row.job_class, str(row.seed), str(row.parts), str(row.bound)),
                    *(str(row.plan), f"{row.gap:.2f}", str(row.naive)),
                    *(f"{row.saving:.1f}", "yes" if row.proven else "no"),
                    *("-" if row.first is None else f"{row.first:.2f}",),
                    f"{row.seconds:.2f}",
                )
                for row in rows
            ),
        ]
    )


def summary(rows: Sequence[BoardRow]) -> list[str]:
    """Return a line for each class: medians, and the share within the bars."""
    lines = []
    for name, job_class in CLASSES.items():
        found = [row for row in rows if row.job_class == name]
        if not found:
            continue
        within = sum(row.gap <= job_class.gap for row in found)
        cheaper = sum(row.saving >= _SAVING for row in found)
        lines.append(
            f"{name}: median gap {statistics.median(r.gap for r in found):.2f} % "
            f"(bar {job_class.gap} %, {within} of {len(found)} within), "
            f"median saving {statistics.median(r.saving for r in found):.1f} % "
            f"(bar {_SAVING} %, {cheaper} of {len(found)}), "
            f"{sum(r.proven for r in found)} proven"
        )
    return lines


def _arguments(words: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument(
        "--class", dest="classes", choices=list(CLASSES), action="append"
    )
    parser.add_argument("--seeds", type=int, default=10, help="jobs of each class")
    parser.add_argument("--seconds", type=float, default=5.0, help="for each job")
    parser.add_argument("--out", type=Path, help="a file for the result, JSON")
    return parser.parse_args(words)


def main(words: Sequence[str] | None = None) -> int:
    """Run the command; return its exit code."""
    given = _arguments(words)
    load()
    rows: list[BoardRow] = []
    code = 0
    try:
        for name in given.classes or list(CLASSES):
            for seed in range(given.seeds):
                rows.append(measured(name, seed, given.seconds))
                row = rows[-1]
                print(f"{name} {seed}: {row.plan} over {row.bound}", file=sys.stderr)
    except KeyboardInterrupt:
        code = STOPPED
    if any(row.faults for row in rows):
        code = NOT_SOUND
        for row in rows:
            for fault in row.faults:
                print(f"{row.job_class} {row.seed}: {fault}", file=sys.stderr)
    print(table(rows))
    for line in summary(rows):
        print(line)
    if given.out is not None:
        body = [asdict(row) for row in rows]
        head = about(
            "board_jobs.py",
            sys.argv[1:] if words is None else words,
            "board jobs",
            seconds=given.seconds,
        )
        write(given.out, {**head, "jobs": body})
    return code


if __name__ == "__main__":
    sys.exit(main())
