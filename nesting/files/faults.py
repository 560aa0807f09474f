"""Collecting every fault of the input, each with its place, before one is raised."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from nesting.errors import Fault, InputError

MOST_SHOWN: Final = 60
"""Faults listed one by one; of more, only the number is said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place in the input, as the maker would look for it."""

    path: str = ""
    """The file as the user named it; empty for an option."""
    line: int | None = None
    """Counted from 1."""
    field: str = ""
    """The column, the dotted key or the option."""


class FaultList:
    """The faults found so far; nothing is raised until `raise_any` is called."""

    def __init__(self) -> None:
        self._faults: list[Fault] = []
        self._more = 0

    def __len__(self) -> int:
        """Return how many faults were found."""
        return len(self._faults) + self._more

    def add(self, spot: Spot, what: str, remedy: str = "") -> None:
        """Note one fault: where, what was read, what would do."""
        if len(self._faults) == MOST_SHOWN:
            self._more += 1
            return
        self._faults.append(
            Fault(
                what=_printable(what),
                remedy=_printable(remedy),
                path=spot.path,
                line=spot.line,
                field=_printable(spot.field),
            )
        )

    def add_error(self, spot: Spot, error: ValueError, remedy: str = "") -> None:
        """Note what a lower layer refused, which may know neither place nor remedy."""
        if not isinstance(error, InputError):
            self.add(spot, str(error), remedy)
            return
        for fault in error.faults:
            self.add(spot, fault.what, fault.remedy or remedy)

    def raise_any(self) -> None:
        """Raise all that was found as one error, or do nothing.

        Raises
        ------
        InputError
            At least one fault was noted.
        """
        if not self._faults:
            return
        faults = tuple(self._faults)
        if self._more:
            last = Fault(what=f"and {self._more} more faults like these")
            faults = (*faults, replace(last, path=faults[-1].path))
        raise InputError(faults=faults)


def _printable(text: str) -> str:
    """Return a text in which nothing can garble a terminal."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else "\ufffd" for sign in text)


def shown(raw: object, longest: int = 48) -> str:
    """Return what was read in quotes, on one line, clipped to a bearable length."""
    if isinstance(raw, list | dict):
        return "a list" if isinstance(raw, list) else "a table"
    if isinstance(raw, bool):
        return str(raw).lower()
    try:
        text = raw if isinstance(raw, str) else str(raw)
    except ValueError:  # an integer of thousands of digits
        text = "an absurdly long number"
    if len(text) > longest:
        text = text[: longest - 3] + "..."
    return repr(text)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that a mistyped one was probably meant for."""
    lower = {name.casefold(): name for name in sorted(known)}
    near = difflib.get_close_matches(word.casefold(), lower, n=1, cutoff=0.6)
    return lower[near[0]] if near else None


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return a remedy for a word that is not known: the nearest, or all there are."""
    names = sorted(known)
    near = nearest(word, names)
    if near is not None:
        return f"did you mean {near!r}?"
    if not names:
        return ""
    return "known are " + ", ".join(names[:16]) + (", ..." if len(names) > 16 else "")
