"""Tests of measuring and breaking text."""

import pytest
from fontTools.ttLib import TTFont

from nesting.render.fonts import CAPITAL, TIE, font_path, text_width, wrap
from nesting.render.style import POINT, STYLE


@pytest.mark.parametrize("bold", [False, True])
def test_widths_are_those_of_the_embedded_font(bold: bool) -> None:
    """The width of a text is the sum of the advances in the font's hmtx table."""
    font = TTFont(font_path(bold=bold))
    names = font.getBestCmap()
    words = "23 1/2 × 11 Drawer front"
    units = sum(font["hmtx"][names[ord(letter)]][0] for letter in words)
    wanted = units / font["head"].unitsPerEm * 10 * POINT
    assert text_width(words, 10, bold=bold) == pytest.approx(wanted, rel=1e-3)


def test_smallest_letters_are_legible() -> None:
    """Capitals of the smallest text are 1.8 mm high (ISO 3098-1, from memory)."""
    assert STYLE.least_text * POINT * CAPITAL >= 1.8
    sizes = (
        STYLE.mark_text,
        *STYLE.label_texts,
        STYLE.note_text,
        STYLE.body_text,
        STYLE.heading_text,
    )
    assert min(sizes) >= STYLE.least_text


def test_lines_are_no_wider_than_asked() -> None:
    """Wrapped lines fit, and together they hold every word."""
    words = "Crosscut the long rail of the bench to 42 3/8, left end on the stop"
    lines = wrap(words, 9, 40)
    assert len(lines) > 2
    assert all(text_width(line, 9) <= 40 for line in lines)
    assert " ".join(lines) == words


def test_a_size_is_not_broken_between_its_numbers() -> None:
    """Ties hold a size together as long as it fits on a line of its own."""
    size = f"15{TIE}1/4"
    lines = wrap(f"one piece of {size} inches", 9, text_width("one piece of 15", 9))
    assert any(size in line for line in lines)


def test_a_word_wider_than_the_line_is_broken() -> None:
    """A name without spaces still ends up within its column."""
    lines = wrap("substructure" * 4, 9, 20)
    assert "".join(lines) == "substructure" * 4
    assert all(text_width(line, 9) <= 20 for line in lines)
