"""What can go wrong on purpose, in one tree.

::

    NestingError                  everything this package raises on purpose
      InputError(ValueError)      what cannot be read; carries every fault found
      InfeasibleError             parts that cannot be placed; carries their names
      VerificationError           our bug: a plan breaks a rule; carries the violations

A message is a sentence to the maker: what, where, what to do. Exceptions of other
libraries never pass a room's door.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong in the input, and where."""

    what: str
    """The fault in words, with what was read."""
    remedy: str = ""
    """What would do instead; empty where `what` says it already."""
    path: str = ""
    """The file, as the user named it; empty for an option."""
    line: int | None = None
    """Line (text files) or row (tables), counted from 1 as an editor shows it."""
    field: str = ""
    """The column name or the key, dotted: ``materials.ply.thickness``."""

    def __str__(self) -> str:
        """Return one sentence: place, what, remedy."""
        place = self.path
        if self.line is not None:
            place += f", line {self.line}" if place else f"line {self.line}"
        if self.field:
            place += f", {self.field}" if place else self.field
        text = f"{place}: {self.what}" if place else self.what
        return f"{text}; {self.remedy}" if self.remedy else text


class NestingError(Exception):
    """Everything this package raises on purpose."""


class InputError(NestingError, ValueError):
    """A file, option or size that cannot be read; carries every fault found."""

    def __init__(self, message: str = "", *, faults: tuple[Fault, ...] = ()) -> None:
        if not faults:
            faults = (Fault(what=message),)
        self.faults = faults
        super().__init__(message or "\n".join(str(fault) for fault in faults))


class InfeasibleError(NestingError):
    """No plan exists, or none was found, that cuts every part; carries the parts."""

    def __init__(self, message: str, *, parts: tuple[str, ...] = ()) -> None:
        self.parts = parts
        super().__init__(message)


class VerificationError(NestingError):
    """A plan breaks a rule of its own: our bug, never the maker's."""

    def __init__(self, message: str, *, violations: tuple[object, ...] = ()) -> None:
        self.violations = violations
        super().__init__(message)
