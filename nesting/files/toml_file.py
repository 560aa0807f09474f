"""TOML with the line of every key, which the standard parser keeps to itself.

`tomllib` parses and judges; `key_lines` then walks the same text, which is known to be
sound, only to see where keys and array items stand.
"""

from __future__ import annotations

import contextlib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, TypeAlias

from nesting.files.faults import FaultList, Spot
from nesting.files.text import TextFile

KeyPath: TypeAlias = tuple[str | int, ...]
"""Keys and array places (from 0) down to a value."""

_AT_LINE: Final = re.compile(r" \(at (?:line (?P<line>[0-9]+).*|end of document)\)$")
_LIKE_EXAMPLE: Final = "write it like the example in the reference of the job format"
_COMMON: Final = (
    (
        "newline or end of document after",
        "something is left over behind a value",
        'a size with a fraction, unit or sum stands in quotes: "23 1/2"',
    ),
    (
        "Invalid value",
        "no value stands behind the '='",
        'text stands in quotes, like "inch"',
    ),
    ("Expected '='", "there is no '=' behind a key", "write key = value or [table]"),
    ("Unclosed array", "a list does not end", "close it with ]"),
    ("Illegal character '\\n'", "a text does not end on its line", "close its quote"),
    ("Unterminated string", "a text does not end", "close its quote"),
    ("Cannot overwrite", "a key is there twice", "give each key once"),
    (
        "twice",
        "a table is there twice",
        "give each once; only lists have double brackets, like [[saw]]",
    ),
)
"""What the parser says, what it means to a maker, and what would do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TomlFile:
    """A TOML file that was parsed."""

    path: str
    """As the user named it."""
    data: dict[str, Any]
    """Tables as dicts; decimals are `decimal.Decimal`."""
    lines: Mapping[KeyPath, int]

    def spot(self, *keys: str | int) -> Spot:
        """Return the place of a value: its line, or that of what it lies in."""
        known = keys
        while known and known not in self.lines:
            known = known[:-1]
        line = self.lines.get(known) if known else None
        return Spot(path=self.path, line=line, field=dotted(keys))


def dotted(keys: KeyPath) -> str:
    """Return keys as people write them, places counted from 1: ``saw[2].kerf``."""
    text = ""
    for key in keys:
        text += f"[{key + 1}]" if isinstance(key, int) else f".{key}"
    return text.removeprefix(".")


def parse_toml(file: TextFile, faults: FaultList) -> TomlFile | None:
    """Return the parsed file, or None after noting why it is no TOML."""
    try:
        data = tomllib.loads(file.text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        match = _AT_LINE.search(message)
        line = int(match["line"]) if match and match["line"] else None
        reason = message[: match.start()] if match else message
        what, remedy = next(
            (row[1:] for row in _COMMON if row[0] in reason),
            (f"{reason[:1].lower()}{reason[1:]}", _LIKE_EXAMPLE),
        )
        what = f"this is not TOML: {what}"
        faults.add(Spot(path=file.path, line=line), what, remedy)
        return None
    except (ValueError, ArithmeticError):
        what = "a number is too long to be read"
        faults.add(Spot(path=file.path), what, "sizes and prices have few figures")
        return None
    except RecursionError:
        what = "lists or tables are nested far too deep"
        faults.add(Spot(path=file.path), what, "a job needs three levels")
        return None
    return TomlFile(path=file.path, data=data, lines=key_lines(file.text))


def key_lines(text: str) -> dict[KeyPath, int]:
    """Return the line of each key, table and array item of a sound TOML text.

    Parameters
    ----------
    text
        What `tomllib` has accepted; of anything else the lines may be missing or wrong.
    """
    walker = _Walker(text.replace("\r\n", "\n"))
    with contextlib.suppress(IndexError, RecursionError):  # fewer lines will do, too
        walker.document()
    return walker.lines


_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")
_BLANK: Final = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_PLAIN: Final = re.compile(r"[^,\]}\n#]*")
_STRINGS: Final = (
    re.compile(r'"""(?:[^"\\]|\\.|"(?!""))*"{3,5}', re.DOTALL),
    re.compile(r"'''(?:[^']|'(?!''))*'{3,5}", re.DOTALL),
    re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)


class _Walker:
    """Goes through a sound TOML text and notes lines."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[KeyPath, int] = {}
        self._counts: dict[KeyPath, int] = {}
        self._line = 1
        self._counted_to = 0

    def document(self) -> None:
        table: KeyPath = ()
        self._skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BLANK)

    def _header(self) -> KeyPath:
        listed = self.text.startswith("[[", self.at)
        line = self._here()
        self.at += 2 if listed else 1
        keys = self._keys()
        self.at += 2 if listed else 1
        path: KeyPath = ()
        for place, key in enumerate(keys):
            path = (*path, key)
            self.lines.setdefault(path, line)
            if listed and place == len(keys) - 1:
                self._counts[path] = self._counts.get(path, -1) + 1
            if path in self._counts:
                path = (*path, self._counts[path])
        self.lines.setdefault(path, line)
        return path

    def _pair(self, table: KeyPath) -> None:
        line = self._here()
        path = table
        for key in self._keys():
            path = (*path, key)
            self.lines.setdefault(path, line)
        self.at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(path)

    def _keys(self) -> tuple[str, ...]:
        """Return the dotted keys at this place; stop at what follows them."""
        keys: list[str] = []
        while True:
            self._skip(_SPACE)
            if bare := _BARE_KEY.match(self.text, self.at):
                self.at = bare.end()
                keys.append(bare[0])
            else:
                start = self.at
                self._string()
                quoted = self.text[start : self.at]
                escaped = "\\" in quoted
                key = (
                    next(iter(tomllib.loads(quoted + "=0")))
                    if escaped
                    else quoted[1:-1]
                )
                keys.append(key)
            self._skip(_SPACE)
            if self.text[self.at] != ".":
                return tuple(keys)
            self.at += 1

    def _value(self, path: KeyPath) -> None:
        sign = self.text[self.at]
        if sign in "\"'":
            self._string()
        elif sign == "[":
            self.at += 1
            self._skip(_BLANK)
            place = 0
            while self.text[self.at] != "]":
                self.lines.setdefault((*path, place), self._here())
                self._value((*path, place))
                place += 1
                self._past_comma()
            self.at += 1
        elif sign == "{":
            self.at += 1
            self._skip(_BLANK)
            while self.text[self.at] != "}":
                self._pair(path)
                self._past_comma()
            self.at += 1
        else:
            self._skip(_PLAIN)

    def _past_comma(self) -> None:
        self._skip(_BLANK)
        if self.text[self.at] == ",":
            self.at += 1
            self._skip(_BLANK)

    def _string(self) -> None:
        for pattern in _STRINGS:
            if match := pattern.match(self.text, self.at):
                self.at = match.end()
                return
        raise IndexError

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match is not None:
            self.at = match.end()

    def _here(self) -> int:
        """Return the line of this place; places are asked for in order."""
        self._line += self.text.count("\n", self._counted_to, self.at)
        self._counted_to = self.at
        return self._line
