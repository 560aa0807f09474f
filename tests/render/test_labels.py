"""Tests of fitting names into pieces."""

import pytest

from nesting.render.labels import draw_label, fit_key, fit_label
from nesting.render.scene import Box, Recorder
from nesting.render.style import STYLE


@pytest.mark.parametrize(
    "place",
    [
        Box(0, 0, 80, 30),  # room for all
        Box(0, 0, 30, 14),  # the name breaks
        Box(0, 0, 9, 60),  # upright only
        Box(0, 0, 60, 5.5),  # one line
    ],
)
def test_a_label_lies_within_its_piece(place: Box) -> None:
    """Whatever way a label is set, its letters stay inside and are large enough."""
    label = fit_label("Long back rail", "42 3/8 × 3 1/2", place)
    assert label is not None
    page = Recorder(width=100, height=100)
    draw_label(page, label, "label")
    texts = page.scene().texts
    assert all(place.contains(text.box) for text in texts)
    assert all(text.size >= STYLE.least_text for text in texts)
    words = " ".join(text.words for text in texts)
    assert "Long back rail" in words
    assert "42 3/8 × 3 1/2" in words


def test_a_tall_piece_has_its_label_turned() -> None:
    """A label that fits only from below is turned, not shrunk below what is legible."""
    label = fit_label("Upright", "70 × 2", Box(0, 0, 8, 100))
    assert label is not None
    assert label.angle == 90


def test_a_label_keeps_clear_of_what_is_there() -> None:
    """A ring in the middle pushes the label aside."""
    ring = Box(18, 8, 4, 4)
    label = fit_label("Lid", "9 × 7", Box(0, 0, 40, 20), [ring])
    assert label is not None
    assert not label.box.overlaps(ring)


def test_no_label_where_there_is_no_room() -> None:
    """A piece smaller than the smallest letters gets none, and no key letter either."""
    assert fit_label("Wedge", "1 × 1/2", Box(0, 0, 6, 3)) is None
    assert fit_key("A", Box(0, 0, 1.5, 1.5)) is None


def test_a_key_letter_fits_where_capitals_do() -> None:
    """A strip 2.3 mm high, too low for a name, holds a key letter."""
    place = Box(0, 0, 20, 2.3)
    assert fit_label("Lip", "20 × 2", place) is None
    label = fit_key("A", place)
    assert label is not None
    page = Recorder(width=100, height=100)
    draw_label(page, label, "label")
    assert place.contains(page.scene().texts[0].box)
