"""How a command ends: exit codes, and one clear sentence instead of a traceback.

0 done; 1 cannot be planned; 2 bad input or usage; 3 a plan failed its verification, or
this program has a fault.
"""

from __future__ import annotations

import io
import os
import sys
from typing import Any

import click

from nesting.errors import (
    InfeasibleError,
    InputError,
    NestingError,
    VerificationError,
)

CANNOT_PLAN = 1
BAD_INPUT = 2
NOT_SOUND = 3

_CODES: tuple[tuple[type[NestingError], int], ...] = (
    (InputError, BAD_INPUT),
    (InfeasibleError, CANNOT_PLAN),
    (VerificationError, NOT_SOUND),
)


class Commands(click.Group):
    """A group whose commands end with a sentence and an exit code, whatever happens."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; turn what it raises into a message and an exit code."""
        _show_any_text()
        try:
            return super().invoke(ctx)
        except NestingError as error:
            raise _ended(error) from error
        except (
            click.exceptions.Exit,
            click.Abort,
            click.ClickException,
            KeyboardInterrupt,
            BrokenPipeError,
        ):
            raise  # click ends these itself, without a traceback
        except Exception as error:
            if os.environ.get("NESTING_DEBUG"):
                raise
            raise _fault_of_ours(error) from error


class Ending(click.ClickException):
    """A message for the maker and the exit code that goes with it."""

    def __init__(self, message: str, exit_code: int) -> None:
        super().__init__(message)
        self.exit_code = exit_code  # type: ignore[misc]  # click's is a class variable


def _show_any_text() -> None:
    """Let a letter that a pipe's encoding has not be shown as a question mark.

    A pipe on Windows may know 256 letters only; a name in the job may hold others.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and stream.errors == "strict":
            stream.reconfigure(errors="replace")


def _ended(error: NestingError) -> click.ClickException:
    if isinstance(error, InputError):
        count = len(error.faults)
        head = "" if count == 1 else f"{count} faults in the input:\n"
        text = head + "\n".join(str(fault) for fault in error.faults)
    else:
        text = str(error)
    code = next((code for kind, code in _CODES if isinstance(error, kind)), BAD_INPUT)
    return Ending(text, code)


def _fault_of_ours(error: Exception) -> click.ClickException:
    return Ending(
        f"this is a fault of the program, not of your job "
        f"({type(error).__name__}: {error}). Nothing was written. Set NESTING_DEBUG=1 "
        "and run it again to see where it happened.",
        NOT_SOUND,
    )
