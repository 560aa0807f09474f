"""Tests of the primitives on paper."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.render.scene import Box, Recorder, Text, bounds, hatch_lines, moved
from nesting.render.style import STYLE, HatchStyle

SIDES = st.floats(min_value=0.5, max_value=80, allow_nan=False)


@given(x=SIDES, y=SIDES, width=SIDES, height=SIDES, rising=st.booleans())
def test_hatch_stays_in_its_box(
    x: float, y: float, width: float, height: float, rising: bool
) -> None:
    """Every line of a hatching lies within its box and runs at 45 degrees."""
    box = Box(x, y, width, height)
    style = HatchStyle(angle=45 if rising else 135, spacing=1.3)
    for (ax, ay), (bx, by) in hatch_lines(box, style):
        low = Box(min(ax, bx), min(ay, by), abs(bx - ax), abs(by - ay))
        assert box.contains(low, 1e-6)
        assert abs(bx - ax) == pytest.approx(abs(by - ay))
        assert (by > ay) is rising


def test_hatch_lines_are_as_far_apart_as_asked() -> None:
    """The perpendicular distance of neighbouring lines is the style's spacing."""
    lines = hatch_lines(Box(0, 0, 50, 50), HatchStyle(angle=45, spacing=3.0))
    offsets = sorted(start[1] - start[0] for start, _ in lines)
    gaps = {round((b - a) / math.sqrt(2), 6) for a, b in itertools.pairwise(offsets)}
    assert gaps == {3.0}


def test_offcut_and_scrap_are_told_apart_by_their_hatching() -> None:
    """What is kept is hatched one way and wide, scrap is crossed and close."""
    box = Box(0, 0, 20, 20)
    kept = hatch_lines(box, STYLE.offcut_hatch)
    scrap = hatch_lines(box, STYLE.scrap_hatch)
    assert {(b[1] > a[1]) for a, b in kept} == {True}
    assert {(b[1] > a[1]) for a, b in scrap} == {True, False}
    assert len(scrap) > 3 * len(kept)


@pytest.mark.parametrize("align", ["left", "centre", "right"])
@pytest.mark.parametrize("level", ["base", "middle", "top"])
@pytest.mark.parametrize("angle", [0, 90])
def test_text_is_anchored_where_it_is_asked(align: str, level: str, angle: int) -> None:
    """The anchor point lies on the side and at the level of the text that was named."""
    page = Recorder(width=100, height=100)
    text = page.text("Hog", (50, 50), 10, align=align, level=level, angle=angle)
    box = text.box
    along = (box.x, box.right) if angle == 0 else (box.y, box.top)
    wanted = {"left": along[0], "centre": sum(along) / 2, "right": along[1]}[align]
    assert wanted == pytest.approx(50)
    across = (box.y, box.top) if angle == 0 else (-box.right, -box.x)
    point = 50 if angle == 0 else -50
    assert across[0] < point <= across[1] + 1e-9
    if level == "top":
        assert point == pytest.approx(across[1])


def test_moving_a_primitive_moves_its_bounds() -> None:
    """Each kind of primitive, moved, has its bounds moved by as much."""
    page = Recorder(width=100, height=100)
    page.line((1, 2), (3, 5), 0.2)
    page.rect(Box(1, 1, 4, 4), 0.2)
    page.ring(Box(5, 5, 8, 3.5), 0.2)
    page.text("leg", (3, 4), 9)
    for item in page.items:
        before, after = bounds(item), bounds(moved(item, 10, -3))
        assert (after.x - before.x, after.y - before.y) == pytest.approx((10, -3))
        assert after.width == pytest.approx(before.width)


def test_letters_the_font_lacks_are_shown_as_question_marks() -> None:
    """A letter outside the embedded font does not vanish without a trace."""
    page = Recorder(width=100, height=100)
    text = page.text("棚 shelf\n\tno 1", (0, 0), 9)
    assert isinstance(text, Text)
    assert text.words == "? shelf no 1"
