"""``nesting plan``: from a job to a folder one can take to the store and to the saw."""

from __future__ import annotations

import math
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from nesting.cli.options import paper_of, paper_option

if TYPE_CHECKING:
    from nesting.model.job import Job
    from nesting.model.plan import Plan

DEFAULT_SECONDS = 10.0
DEFAULT_WORK = 3_000_000
MOST_SEED = 2**63 - 1


def _a_number(context: click.Context, option: click.Parameter, value: float) -> float:
    """Refuse ``nan``, which is in no range and out of none."""
    if math.isnan(value):
        raise click.BadParameter("nan is no number of seconds.", context, option)
    return value


@click.command()
@click.argument("job", metavar="JOB", type=click.Path(path_type=Path))
@click.option(
    "--seconds",
    type=click.FloatRange(min=0.0),
    default=DEFAULT_SECONDS,
    show_default=True,
    callback=_a_number,
    help="The longest the search may take.",
)
@click.option(
    "--work",
    type=click.IntRange(min=1),
    default=DEFAULT_WORK,
    show_default=True,
    help="Search steps; a search that ends by them is the same every time.",
)
@click.option(
    "--seed",
    type=click.IntRange(min=0, max=MOST_SEED),
    default=0,
    show_default=True,
    help="Another seed searches another way.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="The folder to write; <job>-plan here if not given.",
)
@click.option(
    "--leave-out",
    is_flag=True,
    help="Plan even if parts cannot be placed; the plan lists them.",
)
@click.option(
    "--way",
    type=click.Choice(["cheapest", "simpler", "simplest", "roomiest"]),
    default="cheapest",
    show_default=True,
    help="Which of the ways to take, where there are several.",
)
@paper_option
@click.option(
    "--sheet",
    "sheets",
    multiple=True,
    metavar="TEXT",
    help='For a bare part list: "ply = 96 x 48 x 1/2 @ 62.50".',
)
@click.option(
    "--stick",
    "sticks",
    multiple=True,
    metavar="TEXT",
    help='For a bare part list: "pine 2x4 = 96 @ 4.85, 120 @ 6.10".',
)
@click.option("--kerf", help="For a bare part list: the kerf of the saw.")
@click.option("--trim", help="For a bare part list: the trim of every edge and end.")
@click.option(
    "--units",
    type=click.Choice(["inch", "mm"]),
    help="For a bare part list: the unit of plain numbers.",
)
def plan(
    job: Path,
    seconds: float,
    work: int,
    seed: int,
    out: Path | None,
    leave_out: bool,
    way: str,
    paper: str | None,
    sheets: tuple[str, ...],
    sticks: tuple[str, ...],
    kerf: str | None,
    trim: str | None,
    units: str | None,
) -> None:
    """Plan JOB: a job folder, its job.toml, or a bare part list (CSV).

    Writes plan.json, drawings.pdf, blanks.csv and, where parts are milled, routes.csv
    into a folder, after checking the plan. Ctrl-C while it searches gives the best plan
    so far. Where sheets can be cut in a simpler way, or so that larger pieces are left,
    those plans are written beside it, and --way takes one of them.

    \b
      $ nesting plan plant-stand
      $ nesting plan parts.csv --sheet "ply = 96 x 48 x 1/2 @ 62.50" --units inch
    """
    from nesting.cli.summary import summary
    from nesting.files import (
        write_blanks_csv,
        write_folder,
        write_plan,
        write_routes_csv,
    )
    from nesting.pipeline import WAYS
    from nesting.render import draw_pdf

    read = _read(job, sheets, sticks, kerf, trim, units)
    planned, *others = _search(
        read, seconds=seconds, work=work, seed=seed, leave_out=leave_out, way=way
    )
    said = summary(planned)
    folder = out or Path(f"{_name(job)}-plan")
    # The plan is safe on disk before the drawing, which takes its time on a large job.
    files = {
        "plan.json": write_plan(planned).encode(),
        "blanks.csv": write_blanks_csv(planned).encode(),
    }
    if planned.routes:
        files["routes.csv"] = write_routes_csv(planned).encode()
    for other in others:
        files[f"{other.way}.json"] = write_plan(other).encode()
    write_folder(folder, files)
    for name in WAYS:  # of an earlier plan
        if f"{name}.json" not in files:
            (folder / f"{name}.json").unlink(missing_ok=True)
    if sys.stderr.isatty():
        click.echo(f"drawing {planned.totals.layouts} layouts ...", err=True)
    drawn = draw_pdf(planned, paper_of(paper, planned.job.unit))
    write_folder(folder, {"drawings.pdf": drawn})
    click.echo(said)
    names = ", ".join(("plan.json", "drawings.pdf", *list(files)[1:]))
    click.echo(f"\nWritten to {folder}: {names}")


def _name(job: Path) -> str:
    """Return what a job is called on disk: its folder's name, or its list's."""
    path = job.resolve()
    if path.is_dir() or path.name == "job.toml":
        return path.name if path.is_dir() else path.parent.name
    return path.stem


def _read(
    job: Path,
    sheets: tuple[str, ...],
    sticks: tuple[str, ...],
    kerf: str | None,
    trim: str | None,
    units: str | None,
) -> Job:
    from nesting.files import quick_job, read_job

    bare = job.suffix.lower() in {".csv", ".tsv", ".txt"}
    if bare:
        return quick_job(
            job, sheets=sheets, sticks=sticks, kerf=kerf, trim=trim, units=units
        )
    if sheets or sticks or kerf or trim or units:
        raise click.UsageError(
            "--sheet, --stick, --kerf, --trim and --units go with a bare part list "
            f"(a CSV); {job} says all that in its job.toml"
        )
    return read_job(job)


def _search(
    job: Job, *, seconds: float, work: int, seed: int, leave_out: bool, way: str
) -> tuple[Plan, ...]:
    from nesting.cli.watch import Watch
    from nesting.model.problem import Budget
    from nesting.pipeline import plan_ways, prepare

    with Watch() as watch:
        prepare(job, watch.say)
        budget = Budget(
            work=work,
            deadline=time.monotonic() + seconds,
            cancelled=watch.cancelled,
            progress=watch.progress,
        )
        return plan_ways(job, seed=seed, budget=budget, leave_out=leave_out, take=way)
