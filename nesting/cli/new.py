"""``nesting new``: a job folder with an example to change."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Make a new job FOLDER with a commented example that plans as it is.

    \b
      $ nesting new plant-stand
      $ nesting plan plant-stand
    """
    from nesting.files import new_job

    for name in new_job(folder):
        click.echo(f"wrote {folder / name}")
    click.echo(f"change them, then: nesting plan {folder}")
