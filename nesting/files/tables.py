"""One table of a job file, read key by key; whatever is not asked for is a fault."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from typing import Any, Final, TypeVar

from nesting.errors import InputError
from nesting.files.faults import FaultList, Spot, shown, suggestion
from nesting.files.sizes import Sizes, number_of
from nesting.files.toml_file import KeyPath, TomlFile
from nesting.units import Ticks

T = TypeVar("T")

LONGEST_NAME: Final = 80
LONGEST_NOTE: Final = 500
MOST_CENTS: Final = 10**9
"""The highest price of one piece, in cents."""

_MONEY: Final = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{1,2})?")


class Table:
    """A table of a TOML file that is being read.

    Parameters
    ----------
    file
        The file it stands in.
    data
        Its keys and values.
    keys
        Where it stands in the file.
    faults
        Where every fault is noted.
    """

    def __init__(
        self, file: TomlFile, data: dict[str, Any], keys: KeyPath, faults: FaultList
    ) -> None:
        self.data = data
        self._file = file
        self._keys = keys
        self._faults = faults
        self._asked: list[str] = []

    def __contains__(self, key: str) -> bool:
        """Tell whether a key is given."""
        return key in self.data

    def spot(self, *keys: str | int) -> Spot:
        """Return the place of a value of this table, or of the table."""
        return self._file.spot(*self._keys, *keys)

    def raw(self, key: str) -> object:
        """Return what stands at a key, None where it is not given."""
        self._asked.append(key)
        return self.data.get(key)

    def close(self) -> None:
        """Note each key that nobody asked for."""
        for key in self.data:
            if key not in self._asked:
                known = dict.fromkeys(self._asked)
                self._faults.add(
                    self.spot(key),
                    f"{shown(key)} is no key here",
                    suggestion(key, known),
                )

    def need(self, *keys: str, form: str = "add {} = ...") -> bool:
        """Note each of these keys that is missing; tell whether all are there."""
        missing = [key for key in keys if self.data.get(key, "") == ""]
        for key in missing:
            self._faults.add(self.spot(), f"{key!r} is missing", form.format(key))
        return not missing

    def text(self, key: str, default: str = "", longest: int = LONGEST_NAME) -> str:
        """Return a text in one line, or the default."""
        raw = self.raw(key)
        if raw is None:
            return default
        if not isinstance(raw, str):
            what = f"a text is wanted, not {shown(raw)}"
            self._faults.add(self.spot(key), what, "put it in quotes")
            return default
        return checked_text(raw, self.spot(key), self._faults, longest) or default

    def choice(self, key: str, choices: Mapping[str, T], default: T) -> T:
        """Return what a word stands for, or the default."""
        raw = self.raw(key)
        if raw is None:
            return default
        return chosen(raw, choices, self.spot(key), self._faults) or default

    def choices(self, key: str, choices: Mapping[str, T]) -> tuple[T, ...] | None:
        """Return what a list of words stands for; None where it is not given."""
        raw = self.raw(key)
        if raw is None:
            return None
        words = [raw] if isinstance(raw, str) else raw
        if not isinstance(words, list) or not words:
            what = f"a list of words is wanted, not {shown(raw)}"
            words_known = ", ".join(f'"{word}"' for word in choices)
            self._faults.add(self.spot(key), what, f"write [{words_known}] or fewer")
            return None
        found = [
            chosen(word, choices, self.spot(key, place), self._faults)
            for place, word in enumerate(words)
        ]
        return tuple(dict.fromkeys(item for item in found if item is not None))

    def whole(self, key: str, least: int, most: int) -> int | None:
        """Return a whole number, None where it is missing or faulty."""
        raw = self.raw(key)
        if raw is None:
            return None
        return whole_number(raw, least, most, self.spot(key), self._faults)

    def cents(self, key: str) -> int | None:
        """Return a price in cents, None where it is missing or faulty."""
        raw = self.raw(key)
        return None if raw is None else cents(raw, self.spot(key), self._faults)

    def size(self, key: str, sizes: Sizes, *, zero: bool = False) -> Ticks | None:
        """Return a size in ticks, None where it is missing or faulty."""
        raw = self.raw(key)
        if raw is None:
            return None
        return sizes.read(raw, self.spot(key), self._faults, zero=zero)

    def table(self, key: str) -> Table | None:
        """Return the table at a key, None where it is missing or faulty."""
        raw = self.raw(key)
        if raw is None:
            return None
        if not isinstance(raw, dict):
            what = f"a table is wanted, not {shown(raw)}"
            self._faults.add(self.spot(key), what, f"write [{key}] above its keys")
            return None
        return Table(self._file, raw, (*self._keys, key), self._faults)

    def tables(self, key: str, most: int) -> list[Table]:
        """Return the list of tables at a key, in order."""
        raw = self.raw(key)
        if raw is None:
            return []
        if not isinstance(raw, list) or not all(isinstance(row, dict) for row in raw):
            single = "it has single brackets" if isinstance(raw, dict) else ""
            what = "a list of tables is wanted" + (f"; {single}" if single else "")
            remedy = f"write [[{key}]] with double brackets above each"
            self._faults.add(self.spot(key), what, remedy)
            return []
        if len(raw) > most:
            what = f"there are more than {most} of them"
            self._faults.add(self.spot(key), what, "split the job")
            return []
        return [
            Table(self._file, row, (*self._keys, key, place), self._faults)
            for place, row in enumerate(raw)
        ]


def chosen(
    raw: object, choices: Mapping[str, T], spot: Spot, faults: FaultList
) -> T | None:
    """Return what a word stands for, or None after noting that it is none of them."""
    word = " ".join(raw.split()).lower() if isinstance(raw, str) else ""
    if word in choices:
        return choices[word]
    faults.add(
        spot, f"{shown(raw)} is none of the choices", suggestion(str(raw), choices)
    )
    return None


def whole_number(
    raw: object, least: int, most: int, spot: Spot, faults: FaultList
) -> int | None:
    """Return a whole number within limits, or None after noting the fault."""
    number: int | None = None
    if isinstance(raw, int) and not isinstance(raw, bool):
        number = raw
    elif isinstance(raw, str) and re.fullmatch(r"\s*[+-]?[0-9]{1,12}\s*", raw):
        number = int(raw)
    if number is None:
        remedy = f"write {least} to {most}, without fraction or unit"
        faults.add(spot, f"a whole number is wanted, not {shown(raw)}", remedy)
        return None
    if not least <= number <= most:
        what = f"{shown(raw)} is too {'few' if number < least else 'many'}"
        faults.add(spot, what, f"it must be {least} to {most}")
        return None
    return number


def cents(raw: object, spot: Spot, faults: FaultList) -> int | None:
    """Return a price in whole cents, or None after noting the fault.

    Parameters
    ----------
    raw
        A number, or a text like ``62.50``.
    spot
        Where it stands.
    faults
        Where its faults are noted.
    """
    remedy = "write a price like 62.50, without a currency sign"
    try:
        if isinstance(raw, str):
            text = raw.strip()
            if not _MONEY.fullmatch(text):
                raise InputError(f"{shown(raw)} is no price")
            whole, _, part = text.replace(",", ".").partition(".")
            return 100 * int(whole) + int(part.ljust(2, "0"))
        amount = number_of(raw) * 100
    except InputError as error:
        faults.add(spot, error.faults[0].what, remedy)
        return None
    if amount < 0:
        faults.add(spot, f"the price {shown(raw)} is less than nothing", remedy)
    elif amount > MOST_CENTS:
        faults.add(spot, f"the price {shown(raw)} is over {MOST_CENTS // 100}", remedy)
    elif amount.denominator != 1:
        faults.add(spot, f"the price {shown(raw)} is finer than a cent", remedy)
    else:
        return int(amount)
    return None


def checked_text(raw: str, spot: Spot, faults: FaultList, longest: int) -> str:
    """Return a text with single spaces, or nothing after noting its fault."""
    text = " ".join(raw.split())
    if len(text) > longest:
        what = f"the text {shown(text)} has {len(text)} characters"
        faults.add(spot, what, f"use at most {longest}")
        return ""
    bad = next((c for c in text if unicodedata.category(c) in ("Cc", "Cs", "Co")), None)
    if bad is not None:
        what = f"the text {shown(text)} holds a character that cannot be printed"
        faults.add(spot, what, "write it anew by hand")
        return ""
    return unicodedata.normalize("NFC", text)
