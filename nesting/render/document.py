"""Puts the pages of a plan together: summary, layouts, cut order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.render.groups import group_layouts
from nesting.render.page import LETTER, finish
from nesting.render.player import play_pdf, play_png, play_svg
from nesting.render.route_pages import route_pages
from nesting.render.sheet_pages import sheet_pages, single_drawing
from nesting.render.stick_pages import stick_pages
from nesting.render.store_pages import store_pages
from nesting.render.summary import summary_pages
from nesting.render.table import table_pages
from nesting.render.wording import read_wording
from nesting.units import MARK_LEGEND

if TYPE_CHECKING:
    from nesting.model.plan import Plan
    from nesting.render.page import Paper
    from nesting.render.scene import Scene
    from nesting.render.wording import Wording


def draw_pdf(plan: Plan, paper: Paper = LETTER) -> bytes:
    """Return the plan as a PDF to print and tape to the saw.

    Parameters
    ----------
    plan
        A plan whose cuts have their steps.
    paper
        `LETTER` or `A4`.

    Returns
    -------
    bytes
        The file. Equal plans give equal bytes: it holds no date.
    """
    return play_pdf(compose(plan, paper), plan.job.name)


def draw_svg(plan: Plan, layout_id: str, *, width: float = 180.0) -> bytes:
    """Return the drawing of one layout as an SVG, `width` millimetres wide.

    Raises
    ------
    KeyError
        The plan has no layout of that id.
    """
    return play_svg(draw_scene(plan, layout_id, width=width))


def draw_png(
    plan: Plan, layout_id: str, *, width: float = 180.0, dots_per_inch: int = 150
) -> bytes:
    """Return the drawing of one layout as a PNG, `width` millimetres wide.

    Raises
    ------
    KeyError
        The plan has no layout of that id.
    """
    return play_png(draw_scene(plan, layout_id, width=width), dots_per_inch)


def compose(plan: Plan, paper: Paper) -> tuple[Scene, ...]:
    """Return the pages of a plan as scenes, in order."""
    wording = read_wording(plan)
    pages = summary_pages(plan, wording, paper)
    pages += store_pages(plan, wording, paper)
    groups = group_layouts(plan.layouts)
    bars = [group for group in groups if group.layout.form in ("stick", "board")]
    for group in groups:
        if group not in bars:
            pages += sheet_pages(group, wording, paper)
    if bars:
        pages += stick_pages(bars, wording, paper)
    pages += table_pages(plan, wording, paper)
    pages += route_pages(plan, wording, paper)
    return finish(pages, plan.job.name, _note(plan, wording))


def draw_scene(plan: Plan, layout_id: str, *, width: float) -> Scene:
    """Return the drawing of one layout as a scene, `width` millimetres wide.

    Raises
    ------
    KeyError
        The plan has no layout of that id.
    """
    for group in group_layouts(plan.layouts):
        if layout_id in (layout.id for layout in group.layouts):
            return single_drawing(group, read_wording(plan), width).scene()
    raise KeyError(layout_id)


def _note(plan: Plan, wording: Wording) -> str:
    """Return the unit of all sizes, and what the marks of rounded ones mean."""
    shown = {
        size
        for layout in plan.layouts
        for piece in layout.pieces
        for size in (piece.length, piece.width, piece.thickness)
    }
    note = f"all sizes in {wording.unit}"
    rounded = any(wording.rounds(size) for size in shown)
    return f"{note}; {MARK_LEGEND}" if rounded else note
