"""``nesting draw``: a plan's drawings, again or for another paper."""

from __future__ import annotations

from pathlib import Path

import click

from nesting.cli.options import paper_of, paper_option


@click.command()
@click.argument("plan_file", metavar="PLAN", type=click.Path(path_type=Path))
@paper_option
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="The PDF to write; beside the plan if not given: drawings.pdf for plan.json.",
)
def draw(plan_file: Path, paper: str | None, out: Path | None) -> None:
    """Draw PLAN (a plan.json) as a PDF, after checking it.

    \b
      $ nesting draw plant-stand-plan/plan.json --paper a4
      wrote plant-stand-plan/drawings.pdf
    """
    from nesting.errors import VerificationError
    from nesting.files import read_plan, write_folder
    from nesting.render import draw_pdf
    from nesting.verify import verify

    plan = read_plan(plan_file)
    violations = verify(plan)
    if violations:
        message = (
            f"{plan_file} is not sound, so it was not drawn; nesting verify lists "
            f"its {len(violations)} faults, the first is: {violations[0]}"
        )
        raise VerificationError(message, violations=violations)
    name = plan_file.stem if plan_file.name != "plan.json" else "drawings"
    target = out or plan_file.with_name(f"{name}.pdf")
    drawn = draw_pdf(plan, paper_of(paper, plan.job.unit))
    write_folder(target.parent, {target.name: drawn})
    click.echo(f"wrote {target}")
