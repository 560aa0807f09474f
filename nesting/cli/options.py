"""Options that more than one command takes."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from nesting.render import Paper


def paper_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--paper`` to a command."""
    return click.option(
        "--paper",
        type=click.Choice(["letter", "a4"], case_sensitive=False),
        help="The paper to draw for; letter for jobs in inches, else a4.",
    )(command)


def paper_of(name: str | None, unit: str) -> Paper:
    """Return the paper of a name, or the usual one of a unit of length."""
    from nesting.render import A4, LETTER

    if name is None:
        return LETTER if unit == "inch" else A4
    return LETTER if name == "letter" else A4
