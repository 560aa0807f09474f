"""The drawings of sticks show what is damaged on them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.plan import Plan, PlanZone
from nesting.render.document import compose
from nesting.render.page import LETTER
from nesting.render.scene import Hatch, Scene, Text
from nesting.render.style import STYLE


def hatched(pages: tuple[Scene, ...]) -> list[Hatch]:
    """Return what is drawn as damaged."""
    return [
        item
        for page in pages
        for item in page.items
        if isinstance(item, Hatch) and item.about == "zone:0"
    ]


def signs(pages: tuple[Scene, ...]) -> set[str]:
    """Return the words of all signs that are explained."""
    return {
        item.words
        for page in pages
        for item in page.items
        if isinstance(item, Text) and item.about == "sign"
    }


@pytest.mark.parametrize("kind", ["pith", "blemish"])
def test_other_zones_are_hatched_wider_and_named(bench: Plan, kind: str) -> None:
    """Pith and blemishes are not taken for damage, nor for each other."""
    stick = next(layout for layout in bench.layouts if layout.form == "stick")
    size = (stick.stock.length // 4, stick.stock.width)
    marked = PlanZone(x=0, y=0, length=size[0], width=size[1], kind=kind)
    stock = replace(stick.stock, zones=(marked,))
    layouts = tuple(
        replace(one, stock=stock) if one is stick else one for one in bench.layouts
    )
    pages = compose(replace(bench, layouts=layouts), LETTER)
    (drawn,) = hatched(pages)
    assert drawn.style.spacing > STYLE.zone_hatch.spacing
    assert drawn.style not in (STYLE.offcut_hatch, STYLE.scrap_hatch)
    assert kind in signs(pages)
    assert "damage" not in signs(pages)


def test_a_knot_is_hatched_and_the_sign_explained(bench: Plan) -> None:
    """A quarter of the length of one stick, over its whole width; to scale."""
    stick = next(layout for layout in bench.layouts if layout.form == "stick")
    stock = stick.stock
    knot = PlanZone(x=0, y=0, length=stock.length // 4, width=stock.width)
    damaged = replace(stick, stock=replace(stock, zones=(knot,)))
    layouts = tuple(damaged if one is stick else one for one in bench.layouts)
    plain, pages = (
        compose(bench, LETTER),
        compose(replace(bench, layouts=layouts), LETTER),
    )
    assert not hatched(plain)
    assert "damage" not in signs(plain)
    (drawn,) = hatched(pages)
    frame = next(
        item.box
        for page in pages
        if drawn in page.items
        for item in page.items
        if getattr(item, "about", "") == "stock"
        and item.box.y <= drawn.box.y + 0.01
        and item.box.top >= drawn.box.top - 0.01
    )
    assert abs(drawn.box.width - frame.width / 4) < 0.01
    assert abs(drawn.box.height - frame.height) < 0.01
    assert "damage" in signs(pages)
