"""Arithmetic on sizes, read by a small parser of its own; nothing is ever executed.

The grammar, loosest first; spaces are free except inside numbers::

    sum     = term { ("+" | "-") term }
    term    = factor { ("*" | "/") factor }
    factor  = ("+" | "-") factor | "(" sum ")" | number [unit] | name
    name    = dimension | material ".t"

A number is written as in `nesting.units`: ``23 1/2``, ``23-1/2`` and ``3/4`` without
spaces at the slash are one number each, which binds closer than any sign. Where that
could be misread (``depth/3/4``) the text is refused.

A sum is turned into postfix code and worked out on a stack in exact fractions. Values
know what they are: a *length*, a *ratio* (length by length), or *bare*, a number
without a unit, which becomes whichever its neighbours need.
"""

from __future__ import annotations

import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Final

from nesting.errors import Fault, InputError
from nesting.files.faults import shown
from nesting.units import Unit, read_exact

LONGEST_SUM: Final = 200
"""Characters of the longest sum."""
DEEPEST: Final = 24
"""Most brackets and signs inside one another."""
MOST_BITS: Final = 2048
"""Bits of the largest numerator or denominator; no furniture needs more."""


class Kind(Enum):
    """What a value is."""

    LENGTH = "a length"
    RATIO = "a plain number"
    BARE = "a number without a unit"


@dataclass(frozen=True, slots=True)
class Value:
    """An exact amount: ticks for a length, itself otherwise."""

    amount: Fraction
    kind: Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """A sum that was understood but not yet worked out."""

    text: str
    code: tuple[Value | str, ...]
    """Postfix: values, names, and the signs ``+ - * / neg``."""
    names: frozenset[str]
    """The names it needs, as `folded` writes them."""


_SLASH: Final = "/⁄∕"
_DASH: Final = "-−‐‑–"
_VULGAR: Final = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
_FRACTION: Final = rf"[0-9]+[{_SLASH}][0-9]+"
_MIXED: Final = (
    rf"[0-9]+(?:[{_DASH}]|\s+)[0-9]+\s?[{_SLASH}]\s?[0-9]+"
    rf"|[0-9]+(?:[{_DASH}]|\s*)[{_VULGAR}]"
)
_DECIMAL: Final = r"[0-9]+(?:\.[0-9]*|,[0-9]+)?|[.,][0-9]+"
_NUMBER: Final = rf"{_MIXED}|{_FRACTION}|[{_VULGAR}]|{_DECIMAL}"
_INCH: Final = r"[\"″”“ʺ]|''|′′|’’|in(?:ch(?:es)?|\.)?(?!\w)"
_FOOT: Final = r"['′’‘ʹ´]|ft\.?(?!\w)|foot(?!\w)|feet(?!\w)"
_METRIC: Final = r"(?:mm|cm|m|(?:milli|centi)?met(?:re|er)s?)(?!\w)"
_TOKEN: Final = re.compile(
    rf"""\s*(?:
      (?P<length> [0-9]+\s?(?:{_FOOT})\s?(?:{_NUMBER})\s?(?:{_INCH})?
                | (?:{_NUMBER})\s?(?:{_INCH}|{_FOOT}|{_METRIC}) )
    | (?P<fraction> {_FRACTION}|[{_VULGAR}] (?!\w) )
    | (?P<number> {_NUMBER} )
    | (?P<name> [^\W\d]\w*(?:\.[^\W\d]\w*)? )
    | (?P<sign> [-−–+*×/⁄∕÷()] )
    )""",
    re.VERBOSE | re.IGNORECASE,
)
_SIGNS: Final = {"−": "-", "–": "-", "×": "*", "÷": "/", "⁄": "/", "∕": "/"}
_APPLY: Final[Mapping[str, Callable[[Fraction, Fraction], Fraction]]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
}
_END: Final = ("end", "")


def folded(name: str) -> str:
    """Return a name as sizes refer to it: small, ``_`` for spaces and hyphens."""
    return re.sub(r"[\s-]+", "_", name.strip()).casefold()


def parse_sum(text: str, unit: Unit) -> Sum:
    """Return a sum that was understood.

    Parameters
    ----------
    text
        The sum as typed.
    unit
        The unit in which bare numbers are held to the limits of `read_exact`.

    Raises
    ------
    InputError
        The text is no sum, too long or too deep; its fault has no place yet.

    Examples
    --------
    >>> sorted(parse_sum("depth - 2*Ply.t", Unit.INCH).names)
    ['depth', 'ply.t']
    """
    if len(text) > LONGEST_SUM:
        raise _refusal(text, f"it has more than {LONGEST_SUM} characters")
    parser = _Parser(text, unit)
    parser.sum(0)
    kind, word = parser.look
    if kind != "end":
        reason = (
            "there is a closing bracket too many"
            if word == ")"
            else f"a sign such as + or * is missing before {word!r}"
        )
        raise _refusal(text, reason)
    names = frozenset(parser.names)
    return Sum(text=text, code=tuple(parser.code), names=names)


def work_out(total: Sum, names: Mapping[str, Value], unit: Unit) -> Value:
    """Return what a sum comes to, exactly.

    Parameters
    ----------
    total
        The sum.
    names
        The values of the names it needs, under their `folded` names.
    unit
        The unit of bare numbers.

    Raises
    ------
    InputError
        Lengths are multiplied or mixed with plain numbers, something is divided by
        zero, or the figures grow beyond any use.
    """
    stack: list[Value] = []
    for step in total.code:
        if isinstance(step, Value):
            stack.append(step)
        elif step == "neg":
            last = stack.pop()
            stack.append(Value(-last.amount, last.kind))
        elif step in _APPLY:
            right, left = stack.pop(), stack.pop()
            stack.append(_combined(total.text, step, left, right, unit))
        else:
            stack.append(names[step])
    return stack.pop()


