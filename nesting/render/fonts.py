"""How long a text is on paper, and how it breaks into lines.

Advance widths are read from the very font that is embedded in the PDF, DejaVu Sans,
which comes with matplotlib; it is opened when the first text is measured.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from nesting.render.style import POINT

if TYPE_CHECKING:
    from matplotlib.ft2font import FT2Font

ASCENT = 0.76
"""Height of the tallest small letters above the baseline, in ems."""
CAPITAL = 0.73
"""Height of capitals and figures above the baseline, in ems."""
DESCENT = 0.24
"""Depth of letters below the baseline, in ems."""
TIE = "\N{NO-BREAK SPACE}"
"""A space at which no line is broken; on paper it is a space."""
_MISSING = "?"
_UNITS = 1000


def font_path(*, bold: bool) -> Path:
    """Return the font's file."""
    import matplotlib

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name


@cache
def _font(bold: bool) -> FT2Font:
    from matplotlib.ft2font import FT2Font

    font = FT2Font(str(font_path(bold=bold)))
    font.set_size(_UNITS, 72)
    return font


@cache
def _advance(letter: str, bold: bool) -> float:
    """Return a letter's width in ems."""
    from matplotlib.ft2font import LoadFlags

    glyph = _font(bold).load_char(ord(letter), flags=LoadFlags.NO_HINTING)
    return glyph.linearHoriAdvance / 65536 / _UNITS


@cache
def printable(words: str) -> str:
    """Return the text on one line, with a ``?`` for each letter the font lacks.

    Runs of blanks become one space; a `TIE` stays.
    """
    indexes = _font(False).get_char_index
    line = re.sub(r"[ \t\n\r\f\v]+", " ", words).strip()
    return "".join(
        letter
        if letter == TIE or (letter.isprintable() and indexes(ord(letter)))
        else _MISSING
        for letter in line
    )


@cache
def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Return the width in millimetres of a text set at a size in points."""
    return sum(_advance(letter, bold) for letter in printable(words)) * size * POINT


def line_pitch(size: float, leading: float) -> float:
    """Return the distance of two baselines in millimetres."""
    return size * leading * POINT


def wrap(
    words: str, size: float, width: float, *, bold: bool = False
) -> tuple[str, ...]:
    """Return a text broken into lines no wider than `width` millimetres.

    It breaks at spaces; what is too wide alone breaks at a `TIE`, or else anywhere.
    """
    lines: list[str] = []
    line = ""
    text = " ".join(
        word if text_width(word, size, bold=bold) <= width else word.replace(TIE, " ")
        for word in printable(words).split(" ")
    )
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if text_width(longer, size, bold=bold) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while len(line) > 1 and text_width(line, size, bold=bold) > width:
            count = len(line) - 1
            while count > 1 and text_width(line[:count], size, bold=bold) > width:
                count -= 1
            lines.append(line[:count])
            line = line[count:]
    return (*lines, line)
