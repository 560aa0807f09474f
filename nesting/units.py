"""Exact lengths: the only place where inches and millimetres are read or written.

A length is a whole number of *ticks* of 1/1600 mm. One inch is 25.4 mm exactly (the
international inch of 1959), so 1 mm = 1600, 0.01 mm = 16, 1 in = 40640 and
1/64 in = 635 ticks, with nothing left over. Text becomes a `fractions.Fraction` of
ticks and is rounded once; no binary floating point takes part, in or out.

Two ways out, never to be confused: `write_length` is for the eye and may round (it
then says so with a trailing ``+`` or ``-``); `write_exact` never rounds and reads back
to the same ticks.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Final, TypeAlias

from nesting.errors import Fault, InputError

Ticks: TypeAlias = int
"""A length in whole ticks of 1/1600 mm."""

TICKS_PER_MM: Final[Ticks] = 1600
TICKS_PER_INCH: Final[Ticks] = 40640
TICKS_PER_FOOT: Final[Ticks] = 12 * TICKS_PER_INCH

LONGEST_TEXT: Final = 64
"""Characters of the longest text that is looked at."""
LONGEST: Final[Ticks] = 1_000_000 * TICKS_PER_MM
"""The longest length read, either way from nothing: 1 km."""
MOST_MM_DECIMALS: Final = 2
"""Decimals of a millimetre that `write_length` shows unless told otherwise."""
MARK_LEGEND: Final = "+ the true size is a little more than written, - a little less"
"""What the marks of `write_length` mean, for the foot of a drawing."""


class Unit(Enum):
    """A unit of length; the value is the word the trade writes."""

    INCH = "in"
    FOOT = "ft"
    MM = "mm"
    CM = "cm"
    M = "m"

    @property
    def ticks(self) -> Ticks:
        """Return the ticks in one of this unit."""
        return _TICKS[self]


_TICKS: Final = {
    Unit.INCH: TICKS_PER_INCH,
    Unit.FOOT: TICKS_PER_FOOT,
    Unit.MM: TICKS_PER_MM,
    Unit.CM: 10 * TICKS_PER_MM,
    Unit.M: 1000 * TICKS_PER_MM,
}
_WORDS: Final = {
    word: unit
    for unit, words in {
        Unit.INCH: '" in in. inch inches',
        Unit.FOOT: "' ft ft. foot feet",
        Unit.MM: "mm mm. millimetre millimetres millimeter millimeters",
        Unit.CM: "cm cm. centimetre centimetres centimeter centimeters",
        Unit.M: "m m. metre metres meter meters",
    }.items()
    for word in words.split()
}

# What keyboards, word processors and spreadsheets put in place of ' " / and -: primes
# and curly quotes; fraction and division slash; minus, hyphens and the en dash.
_LOOKALIKES: Final = {
    **dict.fromkeys(map(ord, "\u2032\u2019\u2018\u02b9\u00b4"), "'"),
    **dict.fromkeys(map(ord, "\u2033\u201d\u201c\u02ba"), '"'),
    **dict.fromkeys(map(ord, "\u2044\u2215"), "/"),
    **dict.fromkeys(map(ord, "\u2212\u2010\u2011\u2013"), "-"),
}
_FRACTION_SLASH: Final = "\u2044"
_VULGAR: Final = {
    sign: unicodedata.normalize("NFKC", sign).replace(_FRACTION_SLASH, "/")
    for sign in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
}
_VULGAR_SIGN: Final = re.compile("[" + "".join(_VULGAR) + "]")

_MIXED: Final = r"(?:[0-9]+(?:-| ))?[0-9]+ ?/ ?[0-9]+"
_DECIMAL: Final = r"[0-9]+(?:\.[0-9]*|,[0-9]+)?|[.,][0-9]+"
_NUMBER: Final = rf"(?:{_MIXED}|{_DECIMAL})"
_ONE_UNIT: Final = re.compile(rf"(?P<number>{_NUMBER}) ?(?P<unit>[\"']|[a-z]+\.?)?")
_FEET_INCHES: Final = re.compile(
    rf"(?P<feet>[0-9]+) ?(?:'|ft\.?|foot|feet) ?"
    rf"(?P<inches>{_NUMBER}) ?(?:\"|in\.?|inch|inches)?"
)
_WHOLE_AND_FRACTION: Final = re.compile(
    r"(?:(?P<whole>[0-9]+)[- ])?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)"
)
_THOUSANDS: Final = re.compile(
    r"(?<![0-9.,/])[1-9][0-9]{0,2}(?:[,'][0-9]{3})+(?![0-9/])"  # 1,000 and 1'000
    r"|[0-9] [0-9]{3}(?![0-9 ]*/)"  # 1 000
    r"|[0-9]\.[0-9]{3}[.,]"  # 1.000,5 and 1.000.000
)

_SEPARATED: Final = (
    "a thousands separator is not understood (1000, not 1,000), and a comma before "
    "three figures is taken for one"
)
_REMEDY: Final = "write it like 23 1/2, 23.5, 2' 3 1/2\", 600 mm or 12,5 mm"


def read_length(text: str, unit: Unit) -> Ticks:
    """Return the length that a text gives, to the nearest tick.

    Parameters
    ----------
    text
        The length as typed; `read_exact` says which forms are understood.
    unit
        The unit of a bare number.

    Returns
    -------
    Ticks
        The nearest tick; a value halfway between two takes the even one. Every
        multiple of 1/64 in or of 0.01 mm is exact.

    Raises
    ------
    InputError
        The text is not a length, or is longer than 1 km.

    Examples
    --------
    >>> read_length("23 1/2", Unit.INCH)
    955040
    >>> read_length("12,5 mm", Unit.INCH)
    20000
    """
    return nearest_ticks(read_exact(text, unit))


def read_exact(text: str, unit: Unit) -> Fraction:
    """Return the length that a text gives, in ticks and unrounded.

    Parameters
    ----------
    text
        A whole number, a fraction, a whole number and a fraction (``23 1/2`` or, with
        no spaces at the hyphen, ``23-1/2``), a decimal with point or comma, or one of
        the signs from ``½`` to ``⅞``; then perhaps a unit: ``"``, ``in``, ``'``,
        ``ft``, ``mm``, ``cm``, ``m``, their long names, primes and curly quotes. Also
        feet and inches, ``2' 3 1/2"``. A sign may lead; any other hyphen is a minus
        and is refused, since no arithmetic is done here. Capitals do not matter, nor
        which kind of space is used.
    unit
        The unit of a bare number.

    Returns
    -------
    Fraction
        Ticks, exact. May be negative: whether that makes sense is for the caller.

    Raises
    ------
    InputError
        The text is not a length (also: a thousands separator, a zero denominator, more
        than 64 characters), or the length is over 1 km. The one fault it carries has
        no place yet: the caller knows file, row and column.

    Examples
    --------
    >>> read_exact("1/3", Unit.MM)
    Fraction(1600, 3)
    """
    if len(text) > LONGEST_TEXT:
        raise _refusal(text, f"it has more than {LONGEST_TEXT} characters")
    plain = _plain(text)
    if not plain:
        raise InputError(faults=(Fault(what="no length is given", remedy=_REMEDY),))
    if len(text.strip().splitlines()) > 1:
        raise _refusal(text, "it goes over more than one line")
    sign = -1 if plain[0] == "-" else 1
    body = plain[1:].lstrip() if plain[0] in "+-" else plain
    if _THOUSANDS.search(body):
        raise _refusal(text, _SEPARATED)
    if match := _ONE_UNIT.fullmatch(body):
        value = _number(text, match["number"]) * _ticks_of(text, match["unit"], unit)
    elif match := _FEET_INCHES.fullmatch(body):
        inches = _number(text, match["inches"])
        improper = inches > 1 and re.fullmatch("[0-9]+ ?/.*", match["inches"])
        if inches >= 12 or improper:  # 2'11/2" may be meant for 2' 1 1/2"
            raise _refusal(text, "feet take less than 12 inches, as in 2' 3 1/2\"")
        value = (12 * int(match["feet"]) + inches) * TICKS_PER_INCH
    else:
        raise _refusal(text, _reason(body))
    if value > LONGEST:
        raise _refusal(text, "it is over 1 km")
    return sign * value


def read_unit(text: str) -> Unit:
    """Return the unit that a word or sign names.

    Raises
    ------
    InputError
        The word is none of in, ft, mm, cm and m, their long names and signs.
    """
    word = _plain(text)
    if len(text) > LONGEST_TEXT or word not in _WORDS:
        what = f"cannot read {_clipped(text)!r} as a unit of length"
        raise InputError(faults=(Fault(what=what, remedy="write in, ft, mm, cm or m"),))
    return _WORDS[word]


def nearest_ticks(value: Fraction) -> Ticks:
    """Return the whole tick nearest to an exact value; halves take the even tick."""
    return round(value)


def floor_ticks(value: Fraction) -> Ticks:
    """Return an exact value rounded down, so that computed parts never overflow."""
    return math.floor(value)


def _plain(text: str) -> str:
    """Return the text in small ASCII letters, signs and single spaces."""

    def spelt(match: re.Match[str]) -> str:
        before = text[: match.start()][-1:].isdigit()
        after = text[match.end() :][:1].isdigit()
        return " " * before + _VULGAR[match[0]] + " " * after

    spaced = " ".join(_VULGAR_SIGN.sub(spelt, text).split())
    return spaced.translate(_LOOKALIKES).replace("''", '"').lower()


def _number(text: str, number: str) -> Fraction:
    """Return the value of a number in a form of `_NUMBER`; `text` is for errors."""
    match = _WHOLE_AND_FRACTION.fullmatch(number)
    if match is None:
        return Fraction(number.replace(",", "."))
    top, bottom = int(match["top"]), int(match["bottom"])
    if bottom == 0:
        raise _refusal(text, "nothing can be divided by 0")
    if match["whole"] is None:
        if top > bottom and _FRACTION_SLASH in text:  # typeset text loses the space
            raise _refusal(text, "it could be a fraction alone or a number before one")
        return Fraction(top, bottom)
    if top >= bottom:
        raise _refusal(text, "the fraction after a whole number must be less than 1")
    return int(match["whole"]) + Fraction(top, bottom)


def _ticks_of(text: str, word: str | None, default: Unit) -> Ticks:
    """Return the ticks in the unit that a word names, or in the default unit."""
    if word is not None and word not in _WORDS:
        raise _refusal(text, f"{word!r} is no unit known here")
    return (_WORDS[word] if word else default).ticks


def _reason(body: str) -> str:
    """Return why a text that no form fits was refused, as part of a sentence."""
    if body[-1:] in ("+", "-") or body[-2:] in ('+"', '-"'):
        return "a trailing + or - marks a rounded size, not an exact one"
    if re.search(r"[0-9\"'a-z] ?[-+*] ?[0-9]", body):
        return "a length is wanted here, not a sum (a hyphen joins only as in 23-1/2)"
    return "it has no form of a length"


def _refusal(text: str, reason: str) -> InputError:
    """Return the error for a text: what was read, why it will not do, what would."""
    what = f"cannot read {_clipped(text)!r} as a length: {reason}"
    return InputError(faults=(Fault(what=what, remedy=_REMEDY),))


def _clipped(text: str) -> str:
    """Return the text, or its beginning if it is absurdly long."""
    return text if len(text) <= LONGEST_TEXT else text[:24] + "..."


@dataclass(frozen=True, slots=True, kw_only=True)
class Display:
    """How lengths are shown; a field out of its range is an `InputError`."""

    unit: Unit = Unit.INCH
    """`Unit.INCH` or `Unit.MM`."""
    denominator: int = 16
    """Finest fraction of an inch: 2, 4, 8, 16, 32 or 64."""
    decimals: int | None = None
    """Most decimals of a millimetre, 0 to 6; None: as needed, but at most 2."""

    def __post_init__(self) -> None:
        """Check the fields."""
        if self.unit not in (Unit.INCH, Unit.MM):
            raise InputError(f"lengths are shown in in or mm, not {self.unit.value}")
        if self.denominator not in (2, 4, 8, 16, 32, 64):
            raise InputError(
                f"inches are shown in 2, 4, 8, 16, 32 or 64 parts, "
                f"not in {self.denominator}"
            )
        if self.decimals is not None and self.decimals not in range(7):
            raise InputError(
                f"millimetres are shown to 0 to 6 decimals, not to {self.decimals}"
            )


def write_length(ticks: Ticks, display: Display, *, mark: bool = True) -> str:
    """Return a length for the eye, without its unit.

    Parameters
    ----------
    ticks
        The length, which may be negative.
    display
        Unit and fineness.
    mark
        Add ``+`` where the true value is more than what is written, ``-`` where it is
        less (both in the sense of numbers, also below zero), nothing where equal.

    Returns
    -------
    str
        Inches as a whole number and a reduced fraction, to the nearest; millimetres as
        a decimal without trailing zeros, to the nearest. Halfway takes the even one.

    Examples
    --------
    >>> write_length(955040, Display())
    '23 1/2'
    >>> write_length(28800, Display())
    '11/16+'
    """
    if display.unit is Unit.INCH:
        parts, size = display.denominator, Fraction(TICKS_PER_INCH, display.denominator)
    else:
        digits = MOST_MM_DECIMALS if display.decimals is None else display.decimals
        parts, size = 10**digits, Fraction(TICKS_PER_MM, 10**digits)
    count = round(ticks / size)
    written = Fraction(count, parts)
    text = _mixed(written) if display.unit is Unit.INCH else _decimal(written)
    rest = ticks - count * size
    return text + ("+" if rest > 0 else "-" if rest < 0 else "") * mark


def write_with_unit(ticks: Ticks, display: Display, *, mark: bool = True) -> str:
    """Return a length for the eye with its unit: ``23 1/2"`` or ``596.9 mm``.

    The mark of a rounded value stands between the number and the unit. Parameters are
    those of `write_length`.
    """
    suffix = '"' if display.unit is Unit.INCH else " mm"
    return write_length(ticks, display, mark=mark) + suffix


def write_exact(ticks: Ticks, unit: Unit) -> str:
    """Return a length with its unit so that reading it gives the same ticks.

    For example ``23 1/2"``, ``2' 3 1/2"``, ``0.7"``, ``18.25625 mm``, ``1.2 m``: any
    default unit reads them back. Where inches or feet are asked for, a length that is
    neither a multiple of 1/64 in nor a decimal of an inch is written in millimetres.
    """
    if unit in (Unit.INCH, Unit.FOOT):
        if ticks % 127 != 0:  # 127 is the prime that keeps inch and mm apart
            return write_exact(ticks, Unit.MM)
        write = _mixed if ticks % 635 == 0 else _decimal
        feet = abs(ticks) // TICKS_PER_FOOT if unit is Unit.FOOT else 0
        inches = Fraction(abs(ticks) - feet * TICKS_PER_FOOT, TICKS_PER_INCH)
        sizes = [f"{feet}'"] * (feet > 0) + [f'{write(inches)}"'] * (
            inches > 0 or feet == 0
        )
        return "-" * (ticks < 0) + " ".join(sizes)
    return f"{_decimal(Fraction(ticks, unit.ticks))} {unit.value}"


def _mixed(value: Fraction) -> str:
    """Return a whole number and a reduced fraction."""
    whole, rest = divmod(abs(value), 1)
    pieces = [str(whole)] * (whole > 0 or rest == 0) + [str(rest)] * (rest > 0)
    return "-" * (value < 0) + " ".join(pieces)


def _decimal(value: Fraction) -> str:
    """Return a decimal without trailing zeros; the value must have one that ends."""
    digits = 0
    while (10**digits * value).denominator != 1:
        digits += 1
    whole, rest = divmod(abs(value) * 10**digits, 10**digits)
    point = f".{int(rest):0{digits}d}" if digits else ""
    return "-" * (value < 0) + str(whole) + point
