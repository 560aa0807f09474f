"""The commands: parse, call, print. Everything heavy is imported inside a command."""

from __future__ import annotations

import click

from nesting import __version__
from nesting.cli.draw import draw
from nesting.cli.ending import Commands
from nesting.cli.new import new
from nesting.cli.plan import plan
from nesting.cli.verify import verify


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="nesting")
def main() -> None:
    """Plan the cuts of a furniture job: what to buy, how to cut it, in what order.

    A session, from nothing to the saw:

    \b
      nesting new plant-stand      a job folder with an example to change
      nesting plan plant-stand     plan it: plan.json, drawings.pdf, blanks.csv
      nesting verify plant-stand-plan/plan.json
      nesting draw plant-stand-plan/plan.json --paper a4
    """


main.add_command(new)
main.add_command(plan)
main.add_command(verify)
main.add_command(draw)

__all__ = ["main"]
