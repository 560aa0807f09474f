"""``nesting verify``: replay a plan's cuts and list what is wrong with it."""

from __future__ import annotations

from pathlib import Path

import click

from nesting.cli.ending import NOT_SOUND


@click.command()
@click.argument("plan_file", metavar="PLAN", type=click.Path(path_type=Path))
@click.pass_context
def verify(context: click.Context, plan_file: Path) -> None:
    """Replay every cut of PLAN (a plan.json) and say `sound`, or list the faults.

    Proofs that nothing is cheaper are done again from their certificates; one that has
    none is named, for it rests on the word of a search.

    \b
      $ nesting verify plant-stand-plan/plan.json
      sound
    """
    from nesting.files import read_plan
    from nesting.verify import verify as check

    plan = read_plan(plan_file)
    violations = check(plan)
    if not violations:
        click.echo("sound")
        for bound in plan.bounds:
            if bound.is_by_search:
                how = f"proved by {bound.basis}; not re-checked"
                click.echo(f"{bound.title}: {how}")
        return
    for violation in violations:
        click.echo(str(violation))
    click.echo(f"not sound: {len(violations)} faults", err=True)
    context.exit(NOT_SOUND)