class _Parser:
    """Recursive descent over the tokens of one sum, writing postfix code."""

    def __init__(self, text: str, unit: Unit) -> None:
        self.text = text
        self.unit = unit
        self.code: list[Value | str] = []
        self.names: set[str] = set()
        self._tokens = _tokens(text)
        self._at = 0

    @property
    def look(self) -> tuple[str, str]:
        return self._tokens[self._at]

    def sum(self, depth: int) -> None:
        self._term(depth)
        while self.look in (("sign", "+"), ("sign", "-")):
            sign = self._take()[1]
            self._term(depth)
            self.code.append(sign)

    def _term(self, depth: int) -> None:
        self._factor(depth)
        while self.look in (("sign", "*"), ("sign", "/")):
            sign = self._take()[1]
            if sign == "/":
                self._check_slash()
            self._factor(depth)
            self.code.append(sign)

    def _factor(self, depth: int) -> None:
        if depth > DEEPEST:
            raise _refusal(self.text, f"more than {DEEPEST} brackets or signs in a row")
        kind, word = self._take()
        if kind == "length":
            self.code.append(Value(read_exact(word, self.unit), Kind.LENGTH))
        elif kind in ("fraction", "number"):
            amount = read_exact(word, self.unit) / self.unit.ticks
            self.code.append(Value(amount, Kind.BARE))
        elif kind == "name":
            self.names.add(folded(word))
            self.code.append(folded(word))
        elif word in ("+", "-"):
            self._factor(depth + 1)
            if word == "-":
                self.code.append("neg")
        elif word == "(":
            self.sum(depth + 1)
            if self.look != ("sign", ")"):
                raise _refusal(self.text, "a closing bracket is missing")
            self._take()
        elif kind == "end":
            raise _refusal(self.text, "it ends where a size should follow")
        else:
            raise _refusal(self.text, f"a size should stand before {word!r}")

    def _check_slash(self) -> None:
        """Refuse a division next to a fraction, which people read in two ways."""
        before, after = self._tokens[self._at - 2], self.look
        if "fraction" in (before[0], after[0]):
            raise _refusal(
                self.text,
                f"{before[1]}/{after[1]} could be meant in two ways",
                "put brackets around what belongs together",
            )

    def _take(self) -> tuple[str, str]:
        token = self.look
        if token != _END:
            self._at += 1
        return token


def _tokens(text: str) -> list[tuple[str, str]]:
    """Return the text as (kind, word), the last being `_END`."""
    tokens: list[tuple[str, str]] = []
    at = 0
    end = len(text.rstrip())
    while at < end:
        match = _TOKEN.match(text, at)
        if match is None or match.lastgroup is None:
            rest = text[at:].strip()
            raise _refusal(text, f"{rest[:1]!r} has no place in a size")
        word = match[match.lastgroup]
        if match.lastgroup == "sign":
            word = _SIGNS.get(word, word)
        tokens.append((match.lastgroup, word))
        at = match.end()
    tokens.append(_END)
    return tokens


def _combined(text: str, sign: str, left: Value, right: Value, unit: Unit) -> Value:
    """Return the value of two others joined by a sign, if it makes sense."""
    kind = _kind(text, sign, left.kind, right.kind)
    if sign in "+-" and kind is Kind.LENGTH:
        left, right = as_length(left, unit), as_length(right, unit)
    if sign == "/" and right.amount == 0:
        raise _refusal(text, "nothing can be divided by 0")
    amount = _APPLY[sign](left.amount, right.amount)
    if max(amount.numerator.bit_length(), amount.denominator.bit_length()) > MOST_BITS:
        raise _refusal(text, "its figures grow far too long")
    return Value(amount, kind)


def _kind(text: str, sign: str, left: Kind, right: Kind) -> Kind:
    """Return the kind of a result, or refuse it as no sense in a size."""
    kinds = {left, right}
    lengths = (left is Kind.LENGTH) + (right is Kind.LENGTH)
    if sign in "+-":
        if kinds == {Kind.LENGTH, Kind.RATIO}:
            word = "added to" if sign == "+" else "subtracted from"
            first, second = (right, left) if sign == "-" else (left, right)
            raise _refusal(text, f"{first.value} cannot be {word} {second.value}")
        return next(k for k in (Kind.LENGTH, Kind.RATIO, Kind.BARE) if k in kinds)
    if sign == "*" and lengths == 2:
        raise _refusal(text, "a length times a length is an area, no size")
    if sign == "/" and right is Kind.LENGTH:
        if left is Kind.RATIO:
            raise _refusal(text, "a plain number cannot be divided by a length")
        if left is Kind.BARE:
            raise _refusal(
                text,
                "a number without a unit cannot be divided by a length",
                "give it a unit, such as in or mm, if it is a length",
            )
        return Kind.RATIO
    if lengths:
        return Kind.LENGTH
    return Kind.RATIO if Kind.RATIO in kinds else Kind.BARE


def as_length(value: Value, unit: Unit) -> Value:
    """Return a bare number as a length in that unit, and a length as it is."""
    if value.kind is Kind.BARE:
        return Value(value.amount * unit.ticks, Kind.LENGTH)
    return value


def _refusal(text: str, reason: str, remedy: str = "") -> InputError:
    """Return the error for a sum: what was read, why it will not do."""
    what = f"cannot read {shown(text)} as a size: {reason}"
    remedy = remedy or "write a size like 23 1/2 or a sum like depth - 2*3/4"
    return InputError(faults=(Fault(what=what, remedy=remedy),))
